"""Dispatch's pages: thin. A form in, an action or a query, a template out."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from shop.counter.models import Accessory, Job
from shop.counter.queries import whole_jobs
from shop.counter.stages import Stage, held_back
from shop.dispatch import actions, queries
from shop.dispatch.advice import advice_for
from shop.dispatch.forms import AccessoryForm, CollectForm, HandOverForm, KeepHereForm, PackForm
from shop.dispatch.models import Parcel
from shop.dispatch.tracking import tracking_link
from shop.premises import clock
from shop.premises.doors import StaffRequest, for_roles
from shop.premises.formwork import PlainForm
from shop.premises.models import Role
from shop.premises.once import AlreadyTaken
from shop.premises.profile import the_profile

at_dispatch = for_roles(Role.COUNTER, Role.BENCH)


@require_safe
@at_dispatch
def dispatch(request: StaffRequest) -> HttpResponse:
    """What may leave, what stands packed, and what is on the road."""
    context = {
        "ready": queries.ready_jobs()[:100],
        "packed": queries.packed_parcels()[:100],
        "on_the_road": queries.parcels_on_the_road()[:100],
    }
    return render(request, "dispatch/dispatch.html", context)


@require_safe
@at_dispatch
def job(request: StaffRequest, number: str) -> HttpResponse:
    """One job at the way home: what holds it back, its accessories, packing it or handing it over."""
    return _job_page(request, get_object_or_404(whole_jobs(), number=number))


@require_POST
@at_dispatch
def check_accessory(request: StaffRequest, number: str, pk: int) -> HttpResponseBase:
    """Whether an accessory goes back."""
    job = get_object_or_404(whole_jobs(), number=number)
    accessory = get_object_or_404(Accessory, pk=pk, job=job)
    form = AccessoryForm(request.POST, prefix=f"a{pk}")
    if form.is_valid():
        data = form.cleaned_data
        answer = form.taken_by(
            actions.check_accessory,
            accessory=accessory,
            included=data["included"] == "yes",
            explanation=data["explanation"],
            by=request.user,
        )
        if answer is not None:
            return redirect("dispatch:job", job.number)
    return _job_page(request, job, wrong_accessory=(pk, form))


@require_POST
@at_dispatch
def pack(request: StaffRequest, number: str) -> HttpResponseBase:
    """Pack this unit, and others of its customer that are ready."""
    job = get_object_or_404(whole_jobs(), number=number)
    form = PackForm(request.POST, job=job)
    if form.is_valid():
        try:
            parcel = form.taken_by(
                actions.pack, customer=job.customer, by=request.user, once_key=form.once_key, **form.parcel()
            )
        except AlreadyTaken as taken:
            return redirect("dispatch:parcel", taken.result_id)
        if parcel is not None:
            return redirect("dispatch:parcel", parcel.pk)
    return _job_page(request, job, pack_form=form)


@require_POST
@at_dispatch
def collect(request: StaffRequest, number: str) -> HttpResponseBase:
    """Hand the unit over at the counter, signed off."""
    job = get_object_or_404(whole_jobs(), number=number)
    form = CollectForm(request.POST, job=job)
    if form.is_valid():
        data = form.cleaned_data
        try:
            collection = form.taken_by(
                actions.collect,
                customer=job.customer,
                jobs=data["jobs"],
                collected_by=data["collected_by"],
                shown=data["shown"],
                by=request.user,
                once_key=form.once_key,
            )
        except AlreadyTaken:
            return redirect("dispatch:job", job.number)
        if collection is not None:
            messages.success(request, "Gone home.")
            return redirect("dispatch:job", job.number)
        job.refresh_from_db()
    return _job_page(request, job, collect_form=form)


@require_POST
@at_dispatch
def keep_here(request: StaffRequest, number: str) -> HttpResponseBase:
    """The unit stays with the shop."""
    job = get_object_or_404(whole_jobs(), number=number)
    form = KeepHereForm(request.POST)
    if form.is_valid():
        kept = form.taken_by(
            actions.keep_here, job=job, outcome=form.cleaned_data["outcome"], by=request.user
        )
        if kept is not None:
            messages.success(request, "Kept here.")
            return redirect("dispatch:job", job.number)
        job.refresh_from_db()
    return _job_page(request, job, keep_form=form)


@require_safe
@at_dispatch
def parcel(request: StaffRequest, pk: int) -> HttpResponse:
    """One parcel: what to see to, its slip, handing it over, where it is."""
    return _parcel_page(request, get_object_or_404(queries.whole_parcels(), pk=pk))


@require_POST
@at_dispatch
def issue_slip(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Issue the return slip, or open the one that was issued."""
    parcel = get_object_or_404(queries.whole_parcels(), pk=pk)
    form = PlainForm(request.POST)
    form.is_valid()
    paper = form.taken_by(actions.issue_slip, parcel=parcel, by=request.user)
    return (
        redirect("premises:paper", paper.pk)
        if paper is not None
        else _parcel_page(request, parcel, wrong=form)
    )


@require_POST
@at_dispatch
def hand_over(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Give the parcel to the carrier: its units have gone home."""
    parcel = get_object_or_404(queries.whole_parcels(), pk=pk)
    form = HandOverForm(request.POST)
    if form.is_valid():
        data = form.cleaned_data
        handed = form.taken_by(
            actions.hand_over,
            parcel=parcel,
            carrier=data["carrier"],
            tracking=data["tracking"],
            by=request.user,
        )
        if handed is not None:
            messages.success(request, "On its way home.")
            return redirect("dispatch:parcel", parcel.pk)
    return _parcel_page(request, parcel, hand_over_form=form)


@require_POST
@at_dispatch
def unpack(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Open the parcel again before it leaves."""
    return _act_on_parcel(request, pk, actions.unpack, said="Opened again.")


@require_POST
@at_dispatch
def note_delivered(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The carrier says that it was delivered."""
    return _act_on_parcel(request, pk, actions.note_delivered, said="Delivered.")


@require_POST
@at_dispatch
def note_lost(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The carrier has lost it."""
    return _act_on_parcel(request, pk, actions.note_lost, said="Noted as lost.")


def _act_on_parcel(request: StaffRequest, pk: int, action: Any, *, said: str) -> HttpResponseBase:
    parcel = get_object_or_404(queries.whole_parcels(), pk=pk)
    form = PlainForm(request.POST)
    form.is_valid()
    if form.taken_by(action, parcel=parcel, by=request.user) is None:
        return _parcel_page(request, parcel, wrong=form)
    messages.success(request, said)
    return redirect("dispatch:parcel", parcel.pk)


def _job_page(
    request: StaffRequest,
    job: Job,
    *,
    wrong_accessory: tuple[int, AccessoryForm] | None = None,
    **forms: PlainForm,
) -> HttpResponse:
    accessories = []
    for accessory, answer in queries.accessories_with_answers(job):
        if wrong_accessory is not None and wrong_accessory[0] == accessory.pk:
            form = wrong_accessory[1]
        else:
            initial = (
                {}
                if answer is None
                else {"included": "yes" if answer.included else "no", "explanation": answer.explanation}
            )
            form = AccessoryForm(prefix=f"a{accessory.pk}", initial=initial)
        accessories.append({"accessory": accessory, "answer": answer, "form": form})
    ready = job.stage == Stage.READY
    context: dict[str, Any] = {
        "job": job,
        "Stage": Stage,
        "accessories": accessories,
        "held_back": held_back(job, Stage.GONE_HOME) if ready else [],
        "parcels": queries.parcels_of(job),
        "collection": queries.collection_of(job),
        "imperial": the_profile().measures == "imperial",
    }
    if ready:
        address = f"{job.customer.name}\n{job.customer.address}".strip()
        country = job.customer.country or the_profile().country
        context |= {
            "pack_form": PackForm(job=job, initial={"address": address, "country": country}),
            "collect_form": CollectForm(job=job),
            "keep_form": KeepHereForm(initial={"outcome": job.outcome or "unclaimed"}),
        }
    wrong = wrong_accessory is not None or bool(forms)
    return render(request, "dispatch/job.html", context | forms, status=422 if wrong else 200)


def _parcel_page(
    request: StaffRequest,
    parcel: Parcel,
    *,
    wrong: PlainForm | None = None,
    hand_over_form: HandOverForm | None = None,
) -> HttpResponse:
    jobs = [link.job for link in parcel.job_links.all()]
    waiting = parcel.handed_over_at is None and parcel.unpacked_at is None
    context = {
        "parcel": parcel,
        "jobs": jobs,
        "waiting": waiting,
        "advice": advice_for(parcel, jobs, on=clock.today()),
        "held_back": [sentence for one in jobs for sentence in held_back(one, Stage.GONE_HOME)]
        if waiting
        else [],
        "link": tracking_link(parcel.tracking, parcel.carrier),
        "wrong": wrong,
        "hand_over_form": hand_over_form
        or HandOverForm(initial={"carrier": parcel.carrier, "tracking": parcel.tracking}),
    }
    return render(request, "dispatch/parcel.html", context, status=422 if wrong or hand_over_form else 200)
