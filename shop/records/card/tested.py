"""Soak tests and safety checks, each with what hangs on it, in one joined query."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import F

from shop.bench.models import SafetyCheck, SoakTest
from shop.counter.models import Job


@dataclass(frozen=True, slots=True)
class Tested:
    """A soak test or a safety check with its checks or tests, each as the database joined it."""

    of: Any
    lines: list[Any]


def soaks_of(job: Job) -> list[Tested]:
    """The soak tests of a job, each with its checks."""
    joined = (
        SoakTest.objects.filter(job=job)
        .select_related("by")
        .annotate(
            check_at=F("checks__at"),
            check_temperature=F("checks__temperature"),
            check_offset=F("checks__dc_offset"),
            check_came_back=F("checks__came_back"),
            check_note=F("checks__note"),
        )
        .order_by("at", "id", "checks__at", "checks__id")
    )
    return _together(joined, told=lambda row: row.check_at is not None)


def safety_checks_of(job: Job) -> list[Tested]:
    """The safety checks of a job, each with its tests."""
    joined = (
        SafetyCheck.objects.filter(job=job)
        .select_related("by", "meter")
        .annotate(
            test_label=F("tests__label"),
            test_typed=F("tests__typed"),
            test_limit=F("tests__limit"),
            test_outcome=F("tests__outcome"),
            test_sentence=F("tests__sentence"),
        )
        .order_by("at", "id", "tests__id")
    )
    return _together(joined, told=lambda row: row.test_label is not None)


def _together(joined: Iterable[Any], *, told: Callable[[Any], bool]) -> list[Tested]:
    """Rows of an outer join put back under the row they hang on."""
    found: dict[int, Tested] = {}
    for row in joined:
        tested = found.setdefault(row.pk, Tested(row, []))
        if told(row):
            tested.lines.append(row)
    return list(found.values())
