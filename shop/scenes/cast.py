"""Who and what the demo's stories are about, and how a story lists the parts that were fitted."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NotRequired, TypedDict

from shop.counter.models import Customer, Job, Unit, UnitModel
from shop.frame.models import Staff
from shop.stockroom.models import Part


@dataclass(slots=True)
class Cast:
    """Everybody and everything the stories need."""

    owner: Staff
    models: dict[str, UnitModel]
    customers: dict[str, Customer]
    parts: dict[str, Part] = field(default_factory=dict)
    units: dict[str, Unit] = field(default_factory=dict)
    jobs: dict[str, Job] = field(default_factory=dict)


Told = TypedDict(
    "Told",
    {
        "key": str,
        "who": str,
        "unit": str,
        "says": str,
        "ago": int,
        "took": NotRequired[int],
        "since": NotRequired[int],
        "stage": NotRequired[str],
        "with": NotRequired[list[str]],
        "condition": NotRequired[str],
        "shelf": NotRequired[str],
        "value": NotRequired[str],
        "fee": NotRequired[str],
        "how": NotRequired[str],
        "carrier": NotRequired[str],
        "tracking": NotRequired[str],
        "packing": NotRequired[tuple[str, str]],
        "home": NotRequired[str],
        "comeback": NotRequired[str],
        "warranty": NotRequired[bool],
        "donor": NotRequired[bool],
        "running": NotRequired[bool],
        "found": NotRequired[list[str]],
        "meas": NotRequired[list[list[str]]],
        "traces": NotRequired[list[list[str]]],
        "hours": NotRequired[dict[str, int]],
        "parts": NotRequired[list[tuple[str, str, int]]],
        "wants": NotRequired[list[str]],
        "end": NotRequired[list[str]],
        "safety": NotRequired[bool],
        "estimate": NotRequired[list[tuple[str, str, str, int]]],
        "answer": NotRequired[str],
        "invoice": NotRequired[bool],
        "unpaid": NotRequired[bool],
    },
)
"""One job's story as `fixtures/demo` tells it: days ago and days that it took, minutes of work by their kind."""


@dataclass(frozen=True, slots=True)
class PartFitted:
    """A part that was fitted, in the order in which a story lists its facts."""

    name: str
    position: str
    count: int
    price: str = ""
    state: str = "new"
    under_warranty: bool = False


def parts_of(facts: Told) -> list[PartFitted]:
    """The parts that were fitted in a story."""
    return [PartFitted(*listed) for listed in facts.get("parts", [])]
