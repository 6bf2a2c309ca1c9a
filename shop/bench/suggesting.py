"""What the readings of one job suggest: the handbook's rules of isolation over what was measured."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from shop.bench.judging import judged_reading
from shop.bench.models import Overruled, Reading
from shop.frame.refusal import Refusal
from shop.handbook.isolation import Fact, Role, Suggestion, suggest
from shop.handbook.quantities import Kind
from shop.handbook.readings import Verdict


@dataclass(frozen=True, slots=True)
class Suggested:
    """One suggestion with the readings that it rests on, and why it was set aside if it was."""

    suggestion: Suggestion
    readings: tuple[Reading, ...]
    overruled: Overruled | None


def suggested(readings: Iterable[Reading], overruled: Sequence[Overruled]) -> list[Suggested]:
    """What these readings suggest, those that stand first. Struck readings and struck overrulings don't count."""
    standing = {one.pk: one for one in readings if one.struck_at is None}
    facts = [fact for one in standing.values() if (fact := as_fact(one)) is not None]
    aside = {one.rule: one for one in overruled if one.struck_at is None}
    found = [
        Suggested(one, tuple(standing[int(pk)] for pk in one.cites), aside.get(one.rule))
        for one in suggest(facts, overruled=set(aside))
    ]
    return sorted(found, key=lambda one: one.overruled is not None)


def as_fact(reading: Reading) -> Fact | None:
    """A reading as the rules see it, with the verdict that was written down; None for what no longer can be read."""
    try:
        judged = judged_reading(typed=reading.typed, quantity=reading.quantity, expected=reading.expected)
        role = Role(reading.role) if reading.role else None
    except (Refusal, ValueError):
        return None
    value = judged.quantity
    if reading.value is not None and value.value != reading.value:
        value = replace(value, value=Decimal(reading.value))
    return Fact(
        id=reading.pk,
        where=reading.where,
        role=role,
        quantity=value,
        kind=Kind(reading.quantity),
        judgement=replace(judged.judgement, verdict=Verdict(reading.verdict)),
        channel=reading.channel,
        condition=reading.condition,
        after_repair=reading.after_repair,
    )
