"""What a rule is: a name, what it rests on, where it fails, and the function that reads a job's facts."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby

from .facts import Fact
from .points import Role

PRACTICE = "common practice, no source"


class Target(StrEnum):
    """Where a suggestion points."""

    LOAD = "the load"
    UPSTREAM = "upstream"
    COMMAND = "the command"
    DRIVER = "the driver"
    BEYOND = "beyond the driver"
    CONTACT = "the contact"
    CHANNEL = "one channel"
    COMMON = "what both channels share"
    SUPPLY = "the supply"
    LEADS = "the leads"
    OUTPUT_STAGE = "the output stage"
    SIDE = "one side"
    PART = "the swapped part"
    AROUND = "around the swapped part"
    DEVICE = "the device"
    COUPLING = "the coupling capacitor"


@dataclass(frozen=True, slots=True)
class Hint:
    """What a rule saw, and what to measure next to be sure of it."""

    says: str
    cites: tuple[Fact, ...]
    target: Target
    then: str = ""


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule by name.

    ``read`` gets the job's facts in their order and yields what it sees, unnamed. ``counter``: when it doesn't hold.
    ``quieted_by``: rules that know better; where one of them rests on a reading of this one's, this one is silent.
    ``after_supply``: whether it says nothing while a rail is missing: supply first.
    """

    name: str
    title: str
    read: Callable[[Sequence[Fact]], Iterable[Hint]]
    counter: str
    source: str = PRACTICE
    quieted_by: tuple[str, ...] = ()
    after_supply: bool = False


def of(facts: Iterable[Fact], *roles: Role) -> list[Fact]:
    """The facts with one of these roles."""
    return [fact for fact in facts if fact.point.role in roles]


def together(facts: Iterable[Fact], key: Callable[[Fact], tuple[object, ...]]) -> Iterator[list[Fact]]:
    """The facts that share a key, each group in the order of reading."""

    def sortable(fact: Fact) -> str:
        return repr(key(fact))

    for _, group in groupby(sorted(facts, key=sortable), key=sortable):
        yield list(group)


def by_circuit(fact: Fact) -> tuple[object, ...]:
    """What belongs together: one circuit in one channel."""
    return fact.point.circuit, fact.point.channel
