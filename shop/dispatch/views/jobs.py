"""Units that leave: what is ready, one job at the way home, packing, collecting, keeping."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.counter.models import Accessory, Job
from shop.counter.moving import held_back
from shop.counter.queries import whole_jobs
from shop.counter.stages import Stage
from shop.dispatch import actions, queries
from shop.dispatch.advice import cautions_for
from shop.dispatch.forms import AccessoryForm, CollectForm, KeepHereForm, PackForm, PlanForm
from shop.dispatch.measures import weight
from shop.dispatch.planning import Plan, plan_for
from shop.dispatch.views.pages import at_dispatch, page
from shop.frame import clock, joint
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.frame.profile import the_profile
from shop.handbook.money import Money
from shop.handbook.parcels import ParcelError


@require_safe
@at_dispatch
def dispatch(request: StaffRequest) -> HttpResponse:
    """What may leave, what stands packed, and what is on the road."""
    context = {
        "ready": queries.ready_jobs()[:100],
        "packed": queries.packed_parcels()[:100],
        "on_the_road": queries.parcels_on_the_road()[:100],
    }
    return page(request, "dispatch/dispatch.html", context)


@require_safe
@at_dispatch
def job(request: StaffRequest, number: str) -> HttpResponse:
    """One job at the way home: what holds it back, its accessories, packing it or handing it over."""
    return _job_page(request, get_object_or_404(whole_jobs(), number=number))


@require_safe
@at_dispatch
def plan(request: StaffRequest, number: str) -> HttpResponse:
    """Which box for this unit: the handbook's plan, and the shop's boxes that hold it."""
    job = get_object_or_404(whole_jobs(), number=number)
    form = PlanForm(request.GET if "size" in request.GET else None, initial={"weight": _known_weight(job)})
    found: Plan | None = None
    if form.is_bound and form.is_valid():
        data = form.cleaned_data
        try:
            found = plan_for(
                data["size"],
                data["weight"],
                fragile=data["fragile"],
                cushion=data["cushion"],
                on=clock.today(),
            )
        except ParcelError as error:
            form.add_error("cushion", str(error))
    context = {
        "job": job,
        "form": form,
        "found": found,
        "cautions": cautions_for([job], form.cleaned_data["weight"]) if found else [],
        "imperial": the_profile().measures == "imperial",
    }
    return page(request, "dispatch/plan.html", context, refused=form.is_bound and bool(form.errors))


@require_POST
@at_dispatch
def check_accessory(request: StaffRequest, number: str, pk: int) -> HttpResponseBase:
    """Whether an accessory goes back."""
    job = get_object_or_404(whole_jobs(), number=number)
    accessory = get_object_or_404(Accessory, pk=pk, job=job)
    form = AccessoryForm(request.POST, prefix=f"a{pk}")
    return joint.answer(
        request,
        form,
        lambda key: actions.check_accessory(
            accessory=accessory,
            included=form.cleaned_data["included"] == "yes",
            explanation=form.cleaned_data["explanation"],
            by=request.user,
            once_key=key,
        ),
        then=_address(job),
        page=lambda: _job_page(request, job, wrong_accessory=(pk, form)),
    )


@require_POST
@at_dispatch
def pack(request: StaffRequest, number: str) -> HttpResponseBase:
    """Pack this unit, and others of its customer that are ready."""
    job = get_object_or_404(whole_jobs(), number=number)
    form = PackForm(request.POST, job=job)
    return joint.answer(
        request,
        form,
        lambda key: actions.pack(customer=job.customer, **form.facts(), by=request.user, once_key=key),
        then=lambda made: reverse("dispatch:parcel", args=[made]),
        page=lambda: _job_page(request, job, pack_form=form),
    )


@require_POST
@at_dispatch
def collect(request: StaffRequest, number: str) -> HttpResponseBase:
    """Hand the unit over at the counter, signed off."""
    job = get_object_or_404(whole_jobs(), number=number)
    form = CollectForm(request.POST, job=job)
    return joint.answer(
        request,
        form,
        lambda key: actions.collect(
            customer=job.customer,
            jobs=form.cleaned_data["jobs"],
            collected_by=form.cleaned_data["collected_by"],
            shown=form.cleaned_data["shown"],
            drawing=form.cleaned_data["drawing"],
            by=request.user,
            once_key=key,
        ),
        then=_address(job),
        said="Gone home.",
        page=lambda: _job_page(request, _anew(job), collect_form=form),
    )


@require_POST
@at_dispatch
def keep_here(request: StaffRequest, number: str) -> HttpResponseBase:
    """The unit stays with the shop."""
    job = get_object_or_404(whole_jobs(), number=number)
    form = KeepHereForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.keep_here(
            job=job, outcome=form.cleaned_data["outcome"], by=request.user, once_key=key
        ),
        then=_address(job),
        said="Kept here.",
        page=lambda: _job_page(request, _anew(job), keep_form=form),
    )


def _address(job: Job) -> str:
    return reverse("dispatch:job", args=[job.number])


def _anew(job: Job) -> Job:
    """The job as it is written: what was refused may have touched it in memory."""
    job.refresh_from_db()
    return job


def _job_page(
    request: StaffRequest,
    job: Job,
    *,
    wrong_accessory: tuple[int, AccessoryForm] | None = None,
    **forms: PlainForm,
) -> HttpResponse:
    ready = job.stage == Stage.READY
    parcels = queries.parcels_of(job)
    standing = next((one for one in parcels if one.unpacked_at is None and one.lost_at is None), None)
    context: dict[str, Any] = {
        "job": job,
        "Stage": Stage,
        "accessories": _accessories(job, wrong_accessory),
        "held_back": held_back(job, Stage.GONE_HOME) if ready else [],
        "parcels": parcels,
        "packed": standing,
        "collection": queries.collection_of(job),
        "imperial": the_profile().measures == "imperial",
    }
    if ready:
        address = f"{job.customer.name}\n{job.customer.address}".strip()
        country = job.customer.country or the_profile().country
        lithium = "ion" if "lithium" in job.unit.model.traits else ""
        initial = {
            "address": address,
            "country": country,
            "declared_value": _sum(job.agreed_value_minor, job),
            "lithium_chemistry": lithium,
            "box": request.GET.get("box", ""),
        }
        context |= {
            "pack_form": PackForm(job=job, initial=initial),
            "collect_form": CollectForm(job=job, auto_id="collect_%s"),
            "keep_form": KeepHereForm(initial={"outcome": job.outcome or "unclaimed"}),
        }
    wrong = wrong_accessory is not None or bool(forms)
    return render(request, "dispatch/job.html", context | forms, status=422 if wrong else 200)


def _accessories(job: Job, wrong: tuple[int, AccessoryForm] | None) -> list[dict[str, Any]]:
    rows = []
    for accessory, answer in queries.accessories_with_answers(job):
        if wrong is not None and wrong[0] == accessory.pk:
            form = wrong[1]
        else:
            initial = (
                {}
                if answer is None
                else {"included": "yes" if answer.included else "no", "explanation": answer.explanation}
            )
            form = AccessoryForm(prefix=f"a{accessory.pk}", initial=initial)
        rows.append({"accessory": accessory, "answer": answer, "form": form})
    return rows


def _sum(minor: int | None, job: Job) -> Money | None:
    return None if minor is None else Money(minor, job.currency)


def _known_weight(job: Job) -> str:
    grams = job.unit.model.weight_grams
    return weight(grams) if grams else ""
