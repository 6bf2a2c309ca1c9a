"""Asking by a reading: `coil open, 24 V at the relay` finds jobs that read so at such a place, beside those that say the words.

Each part of the question, between commas, names a place and what was read there: a value, or how it was wrong. A value may also
belong to the place's name (`12 V rail low`). Looked at are the readings of the newest jobs that speak of the place.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from shop.bench.models import Reading, Verdict
from shop.counter.models import Job
from shop.handbook.quantities import Quantity, Unreadable, parse
from shop.handbook.words import Asked, AskedWord, asked_form, satisfied_by, stored_tokens
from shop.records.models import SearchRow
from shop.records.searching.engine import engine
from shop.records.searching.question import the_synonyms

LOOKED_AT = 200
"""So many of the newest jobs that speak of the place have their readings looked at."""

NEAR = Decimal("0.1")
"""A reading is like the value that was asked within a tenth of it. Common practice, no source."""

MOST_PARTS = 4
MOST_READINGS = 4_000
SHOWN = 10
LONGEST = 200

_PARTS = re.compile(r"[,;]|\band\b|\bund\b", re.IGNORECASE)
_VALUE = re.compile(r"(?<![\w.,])[-−]?\d[\d.,]*\s?(?:[nuµmkM]?(?:V|A|W|Hz|Ω|F|H)|[kM]?[oO]hms?|k|M|dB)(?!\w)")
_WRONG = {
    "open": Verdict.OPEN,
    "offen": Verdict.OPEN,
    "short": Verdict.SHORT,
    "shorted": Verdict.SHORT,
    "kurzgeschlossen": Verdict.SHORT,
    "low": Verdict.LOW,
    "niedrig": Verdict.LOW,
    "high": Verdict.HIGH,
    "hoch": Verdict.HIGH,
}
_WORD = re.compile(r"\w+")


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a question: the words of a place, and what was read there."""

    place: tuple[AskedWord, ...]
    value: Quantity | None
    verdict: Verdict | None


@dataclass(frozen=True, slots=True)
class Read:
    """A job that read so, with the readings that say it."""

    job: Job
    readings: tuple[Reading, ...]


def parts_of(text: str) -> list[Part]:
    """The parts of a question that ask for a reading; none where nothing was measured."""
    found = (_part(said) for said in _PARTS.split(text[:LONGEST]))
    return [part for part in found if part is not None][:MOST_PARTS]


def _part(said: str) -> Part | None:
    value, verdict, rest = None, None, said
    if (met := _VALUE.search(said)) and (value := _quantity(met.group())):
        rest = f"{said[: met.start()]} {said[met.end() :]}"
    for word in _WORD.findall(rest):
        if verdict is None and (verdict := _WRONG.get(word.lower())):
            rest = re.sub(rf"\b{word}\b", " ", rest)
    if not rest.strip() or not (value or verdict):
        return None
    place = asked_form(rest, the_synonyms()).words
    return Part(place, value, verdict) if place else None


def _quantity(typed: str) -> Quantity | None:
    try:
        return parse(typed.replace("−", "-"))
    except Unreadable:
        return None


def jobs_reading_so(text: str) -> list[Read]:
    """Jobs with such readings, those first that have the most parts of the question, the newer first: three queries a part."""
    met: dict[int, dict[int, Reading]] = defaultdict(dict)
    parts: dict[int, set[int]] = defaultdict(set)
    for at, part in enumerate(parts_of(text)):
        for reading in _like(part):
            met[reading.job_id].setdefault(reading.pk, reading)
            parts[reading.job_id].add(at)
    best = sorted(met, key=lambda job: (-len(parts[job]), -job))[:SHOWN]
    jobs = Job.objects.select_related("unit__model__maker").in_bulk(best)
    return [Read(jobs[pk], tuple(met[pk].values())[:3]) for pk in best if pk in jobs]


def _like(part: Part) -> Iterator[Reading]:
    rows = engine().newest(Asked(part.place), LOOKED_AT)
    jobs = list(SearchRow.objects.filter(pk__in=rows).values_list("job_id", flat=True))
    standing = Reading.objects.filter(job__in=jobs, struck_at__isnull=True)
    if part.verdict is not None:
        standing = standing.filter(verdict=part.verdict)
    for reading in standing.order_by("-pk")[:MOST_READINGS]:
        if _is_there(part.place, reading) and _reads_so(part.value, reading):
            yield reading


def _is_there(place: Sequence[AskedWord], reading: Reading) -> bool:
    said = stored_tokens(f"{reading.where} {reading.channel}")
    return all(satisfied_by(word, said) is not None for word in place)


def _reads_so(asked: Quantity | None, reading: Reading) -> bool:
    """Whether the value is about what was asked, or belongs to the name of the place or to what was expected there."""
    if asked is None:
        return True
    named = stored_tokens(asked.typed)
    if set(named) <= set(stored_tokens(f"{reading.where} {reading.expected}")):
        return True
    if reading.value is None or reading.unit != asked.unit or not asked.value.is_finite():
        return False
    return abs(Decimal(reading.value) - asked.value) <= abs(asked.value) * NEAR
