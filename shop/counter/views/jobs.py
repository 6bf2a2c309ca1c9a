"""A job as the counter sees it: on its way, opened, on its shelf."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.counter import actions, papers, promising, queries
from shop.counter.forms import (
    AccessoryForm,
    MendAccessoryForm,
    PhotosForm,
    PromiseForm,
    PutRightForm,
    ReceiveForm,
    ShelfForm,
    UnopenedForm,
    WordForm,
)
from shop.counter.models import Accessory, Job, Promise
from shop.counter.stages import ENDED, Stage
from shop.frame import joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import PlainForm
from shop.frame.models import Role
from shop.frame.refusal import Refusal

at_the_counter = for_roles(Role.COUNTER)


@require_safe
@at_the_counter
def expected(request: StaffRequest) -> HttpResponse:
    """Units on their way by parcel, the longest announced first."""
    jobs = (
        queries.open_jobs()
        .filter(stage=Stage.EXPECTED)
        .select_related("inbound")
        .order_by("stage_since")[:200]
    )
    return render(request, "counter/expected.html", {"jobs": jobs})


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_counter
def receive(request: StaffRequest, number: str) -> HttpResponseBase:
    """Open the box of an announced unit and book it in."""
    job = get_object_or_404(queries.whole_jobs(), number=number)
    form = ReceiveForm(request.POST or None, request.FILES or None, job=job)
    context = {"form": form, "job": job}
    return joint.answer(
        request,
        form,
        lambda key: actions.receive_expected(job=job, **form.facts(), by=request.user, once_key=key),
        then=_address(job),
        page=lambda: render(request, "counter/receive.html", context, status=422 if form.is_bound else 200),
    )


@require_POST
@at_the_counter
def call_off(request: StaffRequest, number: str) -> HttpResponseBase:
    """The announced unit never came."""
    job, form = _job(number), PlainForm(request.POST)
    return _on_job(
        request,
        job,
        form,
        lambda key: actions.call_off(job=job, by=request.user, once_key=key),
        said="Called off.",
    )


@require_safe
@at_the_counter
def job(request: StaffRequest, number: str) -> HttpResponse:
    """A job at the counter: claim check, tag, shelf, accessories, photographs."""
    return _job_page(request, get_object_or_404(queries.whole_jobs(), number=number))


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(Role.COUNTER, Role.BENCH)
def put_right(request: StaffRequest, number: str) -> HttpResponseBase:
    """Correct what was written of the unit and the job: the bench reads serial number and class off the back."""
    job = get_object_or_404(queries.whole_jobs(), number=number)
    back = reverse(
        "counter:job" if request.user.has_role(Role.COUNTER) else "records:job_card", args=[job.number]
    )
    form = PutRightForm(request.POST or None, job=job)
    context = {"form": form, "job": job, "back": back, "makers": queries.maker_names()}
    return joint.answer(
        request,
        form,
        lambda key: actions.put_right(
            job=job, described=form.described(), facts=form.facts(), by=request.user, once_key=key
        ),
        then=back,
        said="Corrected. Papers that were issued stay as they are.",
        page=lambda: render(request, "counter/put_right.html", context, status=422 if form.is_bound else 200),
    )


@require_POST
@at_the_counter
def put_on_shelf(request: StaffRequest, number: str) -> HttpResponseBase:
    """Note where the unit stands now."""
    job, form = _job(number), ShelfForm(request.POST)
    return _on_job(
        request,
        job,
        form,
        lambda key: actions.put_on_shelf(
            job=job, shelf=form.cleaned_data["shelf"], by=request.user, once_key=key
        ),
        said="Noted.",
    )


@require_POST
@at_the_counter
def take_accessory(request: StaffRequest, number: str) -> HttpResponseBase:
    """An accessory that came later."""
    job, form = _job(number), AccessoryForm(request.POST)
    return _on_job(
        request,
        job,
        form,
        lambda key: actions.take_accessory(
            job=job,
            name=form.cleaned_data["name"],
            stands_at=form.cleaned_data["stands_at"],
            by=request.user,
            once_key=key,
        ),
        said="Noted.",
    )


@require_POST
@at_the_counter
def mend_accessory(request: StaffRequest, number: str, pk: int) -> HttpResponseBase:
    """Put an accessory right, or note that it is not here."""
    job = _job(number)
    accessory = get_object_or_404(Accessory.objects.select_related("job"), pk=pk, job=job)
    form = MendAccessoryForm(request.POST, auto_id=f"mend-{pk}-%s")
    return _on_job(
        request,
        job,
        form,
        lambda key: actions.mend_accessory(
            accessory=accessory,
            name=form.cleaned_data["name"],
            stands_at=form.cleaned_data["stands_at"],
            missing=form.cleaned_data["missing"],
            by=request.user,
            once_key=key,
        ),
        said="Saved.",
    )


@require_POST
@at_the_counter
def add_photos(request: StaffRequest, number: str) -> HttpResponseBase:
    """Photographs as the unit came in."""
    job, form = _job(number), PhotosForm(request.POST, request.FILES)
    return _on_job(
        request,
        job,
        form,
        lambda key: actions.attach_photos(
            job=job,
            photos=form.cleaned_data["photos"],
            caption=form.cleaned_data["caption"],
            by=request.user,
            once_key=key,
        ),
        said="Kept with the job.",
    )


@require_POST
@at_the_counter
def promise(request: StaffRequest, number: str) -> HttpResponseBase:
    """The date given to the customer."""
    job, form = _job(number), PromiseForm(request.POST)
    return _on_job(
        request,
        job,
        form,
        lambda key: actions.promise(
            job=job, promised_for=form.cleaned_data["promised_for"], by=request.user, once_key=key
        ),
        said="Noted.",
    )


@require_POST
@at_the_counter
def promise_word(request: StaffRequest, number: str) -> HttpResponseBase:
    """The date by which the customer hears of it."""
    job, form = _job(number), WordForm(request.POST)
    return _on_job(
        request,
        job,
        form,
        lambda key: actions.promise(
            job=job,
            promised_for=form.cleaned_data["word_by"],
            what=Promise.What.WORD,
            by=request.user,
            once_key=key,
        ),
        said="Noted.",
    )


@require_POST
@at_the_counter
def set_ready_unopened(request: StaffRequest, number: str) -> HttpResponseBase:
    """The unit goes back without having been on the bench."""
    job, form = _job(number), UnopenedForm(request.POST)
    return _on_job(
        request,
        job,
        form,
        lambda key: actions.set_ready_unopened(
            job=job, outcome=form.cleaned_data["outcome"], by=request.user, once_key=key
        ),
        said="Ready to go back.",
    )


FORMS: dict[str, type[PlainForm]] = {
    "shelf_form": ShelfForm,
    "accessory_form": AccessoryForm,
    "photos_form": PhotosForm,
    "promise_form": PromiseForm,
    "word_form": WordForm,
    "unopened_form": UnopenedForm,
}


def _job_page(request: StaffRequest, job: Job, *, wrong: PlainForm | None = None) -> HttpResponse:
    given = promising.standing([job.pk]).get(job.pk, {})
    word = given.get(Promise.What.WORD)
    initial = {"shelf": job.shelf, "promised_for": job.promised_for, "word_by": word.day if word else None}
    forms: dict[str, Any] = {name: kind(initial=initial) for name, kind in FORMS.items()}
    if wrong is not None:
        forms |= {name: wrong for name, kind in FORMS.items() if type(wrong) is kind}
    context = {
        "job": job,
        "accessories": [(one, _mending(one, wrong)) for one in job.accessories.order_by("id")],
        "pictures": job.pictures.filter(struck_at__isnull=True).select_related("picture"),
        "papers": job.papers.select_related("paper").order_by("-paper__issued_at"),
        "Stage": Stage,
        "ended": ENDED,
        "wrong": wrong,
        "no_finish": "" if job.stage in ENDED else promising.why_no_finish(job),
        **forms,
    }
    return render(request, "counter/job.html", context, status=200 if wrong is None else 422)


def _mending(one: Accessory, wrong: PlainForm | None) -> MendAccessoryForm:
    """The form that puts an accessory right; the refused one where it was this one's."""
    if isinstance(wrong, MendAccessoryForm) and wrong.auto_id == f"mend-{one.pk}-%s":
        return wrong
    said = {"name": one.name, "stands_at": one.stands_at, "missing": one.missing_at is not None}
    return MendAccessoryForm(auto_id=f"mend-{one.pk}-%s", initial=said)


def _on_job(
    request: StaffRequest, job: Job, form: PlainForm, action: Callable[[joint.Key], object], *, said: str
) -> HttpResponseBase:
    return joint.answer(
        request,
        form,
        action,
        then=_address(job),
        said=said,
        page=lambda: _job_page(request, _job(job.number), wrong=form),
    )


def _job(number: str) -> Job:
    return get_object_or_404(queries.whole_jobs(), number=number)


def _address(job: Job) -> str:
    return reverse("counter:job", args=[job.number])


@require_POST
@at_the_counter
def claim_check(request: StaffRequest, number: str) -> HttpResponseBase:
    """Issue the claim check for this job, and for the others that were booked in with it (`job` named several times)."""
    job = get_object_or_404(queries.whole_jobs(), number=number)
    numbers = {job.number, *request.POST.getlist("job")[:12]}
    jobs = list(queries.whole_jobs().filter(number__in=numbers, customer=job.customer).order_by("id"))
    form = PlainForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: papers.issue_claim_check(jobs=jobs, by=request.user, once_key=key),
        then=lambda made: reverse("premises:paper", args=[made]),
        page=lambda: _job_page(request, job, wrong=form),
    )


@require_safe
@for_roles(Role.COUNTER, Role.BENCH)
def tag(request: StaffRequest, number: str) -> HttpResponseBase:
    """The tag as a label to print; drawn anew each time, for a tag that was torn off."""
    job = get_object_or_404(queries.whole_jobs(), number=number)
    try:
        pdf = papers.tag_pdf(job, reached_at=_reached_at(request))
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return redirect("counter:job", job.number)
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="tag-{job.number}.pdf"'},
    )


def _reached_at(request: StaffRequest) -> str:
    """The address that this request came to; nothing where it is this machine's own name for itself, which no tablet can open."""
    host = urlsplit(f"//{request.get_host()}").hostname or ""
    return "" if host in {"localhost", "127.0.0.1", "::1"} else request.build_absolute_uri("/")
