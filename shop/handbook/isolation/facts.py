"""One reading as the rules of isolation see it.

Sources
    A thing is absent at a tenth of what was expected or less; without an expectation a drive or a rail is present from
    1 V and absent under 0.1 V: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from ..quantities import Kind, Quantity
from ..readings import Judgement, Verdict
from ..readings.expected import shown

FactId = int | str

PRESENT_FROM = Decimal(1)
ABSENT_UNDER = Decimal("0.1")
A_TENTH = Decimal("0.1")


class Role(StrEnum):
    """What a point is to its circuit. A reading without a role takes part in no rule."""

    RAIL = "rail"
    DRIVE = "drive"
    LOAD = "load"
    OUTPUT = "output"
    BIAS = "bias"
    SIGNAL = "signal"
    SWAPPED = "swapped"

    @property
    def label(self) -> str:
        """The role as it is offered on a screen."""
        return _ROLE_LABELS[self]


_ROLE_LABELS = {
    Role.RAIL: "Supply rail",
    Role.DRIVE: "Drive that a load gets",
    Role.LOAD: "The load itself (winding, lamp, coil)",
    Role.OUTPUT: "Output to a loudspeaker",
    Role.BIAS: "Bias or idle current",
    Role.SIGNAL: "Signal on its way",
    Role.SWAPPED: "Same place, with the part swapped between channels",
}


@dataclass(frozen=True, slots=True)
class Fact:
    """One reading as the rules see it.

    ``where`` names the point; what stands before a colon is its circuit (``capstan motor: winding``), so that a drive
    and its load are known to belong together. ``channel`` is empty where there is only one.
    """

    id: FactId
    where: str
    role: Role
    quantity: Quantity
    kind: Kind
    judgement: Judgement | None = None
    channel: str = ""
    condition: str = ""

    @property
    def circuit(self) -> str:
        """What the point belongs to, folded for comparison."""
        return " ".join(self.where.partition(":")[0].casefold().split())

    @property
    def place(self) -> str:
        """Point and channel as they stand in a sentence."""
        return f"{self.where}, channel {self.channel}" if self.channel else self.where

    @property
    def size(self) -> Decimal:
        """The amount, whatever its sign."""
        return abs(self.quantity.value)

    @property
    def shown(self) -> str:
        """The value as it stands in a sentence."""
        return (
            "over range"
            if self.quantity.value.is_infinite()
            else shown(self.quantity.value, self.quantity.unit)
        )

    @property
    def verdict(self) -> Verdict:
        """What the reading came to; NONE where nothing was expected."""
        return self.judgement.verdict if self.judgement else Verdict.NONE

    @property
    def outside(self) -> bool:
        """Whether the reading is surely not what was expected."""
        return self.verdict in {Verdict.LOW, Verdict.HIGH, Verdict.OPEN, Verdict.SHORT}

    @property
    def present(self) -> bool:
        """Whether what was expected here is there, if not to the last percent."""
        if self.verdict is Verdict.NONE:
            return self.size >= PRESENT_FROM
        return self.verdict in {Verdict.WITHIN, Verdict.HIGH, Verdict.TOO_CLOSE}

    @property
    def absent(self) -> bool:
        """Whether next to nothing is here of what was expected; between that and present, neither holds."""
        if self.verdict is Verdict.NONE:
            return self.size < ABSENT_UNDER
        if self.verdict is not Verdict.LOW or self.judgement is None or self.judgement.limit is None:
            return False
        return self.size <= abs(self.judgement.limit) * A_TENTH
