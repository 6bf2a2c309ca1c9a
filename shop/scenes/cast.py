"""Who and what the demo's stories are about, and how a story lists the parts that were fitted."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

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


@dataclass(frozen=True, slots=True)
class PartFitted:
    """A part that was fitted, in the order in which a story lists its facts."""

    name: str
    position: str
    count: int
    price: str = ""
    state: str = "new"
    under_warranty: bool = False


def parts_of(facts: dict[str, Any]) -> list[PartFitted]:
    """The parts that were fitted in a story."""
    return [PartFitted(*listed) for listed in facts.get("parts", [])]
