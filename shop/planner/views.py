"""The planner's pages: thin. A form in, an action or a query, a template out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.counter.models import Job
from shop.frame import clock, joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import PlainForm, whole_number
from shop.frame.models import Role
from shop.frame.spelling import weekday
from shop.frame.tabs import Tab, Tabs
from shop.handbook.dates.refused import DatesError
from shop.planner import actions, keys, queries, reminding
from shop.planner.feed import calendar
from shop.planner.forms import EveningForm, FeedKeyForm, LetterForm, PlaceForm
from shop.planner.models import FeedKey, JobForecast
from shop.planner.reckoning import reckon
from shop.planner.week import week

TABS = Tabs(
    "The planner",
    (
        Tab("This evening", "planner:evening"),
        Tab("Week", "planner:week"),
        Tab("Reminders", "planner:reminders", (Role.COUNTER,)),
        Tab("Calendar", "planner:keys", (Role.OWNER,)),
    ),
)
of_the_shop = for_roles(Role.COUNTER, Role.BENCH)
at_the_counter = for_roles(Role.COUNTER)
of_the_owner = for_roles(Role.OWNER)
SHOWN_MOVES = 4


def _page(
    request: StaffRequest, template: str, context: Mapping[str, Any], *, refused: bool = False
) -> HttpResponse:
    tabs = TABS.context(request.user, request.path)
    return render(request, template, {**tabs, **context}, status=422 if refused else 200)


# --- the evening and the queue --------------------------------------------------------------------------------------------


@require_safe
@of_the_shop
def evening(request: StaffRequest) -> HttpResponse:
    """What fits into an evening, and the queue with its dates."""
    return _evening(request)


def _evening(request: StaffRequest, wrong: PlaceForm | None = None, of: str = "") -> HttpResponse:
    form = EveningForm(request.GET if "hours" in request.GET else None)
    minutes, begins = queries.AN_EVENING // dt.timedelta(minutes=1), queries.BEGINS
    if form.is_bound and form.is_valid():
        minutes, begins = form.cleaned_data["hours"], form.cleaned_data["begins"]
    queue, picks, trouble = queries.rows(request.user), [], ""
    try:
        picks = queries.tonight(queue, hours=minutes / 60, begins=begins.hour + begins.minute / 60)
    except DatesError as refused:
        trouble = str(refused)
    context = {
        "form": form,
        "picks": picks,
        "trouble": trouble,
        "rows": [
            (row, wrong if row.job.number == of else PlaceForm(initial={"place": at}))
            for at, row in enumerate(queue, start=1)
        ],
        "state": queries.state(),
        "record": queries.record(),
    }
    return _page(request, "planner/evening.html", context, refused=wrong is not None or bool(form.errors))


@require_POST
@of_the_shop
def move(request: StaffRequest, number: str) -> HttpResponseBase:
    """Put a job at another place of the queue, and tell which dates that moves."""
    job, form = get_object_or_404(Job, number=number), PlaceForm(request.POST)

    def moved(key: joint.Key) -> list[str]:
        before = _ready_days()
        actions.move_in_queue(job=job, place=form.cleaned_data["place"], by=request.user, once_key=key)
        reckon()
        return _what_moved(before)

    return joint.answer(
        request,
        form,
        moved,
        then=reverse("planner:evening"),
        said=lambda sentences: sentences,
        page=lambda: _evening(request, form, number),
    )


def _ready_days() -> dict[str, dt.date | None]:
    return dict(JobForecast.objects.values_list("job__number", "ready_safe"))


def _what_moved(before: dict[str, dt.date | None]) -> list[str]:
    """Whose dates the new order moves, the largest moves first."""
    moves = []
    for number, day in _ready_days().items():
        old = before.get(number)
        if day and old and day != old:
            moves.append((abs((day - old).days), f"{number} moves from {weekday(old)} to {weekday(day)}."))
    said = [sentence for _, sentence in sorted(moves, reverse=True)]
    more = [f"{len(said) - SHOWN_MOVES} more dates moved."] if len(said) > SHOWN_MOVES else []
    return [*said[:SHOWN_MOVES], *more] or ["The queue is in its new order; no date moves."]


@require_POST
@of_the_shop
def reckon_now(request: StaffRequest) -> HttpResponseBase:
    """Reckon the dates at once, for a shop whose worker does not run."""
    form, back = PlainForm(request.POST), reverse("planner:evening")
    return joint.answer(
        request,
        form,
        lambda _: reckon(),
        then=back,
        said=lambda state: state.trouble or "The dates are calculated again.",
        page=lambda: joint.sent_back(request, form, back),
    )


# --- the week and the calendar ----------------------------------------------------------------------------------------------


@require_safe
@of_the_shop
def week_page(request: StaffRequest) -> HttpResponse:
    """Seven days from the Monday of the day asked for, else of today."""
    day = _day(request.GET.get("from", "")) or clock.today()
    first = day - dt.timedelta(days=day.weekday())
    step = dt.timedelta(weeks=1)
    context = {
        "days": week(first),
        "first": first,
        "before": first - step,
        "after": first + step,
        "today": clock.today(),
    }
    return _page(request, "planner/week.html", context)


def _day(typed: str) -> dt.date | None:
    try:
        day = dt.date.fromisoformat(typed)
    except ValueError:
        return None
    return day if 2000 <= day.year <= 2200 else None


@login_not_required
@require_safe
def feed(request: HttpRequest, secret: str) -> HttpResponse:
    """The calendar, for a program that has the key in its address. A guessed key opens nothing."""
    key = keys.key_of(secret)
    if key is None:
        if keys.must_wait(request):
            return HttpResponse(status=429)
        keys.count_wrong_key(request)
        raise Http404
    response = HttpResponse(calendar(key), content_type="text/calendar; charset=utf-8")
    response["Cache-Control"] = "private, no-store"
    response["X-Robots-Tag"] = "noindex, nofollow"
    return response


@require_safe
@of_the_owner
def feed_keys(request: StaffRequest) -> HttpResponse:
    """The keys to the calendar."""
    return _keys_page(request)


def _keys_page(request: StaffRequest, form: FeedKeyForm | None = None, address: str = "") -> HttpResponse:
    context = {
        "form": form or FeedKeyForm(),
        "keys": FeedKey.objects.filter(withdrawn_at=None).order_by("-made_at"),
        "address": address,
    }
    return _page(request, "planner/keys.html", context, refused=form is not None)


@require_POST
@of_the_owner
def make_key(request: StaffRequest) -> HttpResponseBase:
    """A new key; its address is shown this once."""
    form = FeedKeyForm(request.POST)
    done = joint.taken(
        form,
        lambda key: actions.make_feed_key(
            label=form.cleaned_data["label"],
            names=form.cleaned_data["names"],
            by=request.user,
            once_key=key,
        ),
    )
    if done is None:
        return _keys_page(request, form)
    if done.made is None:
        return joint.see_other(request, reverse("planner:keys"))
    address = request.build_absolute_uri(reverse("planner:feed", args=[done.made[1]]))
    return _keys_page(request, address=address)


@require_POST
@of_the_owner
def withdraw_key(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Make a key open nothing."""
    key, form, back = get_object_or_404(FeedKey, pk=pk), PlainForm(request.POST), reverse("planner:keys")
    return joint.answer(
        request,
        form,
        lambda once: actions.withdraw_feed_key(key=key, by=request.user, once_key=once),
        then=back,
        said="Withdrawn. Whoever has that address reads nothing any more.",
        page=lambda: joint.sent_back(request, form, back),
    )


# --- reminders ------------------------------------------------------------------------------------------------------------


@require_safe
@at_the_counter
def reminders(request: StaffRequest) -> HttpResponse:
    """What somebody should be reminded of, each with its letter."""
    return _reminders_page(request)


def _reminders_page(request: StaffRequest, wrong: LetterForm | None = None, of: str = "") -> HttpResponse:
    found = [
        (
            one,
            wrong
            if wrong is not None and one.key == of
            else LetterForm(
                initial={"to": one.to, "subject": one.subject, "body": one.body}, auto_id=f"{one.key}-%s"
            ),
        )
        for one in reminding.due()
    ]
    return _page(request, "planner/reminders.html", {"reminders": found}, refused=wrong is not None)


@require_POST
@at_the_counter
def send_reminder(request: StaffRequest, key: str) -> HttpResponseBase:
    """Put the letter into the outbox as it was looked at."""
    one, form = _reminder(key), LetterForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda once: actions.send_reminder(
            job=one.job,
            kind=one.kind,
            to=form.cleaned_data["to"],
            subject=form.cleaned_data["subject"],
            body=form.cleaned_data["body"],
            new_day=one.new_day,
            what=one.what,
            by=request.user,
            once_key=once,
        ),
        then=reverse("planner:reminders"),
        said="The letter is in the outbox.",
        page=lambda: _reminders_page(request, form, key),
    )


@require_POST
@at_the_counter
def leave_reminder(request: StaffRequest, key: str) -> HttpResponseBase:
    """Leave a reminder aside for a week."""
    one, form, back = _reminder(key), PlainForm(request.POST), reverse("planner:reminders")
    return joint.answer(
        request,
        form,
        lambda once: actions.leave_reminder(job=one.job, kind=one.kind, by=request.user, once_key=once),
        then=back,
        said="Left aside for a week.",
        page=lambda: joint.sent_back(request, form, back),
    )


def _reminder(key: str) -> reminding.Reminder:
    """The reminder that a form speaks of; one that was dealt with meanwhile is looked up by its job, for the form's answer."""
    found = next((one for one in reminding.due() if one.key == key), None)
    if found is not None:
        return found
    kind, _, pk = key.partition("-")
    if kind not in reminding.KINDS:
        raise Http404
    return reminding.Reminder(kind, get_object_or_404(Job, pk=whole_number(pk)), "", "", "")
