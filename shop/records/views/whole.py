"""The whole shop at a glance, and the whole of one job on one page."""

from __future__ import annotations

from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.bench.queries import running_stint
from shop.counter.models import Job
from shop.frame import clock, joint, news
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import PlainForm
from shop.frame.models import Role
from shop.frame.rooms import open_door
from shop.records import actions
from shop.records import first_screen as first
from shop.records.alike import jobs_like
from shop.records.card import JobCard
from shop.records.setting_up import still_missing


@require_safe
def first_screen(request: StaffRequest) -> HttpResponse:
    """What is in the shop, by whose move it is and how long it has waited."""
    running, missing = running_stint(request.user), still_missing(request.user)
    context = {
        "screen": first.first_screen(request.user),
        "evening": first.this_evening(request.user, is_at_work=running is not None),
        "news": news.unseen(request.user),
        "missing": missing,
        "must_be_set": any(not one.may_do_without for one in missing),
        "running": running,
        "running_seconds": int((clock.now() - running.started_at).total_seconds()) if running else 0,
    }
    return render(request, "records/first_screen.html", context)


@require_POST
def news_seen(request: StaffRequest) -> HttpResponseBase:
    """This person has seen these pieces of news."""
    news.note_seen(request.user, request.POST.getlist("key")[:200])
    return joint.see_other(request, reverse("records:first_screen"))


@require_safe
def job_card(request: StaffRequest, number: str) -> HttpResponse:
    """Everything about one job on one page, printable."""
    card = JobCard.of(number.upper())
    if card is None:
        raise Http404
    return render(
        request,
        "records/job_card.html",
        {"card": card, "job": card.job},
    )


@require_safe
def like_it(request: StaffRequest, number: str) -> HttpResponse:
    """Jobs like this one, each with why."""
    job = get_object_or_404(
        Job.objects.select_related("customer", "unit__model__maker"), number=number.upper()
    )
    return render(request, "records/like_it.html", {"job": job, "alike": jobs_like(job)})


@require_POST
@for_roles(Role.COUNTER, Role.BENCH)
def note_comeback(request: StaffRequest, number: str, earlier: str) -> HttpResponseBase:
    """The job is a comeback of that earlier one."""
    job = get_object_or_404(Job.objects.select_related("unit"), number=number)
    of = get_object_or_404(Job, number=earlier)
    form = PlainForm(request.POST)
    back = _back_to(number)
    return joint.answer(
        request,
        form,
        lambda key: actions.note_comeback(job=job, earlier=of, by=request.user, once_key=key),
        then=back,
        page=lambda: joint.sent_back(request, form, back),
    )


@require_POST
@for_roles(Role.COUNTER, Role.BENCH)
def withdraw_comeback(request: StaffRequest, number: str) -> HttpResponseBase:
    """The job is no comeback after all."""
    actions.withdraw_comeback(job=get_object_or_404(Job, number=number), by=request.user)
    return redirect(_back_to(number))


def _back_to(number: str) -> str:
    return open_door("counter:job", number) or reverse("records:job_card", args=[number])
