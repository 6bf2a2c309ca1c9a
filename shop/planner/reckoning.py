"""Reckoning the dates of all open jobs: a task, at most some minutes behind the book, and never on a page's time."""

from __future__ import annotations

import datetime as dt
import random

from django.db import transaction

from shop.counter.models import Promise
from shop.frame import clock
from shop.frame.models import JournalHead
from shop.handbook.counting import percentile
from shop.handbook.dates.forecasting import (
    LIKELY,
    SAFE,
    Learned,
    Open,
    Spread,
    Told,
    forecast,
    learn,
    queue_hours,
)
from shop.handbook.dates.kept import widened, widening
from shop.handbook.dates.load import Load, load_of
from shop.handbook.dates.refused import DatesError, Stream
from shop.handbook.dates.worked import bench_of
from shop.planner import reading, reminding
from shop.planner.kept import gone
from shop.planner.models import ForecastState, JobForecast

BEHIND = dt.timedelta(minutes=2)
LOAD_WEEKS = 26
QUEUE_RUNS = 2000


def is_stale() -> bool:
    """Whether the book or the day has gone on since the dates were reckoned."""
    state = ForecastState.objects.first()
    if state is None:
        return True
    head = JournalHead.objects.values_list("sequence", flat=True).first() or 0
    now = clock.now()
    if clock.day_of(state.made_at) != clock.day_of(now):
        return True
    return head != state.sequence and not now - BEHIND < state.made_at <= now


def chances_of(day: dt.date) -> Stream:
    """A generator for each name, the same all day long: so that what moves was moved by the book, not by chance."""
    return lambda name: random.Random(f"{day} {name}")  # noqa: S311 - a forecast, not a secret


def reckon() -> ForecastState:
    """Reckon the dates anew and keep them. May be done twice without harm."""
    head = JournalHead.objects.values_list("sequence", flat=True).first() or 0
    state = ForecastState(made_at=clock.now(), sequence=head)
    today = clock.today()
    past, queue = reading.past_book(), reading.queue_book()
    known = reading.history(past)
    opened = reading.open_jobs(queue, past)
    learned, stream = learn(known), chances_of(today)
    rows: list[JobForecast] = []
    try:
        bench = bench_of(today, reading.plan_on(today), reading.worked_weeks(past))
        told = forecast(opened, learned, bench, stream)
        factor = {what: widening(gone(what)) for what in Promise.What.values}
        rows = [
            _row(place, one, said, learned, today, factor)
            for place, (one, said) in enumerate(zip(opened, told, strict=True), start=1)
        ]
        state.past_jobs, state.past_weeks, state.week_hours = learned.hours.jobs, bench.past, bench.mean_week
        state.widened = factor[Promise.What.READY]
        _note_queue(state, opened, learned, stream)
        _note_load(state, past, learned, today)
    except DatesError as refused:
        state.trouble = str(refused)
    with transaction.atomic():
        JobForecast.objects.all().delete()
        JobForecast.objects.bulk_create(rows)
        ForecastState.objects.all().delete()
        state.save(force_insert=True)
    # who is to be reminded hangs on the dates that stand now
    state.reminders = reminding.in_words()
    state.save(update_fields=["reminders"])
    return state


def _row(
    place: int, one: Open, told: Told, learned: Learned, today: dt.date, factor: dict[str, float]
) -> JobForecast:
    word, ready = told.first_word, told.ready
    likely, safe = _dates(today, ready, factor[Promise.What.READY])
    word_likely, word_safe = _dates(today, word, factor[Promise.What.WORD]) if word else (None, None)
    return JobForecast(
        job_id=int(one.key),
        place=place,
        hours_left=learned.hours.left(one.groups, one.done, [LIKELY])[0],
        word_likely=word_likely,
        word_safe=word_safe,
        ready_likely=likely,
        ready_safe=safe,
        like_jobs=told.basis.like or told.basis.jobs,
        like_what=told.basis.group.partition(" ")[0],
    )


def _dates(today: dt.date, spread: Spread, factor: float) -> tuple[dt.date | None, dt.date | None]:
    """Likely and safe, counted from today; None for what lies beyond all that was worked out."""

    def day(share: float, by: float) -> dt.date | None:
        days = spread.percentile(share)
        return None if days >= spread.beyond else today + dt.timedelta(days=widened(days, by))

    return day(LIKELY, 1.0), day(SAFE, factor)


def _note_queue(state: ForecastState, opened: list[Open], learned: Learned, stream: Stream) -> None:
    hours = queue_hours(learned.hours, [(one.groups, one.done) for one in opened], stream, QUEUE_RUNS)
    state.queue_likely_hours, state.queue_safe_hours = percentile(hours, LIKELY), percentile(hours, SAFE)


def _note_load(state: ForecastState, past: reading.Book, learned: Learned, today: dt.date) -> None:
    came = [clock.day_of(job.booked_in_at) for job in past.jobs if job.booked_in_at]
    first = min(came, default=today)
    weeks = min((today - first).days // 7, LOAD_WEEKS)
    if weeks < 1 or not learned.hours.jobs:
        return
    counts = [0] * weeks
    for day in came:
        back = (today - day).days // 7
        if 0 <= back < weeks:
            counts[weeks - 1 - back] += 1
    load: Load = load_of(counts, learned.hours.mean, state.week_hours)
    state.load, state.more_hours, state.jobs_it_bears = load.share, load.more_hours, load.jobs_it_bears
    if load.grows_since is not None:
        state.grows_since = today - dt.timedelta(weeks=load.grows_since)
