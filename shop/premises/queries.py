"""What is asked of the premises: the journal, the terms, the staff."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.db.models import QuerySet

from shop.frame import clock
from shop.frame.models import JournalEntry, NumberSeries, Staff
from shop.premises.models import BenchWeek, DaysOff, PromiseRules, Terms

PAGE = 50


@dataclass(frozen=True, slots=True)
class JournalPage:
    """Some entries, newest first, and the keys of the pages beside them (None where there is none)."""

    entries: list[JournalEntry]
    newer_than: int | None
    older_than: int | None


def journal_page(
    *, before: int | None = None, after: int | None = None, verb: str = "", staff: int | None = None
) -> JournalPage:
    """The journal newest first, from just below `before` or just above `after`; only one verb or one person if named."""
    entries = JournalEntry.objects.select_related("staff").prefetch_related("touches")
    if verb:
        entries = entries.filter(verb=verb)
    if staff:
        entries = entries.filter(staff_id=staff)
    if after is not None:
        found = list(entries.filter(sequence__gt=after).order_by("sequence")[: PAGE + 1])
        shown, more_newer = found[:PAGE][::-1], len(found) > PAGE
        return JournalPage(shown, *_neighbours(shown, more_newer=more_newer, more_older=True))
    if before is not None:
        entries = entries.filter(sequence__lt=before)
    found = list(entries.order_by("-sequence")[: PAGE + 1])
    shown, more_older = found[:PAGE], len(found) > PAGE
    return JournalPage(shown, *_neighbours(shown, more_newer=before is not None, more_older=more_older))


def _neighbours(
    shown: list[JournalEntry], *, more_newer: bool, more_older: bool
) -> tuple[int | None, int | None]:
    if not shown:
        return None, None
    return (shown[0].sequence if more_newer else None, shown[-1].sequence if more_older else None)


def terms_on(day: dt.date) -> Terms | None:
    """The shop's terms that hold on a day, or None before the first."""
    return Terms.objects.filter(from_date__lte=day).order_by("-from_date").first()


def all_terms() -> QuerySet[Terms]:
    """Every version of the terms, the latest first."""
    return Terms.objects.select_related("by").order_by("-from_date")


def number_series() -> list[NumberSeries]:
    """The series of this year, and of later ones where a number was set ahead."""
    return list(NumberSeries.objects.filter(year__gte=clock.today().year).order_by("year", "name"))


def staff_by_name() -> QuerySet[Staff]:
    """Everybody who works or worked here, those who work here first."""
    people = Staff.objects.prefetch_related("groups")
    return people.order_by("-is_active", "last_name", "first_name", "username")


def bench_week_on(day: dt.date) -> BenchWeek | None:
    """The hours that hold on a day; None before any were written down."""
    return BenchWeek.objects.filter(from_date__lte=day).first()


def days_off(first: dt.date, last: dt.date) -> dict[dt.date, str]:
    """The days off within two days, both included, each with the reason."""
    found: dict[dt.date, str] = {}
    for off in DaysOff.objects.filter(first__lte=last, last__gte=first):
        day = max(off.first, first)
        while day <= min(off.last, last):
            found[day] = off.why
            day += clock.A_DAY
    return found


def promise_rules() -> PromiseRules:
    """How promised dates are dealt with; as it is usual where nothing was written down."""
    return PromiseRules.objects.first() or PromiseRules()
