"""One reading as the rules of isolation see it.

Sources
    A thing is absent at a tenth of what was expected or less; without an expectation a drive is present from 1 V: common
    practice, no source. A rail's own name is taken as its value, give or take a fifth: common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import cached_property

from ..quantities import Kind, Quantity
from ..readings import Judgement, Verdict
from ..readings.expected import shown
from .points import Point, Role, read_point
from .states import State, read_state

FactId = int | str

PRESENT_FROM = Decimal(1)
A_TENTH = Decimal("0.1")
A_FIFTH = Decimal("0.2")

VOLTAGES = frozenset({Kind.VOLTAGE_DC, Kind.VOLTAGE_AC, Kind.VOLTAGE_PP})
ALTERNATING = frozenset({Kind.VOLTAGE_AC, Kind.VOLTAGE_PP})

_TO_CHASSIS = re.compile(r"\b(?:chassis|ground|gnd|earth|common|0 ?v|zero|minus|b-|negative)\b").search


@dataclass(frozen=True)
class Fact:
    """One reading as the rules see it.

    ``where``: the place as typed; ``role``: as a person chose it, None for the guess; ``against``: where the other probe
    was; ``condition``: how the unit stood; ``after_repair``: read once the repair was done.
    ``circuit``: the one name that the job has for the point's circuit.
    """

    id: FactId
    where: str
    quantity: Quantity
    kind: Kind
    judgement: Judgement | None = None
    role: Role | None = None
    channel: str = ""
    condition: str = ""
    against: str = ""
    after_repair: bool = False
    circuit: tuple[str, ...] = field(default=(), compare=False)

    @cached_property
    def point(self) -> Point:
        """Where it was read, with the role that a person chose."""
        point = read_point(self.where, self.kind, self.channel)
        if self.role is not None:
            point = replace(point, role=self.role)
        return replace(point, circuit=self.circuit) if self.circuit else point

    @cached_property
    def state(self) -> State:
        """How the unit stood."""
        return read_state(self.condition)

    @property
    def against_chassis(self) -> bool:
        """Whether the other probe was at the chassis, so that the reading is no voltage across a part."""
        return bool(_TO_CHASSIS(self.against.casefold()))

    @property
    def place(self) -> str:
        """Point and channel as they stand in a sentence."""
        if not self.channel or self.channel.casefold() in self.where.casefold().split():
            return self.where
        return f"{self.where}, {'channel ' if len(self.channel) == 1 else ''}{self.channel}"

    @property
    def value(self) -> Decimal:
        """The amount with its sign."""
        return self.quantity.value

    @property
    def size(self) -> Decimal:
        """The amount, whatever its sign."""
        return abs(self.quantity.value)

    @property
    def endless(self) -> bool:
        """Over range."""
        return self.quantity.value.is_infinite() or self.quantity.over_range

    @property
    def shown(self) -> str:
        """The value as it stands in a sentence."""
        return "over range" if self.endless else shown(self.quantity.value, self.quantity.unit)

    @property
    def verdict(self) -> Verdict:
        """What the reading came to; NONE where nothing was expected."""
        return self.judgement.verdict if self.judgement else Verdict.NONE

    @property
    def good(self) -> bool:
        """Whether it is what was expected."""
        return self.verdict is Verdict.WITHIN

    @property
    def outside(self) -> bool:
        """Whether the reading is surely not what was expected."""
        return self.verdict in {Verdict.LOW, Verdict.HIGH, Verdict.OPEN, Verdict.SHORT}

    @property
    def wanted(self) -> Decimal | None:
        """What should be here with its sign: the nearest limit of what was expected, else what the rail's name says."""
        if self.judgement is not None and self.judgement.limit is not None:
            return self.judgement.limit
        return self.point.volt if self.point.role is Role.RAIL else None

    @property
    def named(self) -> bool:
        """Whether only the rail's name says what should be here."""
        return self.verdict is Verdict.NONE and self.wanted is not None

    @property
    def turned(self) -> bool:
        """Whether the other polarity is here of what should be, and no trace of it."""
        wanted = self.wanted
        if wanted is None or self.kind is not Kind.VOLTAGE_DC or self.good or self.endless:
            return False
        return self.value * wanted < 0 and self.size > abs(wanted) * A_FIFTH

    @property
    def absent(self) -> bool:
        """Whether next to nothing is here of what was expected; between that and present, neither holds."""
        wanted = self.wanted
        if wanted is None or self.endless or not (self.named or self.verdict is Verdict.LOW):
            return False
        return self.size <= abs(wanted) * A_TENTH

    @property
    def low(self) -> bool:
        """Clearly less than it should be, but not gone."""
        if self.absent or self.turned or self.endless:
            return False
        return self.verdict is Verdict.LOW or (
            self.named and self.size < abs(self.wanted or Decimal(0)) * (1 - A_FIFTH)
        )

    @property
    def high(self) -> bool:
        """Clearly more than it should be."""
        if self.turned:
            return False
        return self.verdict is Verdict.HIGH or (
            self.named and self.size > abs(self.wanted or Decimal(0)) * (1 + A_FIFTH)
        )

    @property
    def present(self) -> bool:
        """Whether what was expected here is there, if not to the last percent."""
        if self.named:
            return not self.absent and not self.low and not self.turned
        if self.verdict is Verdict.NONE:
            return self.size >= PRESENT_FROM
        return self.verdict in {Verdict.WITHIN, Verdict.HIGH, Verdict.TOO_CLOSE} and not self.turned
