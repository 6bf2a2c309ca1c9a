"""What the readings of one job suggest: the handbook's rules of isolation over what was measured."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from shop.bench.judging import JudgedReading, judged_reading
from shop.bench.models import Overruled, Reading
from shop.counter.models import TestPoint
from shop.frame.refusal import Refusal
from shop.handbook.isolation import Fact, Point, Role, Suggestion, read_point, suggest
from shop.handbook.quantities import Kind
from shop.handbook.readings import Verdict


@dataclass(frozen=True, slots=True)
class Suggested:
    """One suggestion with the readings that it rests on, and why it was set aside if it was."""

    suggestion: Suggestion
    readings: tuple[Reading, ...]
    overruled: Overruled | None


def suggested(
    readings: Iterable[Reading], overruled: Sequence[Overruled], points: Sequence[TestPoint] = ()
) -> list[Suggested]:
    """What these readings suggest, those that stand first. Struck readings and struck overrulings don't count.

    `points`: of the model file; a place that has a role there has it here, too.
    """
    standing = {one.pk: one for one in readings if one.struck_at is None}
    known = roles_known(points)
    facts = [fact for one in standing.values() if (fact := as_fact(one, known)) is not None]
    aside = {one.rule: one for one in overruled if one.struck_at is None}
    found = [
        Suggested(one, tuple(standing[int(pk)] for pk in one.cites), aside.get(one.rule))
        for one in suggest(facts, overruled=set(aside))
    ]
    return sorted(found, key=lambda one: one.overruled is not None)


PlaceKey = tuple[object, ...]


def roles_known(points: Iterable[TestPoint]) -> dict[PlaceKey, Role]:
    """The roles that the model file has, by place, in whatever words the place is typed."""
    return {
        point_of(one.where or one.name, one.quantity).key: Role(one.role)
        for one in points
        if one.role in set(Role)
    }


def point_of(where: str, quantity: str, channel: str = "") -> Point:
    """What the handbook reads in a place."""
    return read_point(where, Kind(quantity) if quantity in set(Kind) else None, channel)


def role_of(reading: Reading, known: Mapping[PlaceKey, Role]) -> Role | None:
    """The role that a person gave the place, on this reading or in the model file; None leaves it to the guess."""
    if reading.role in set(Role):
        return Role(reading.role)
    return known.get(point_of(reading.where, reading.quantity, reading.channel).key)


def as_fact(reading: Reading, known: Mapping[PlaceKey, Role]) -> Fact | None:
    """A reading as the rules see it, with the verdict that was written down; None for what no longer can be read."""
    judged = _read_again(reading.typed, reading.quantity, reading.expected) or _read_again(
        reading.typed, reading.quantity, ""
    )
    if judged is None:
        return None
    value = judged.quantity
    if reading.value is not None and value.value != reading.value:
        value = replace(value, value=Decimal(reading.value))
    return Fact(
        id=reading.pk,
        where=reading.where,
        role=role_of(reading, known),
        quantity=value,
        kind=Kind(reading.quantity),
        judgement=replace(judged.judgement, verdict=Verdict(reading.verdict)),
        channel=reading.channel,
        condition=reading.condition,
        against=reading.against,
        after_repair=reading.after_repair,
    )


@lru_cache(maxsize=4096)
def _read_again(typed: str, quantity: str, expected: str) -> JudgedReading | None:
    """What was typed, against an expectation; None for what can't be read. A bare target is no expectation.

    Kept, because all readings of a job are read again with each note that is taken on it.
    """
    try:
        return judged_reading(typed=typed, quantity=quantity, expected=expected)
    except Refusal:
        return None
