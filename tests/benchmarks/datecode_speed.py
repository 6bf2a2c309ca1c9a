"""How many date codes a second are read: distinct strings, nothing memoised. Prints JSON.

Run it by hand from the top of the repository: ``python -m tests.benchmarks.datecode_speed``. The house asks for
10,000 a second or more, over every kind of marking together.
"""

from __future__ import annotations

import json
import platform
import time
from collections.abc import Iterator
from contextlib import suppress
from datetime import date, timedelta

from shop.handbook.datecodes import (
    NotADate,
    System,
    encode_era,
    encode_label,
    encode_month_year,
    encode_source_date,
    encode_year_month,
    encode_yww,
    encode_yyww,
    read_date,
)

TODAY = date(2026, 11, 25)
ASKED_FOR = 10_000
DAYS = [date(1950, 1, 2) + timedelta(days=3 * step) for step in range(9_000)]


def markings() -> dict[str, list[str]]:
    """Distinct markings of each kind; the refused ones have a form but no day, or no form at all."""
    lettered = [day for day in DAYS if day.year >= 1970]
    kinds: dict[str, Iterator[str]] = {
        "YYWW": (encode_yyww(day) for day in DAYS),
        "YWW": (encode_yww(day) for day in DAYS),
        "source and date": (
            encode_source_date(f"{100 + place % 900}", day, 1 + place % 2) for place, day in enumerate(DAYS)
        ),
        "year letter and month": (encode_year_month(day) for day in lettered),
        "month and year letter": (encode_month_year(day) for day in lettered),
        "label, American": (encode_label(day) for day in DAYS),
        "label, European": (encode_label(day, System.LABEL_EUROPE, 4) for day in DAYS),
        "label, Japanese": (encode_label(day, System.LABEL_JAPAN) for day in DAYS),
        "label, era": (encode_era(day) for day in DAYS),
        "refused": (f"{place:02d}{week}" for place in range(100) for week in ("00", "77", "ZZ", "-1-")),
    }
    return {kind: list(dict.fromkeys(texts)) for kind, texts in kinds.items()}


def seconds_for(texts: list[str]) -> float:
    """How long it takes to read all of them once."""
    start = time.perf_counter()
    for text in texts:
        with suppress(NotADate):
            read_date(text, TODAY)
    return time.perf_counter() - start


def main() -> None:
    """Measure each kind, and all the distinct strings in one run."""
    kinds = markings()
    every = list(dict.fromkeys(text for texts in kinds.values() for text in texts))
    whole = len(every) / seconds_for(every)
    report = {
        "python": platform.python_version(),
        "distinct_strings": len(every),
        "per_second": round(whole),
        "asked_for": ASKED_FOR,
        "enough": whole >= ASKED_FOR,
        "per_second_by_kind": {kind: round(len(texts) / seconds_for(texts)) for kind, texts in kinds.items()},
    }
    print(json.dumps(report, indent=2))  # noqa: T201 - a script whose answer is printed


if __name__ == "__main__":
    main()
