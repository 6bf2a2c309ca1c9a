"""What the readings of one job suggest: a small, open set of rules of isolation, each citing what it rests on.

Sources: each rule names its own, and when it does not hold.

None of them decides. A suggestion is a place to look next, and the person at the bench may overrule it by its name.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

from ..quantities import Kind
from .facts import ALTERNATING, VOLTAGES, Fact, FactId
from .points import Point, Role, joined, read_point
from .rule import Hint, Rule, Target
from .rules import RULES
from .rules.supply import missing

__all__ = [
    "RULES",
    "Fact",
    "FactId",
    "Hint",
    "Point",
    "Role",
    "Rule",
    "Suggestion",
    "Target",
    "read_point",
    "suggest",
]


@dataclass(frozen=True, slots=True)
class Suggestion:
    """Where to look next, and why.

    ``rule`` is the name by which it is overruled; ``cites`` the readings used; ``then`` what to measure to be sure;
    ``counter`` when it does not hold; ``source`` what the rule rests on.
    """

    rule: str
    says: str
    cites: tuple[FactId, ...]
    target: Target
    then: str = ""
    counter: str = ""
    source: str = ""
    overruled: bool = False


def suggest(
    facts: Iterable[Fact], *, overruled: Collection[str] = (), rules: Sequence[Rule] = RULES
) -> tuple[Suggestion, ...]:
    """What the readings of one job suggest, in the order of the rules.

    ``facts`` in the order in which they were read: where one point was read twice, the later reading counts.
    ``overruled``: names of rules; what they say is still given, marked as overruled.
    """
    now = latest(_in_circuits(facts))
    supply_first = bool(missing(now))
    seen = [
        (rule, hint) for rule in rules if not (rule.after_supply and supply_first) for hint in rule.read(now)
    ]
    return tuple(
        Suggestion(
            rule.name,
            hint.says,
            tuple(dict.fromkeys(fact.id for fact in hint.cites)),
            hint.target,
            hint.then,
            rule.counter,
            rule.source,
            rule.name in overruled,
        )
        for rule, hint in seen
        if not _quieted(rule, hint, seen)
    )


def _quieted(rule: Rule, hint: Hint, seen: Sequence[tuple[Rule, Hint]]) -> bool:
    ids = {fact.id for fact in hint.cites}
    return any(
        other.name in rule.quieted_by and ids & {fact.id for fact in better.cites} for other, better in seen
    )


def _in_circuits(facts: Iterable[Fact]) -> list[Fact]:
    """The facts with one name for each circuit, however it was typed."""
    facts = list(facts)
    names = joined(fact.point.circuit for fact in facts)
    return [replace(fact, circuit=names[fact.point.circuit]) for fact in facts]


def latest(facts: Iterable[Fact]) -> list[Fact]:
    """The last reading of each point, under each condition where that changes what should be there.

    Once a point was read after the repair, what it read before says nothing any more.
    """
    kept: dict[tuple[object, ...], Fact] = {}
    for fact in facts:
        key = (fact.point.key, fact.point.role, fact.kind, fact.against_chassis, _condition(fact))
        kept.pop(key, None)
        kept[key] = fact
    repaired = {(fact.point.key, fact.kind) for fact in kept.values() if fact.after_repair}
    return [
        fact for fact in kept.values() if fact.after_repair or (fact.point.key, fact.kind) not in repaired
    ]


_OF_THE_PART = frozenset(
    {Kind.RESISTANCE, Kind.ESR, Kind.DIODE, Kind.CAPACITANCE, Kind.INDUCTANCE, Kind.FREQUENCY, Kind.PERCENT}
)
_STANDING = frozenset({Role.RAIL, Role.SUPPLY})


def _condition(fact: Fact) -> object:
    """What of the condition makes another reading of it; a rail is one thing, a motor at play and at rewind are two."""
    state = fact.state
    special = (state.swapped, state.pulled)
    if fact.point.role is Role.BIAS:
        return special, state.minutes
    if fact.point.role is Role.OUTPUT and fact.kind is Kind.VOLTAGE_DC:
        return special
    if fact.point.role in _STANDING and fact.kind in VOLTAGES | ALTERNATING | {Kind.FREQUENCY}:
        return special
    if fact.kind in _OF_THE_PART and not (fact.point.role is Role.CONTACT and "open" in state.words.split()):
        return special
    return special, state.words
