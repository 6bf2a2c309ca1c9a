"""What the readings of one job suggest: a small, open set of rules of isolation, each citing what it rests on.

Sources: the rules and their thresholds are common practice; each module says which.

None of them decides. A suggestion is a place to look next, and the person at the bench may overrule it by its name.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from .facts import Fact, FactId, Role
from .rules import RULES, Hint, Rule, Target

__all__ = ["RULES", "Fact", "FactId", "Hint", "Role", "Rule", "Suggestion", "Target", "suggest"]


@dataclass(frozen=True, slots=True)
class Suggestion:
    """Where to look next, and why. ``rule`` is the name by which it is overruled; ``cites`` the readings used."""

    rule: str
    says: str
    cites: tuple[FactId, ...]
    target: Target
    overruled: bool = False


def suggest(
    facts: Iterable[Fact], *, overruled: Collection[str] = (), rules: Sequence[Rule] = RULES
) -> tuple[Suggestion, ...]:
    """What the readings of one job suggest, in the order of the rules.

    ``facts`` in the order in which they were read: where one point was read twice under one condition, the later
    reading counts. ``overruled``: names of rules; what they say is still given, marked as overruled.
    """
    latest = _latest(facts)
    return tuple(
        Suggestion(
            rule.name, hint.says, tuple(fact.id for fact in hint.cites), hint.target, rule.name in overruled
        )
        for rule in rules
        for hint in rule.read(latest)
    )


def _latest(facts: Iterable[Fact]) -> list[Fact]:
    """The last reading of each point under each condition."""
    kept: dict[tuple[object, ...], Fact] = {}
    for fact in facts:
        key = (fact.where.casefold(), fact.role, fact.kind, fact.channel, fact.condition.casefold())
        kept.pop(key, None)
        kept[key] = fact
    return list(kept.values())
