"""Which box holds: board strength by weight and size, room for cushion, and when to use a box in a box.

Sources
    Rule 41 of the Uniform Freight Classification and Item 222 of the National Motor Freight Classification: weight,
    united inches and burst: ipack.com; edge crush: psimd.com (whole table), supplyland.com and ecoboxesny.com (in part).
    Sources disagree above 40 lb/in; the table above is used. Shippers' counters advise far less: a2globalshipping.com.
    Cushion of two inches on each side and two to three between boxes: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from typing import Literal

from shop.handbook.parcels.measures import CM_PER_INCH, ParcelError, Size, Weight

Wall = Literal["single", "double"]

CUSHION_INCHES = Decimal(2)
"""The least cushion on each side."""

CUSHION_HEAVY_INCHES = Decimal(3)
"""Between the boxes, and around a heavy unit."""

HEAVY_POUNDS = Decimal(20)
"""From this weight on a unit crushes ordinary cushion when it is dropped, and is better off in two boxes."""


@dataclass(frozen=True, slots=True)
class BoxGrade:
    """One grade of corrugated board: the most that box and contents may weigh (lb), the most united inches, and what the
    maker's stamp says (burst in lb/in², edge crush in lb/in)."""

    wall: Wall
    most_pounds: int
    most_united: int
    burst: int
    edge_crush: int


GRADES: tuple[BoxGrade, ...] = (
    BoxGrade("single", 20, 40, 125, 23),
    BoxGrade("single", 35, 50, 150, 26),
    BoxGrade("single", 50, 60, 175, 29),
    BoxGrade("single", 65, 75, 200, 32),
    BoxGrade("single", 80, 85, 250, 40),
    BoxGrade("single", 95, 95, 275, 44),
    BoxGrade("single", 120, 105, 350, 55),
    BoxGrade("double", 80, 85, 200, 42),
    BoxGrade("double", 100, 95, 275, 48),
    BoxGrade("double", 120, 105, 350, 51),
    BoxGrade("double", 140, 110, 400, 61),
    BoxGrade("double", 160, 115, 500, 71),
    BoxGrade("double", 180, 120, 600, 82),
)

COUNTER_ADVICE: tuple[tuple[int, int], ...] = ((32, 30), (40, 40), (44, 50), (55, 65))
"""Edge crush and the most pounds that shippers' counters advise for a single parcel: far below the rule."""


def box_grade(weight: Weight, size: Size, wall: Wall = "single") -> BoxGrade | None:
    """The weakest grade that may carry this weight, box and contents, in this size; None when no such board does.

    A box must meet both the weight and the united inches.
    """
    pounds, united = weight.to("lb").value, size.to("in").united
    fitting = (
        grade
        for grade in GRADES
        if grade.wall == wall and pounds <= grade.most_pounds and united <= grade.most_united
    )
    return next(fitting, None)


def advised_edge_crush(weight: Weight) -> int | None:
    """The edge crush that shippers' counters advise for a weight; None when it is beyond their advice."""
    pounds = weight.to("lb").value
    return next((crush for crush, most in COUNTER_ADVICE if pounds <= most), None)


@dataclass(frozen=True, slots=True)
class BoxPlan:
    """Boxes for one unit, inside sizes rounded up to whole units: one box, or an inner one in an outer one."""

    outer: Size
    inner: Size | None
    cushion: Decimal
    why: str

    @property
    def is_double(self) -> bool:
        """Whether a box in a box is suggested."""
        return self.inner is not None


def box_plan(unit: Size, weight: Weight, *, fragile: bool = False, cushion: Decimal | None = None) -> BoxPlan:
    """The boxes for a unit: one with cushion all around, two if it is heavy or fragile.

    ``cushion`` on each side is in the unit's own measure; two inches unless given. Raises ParcelError for less.
    """
    scale = CM_PER_INCH if unit.unit == "cm" else Decimal(1)
    least = CUSHION_INCHES * scale
    around = least if cushion is None else cushion
    if not around.is_finite() or around < least:
        raise ParcelError("Leave at least two inches (5 cm) of cushion on each side.")
    first = _whole(unit.grown(around))
    heavy = weight.to("lb").value >= HEAVY_POUNDS
    if not (heavy or fragile):
        return BoxPlan(first, None, around, "One box with cushion on every side.")
    reason = "heavy" if heavy else "fragile"
    between = CUSHION_HEAVY_INCHES * scale
    return BoxPlan(
        _whole(first.grown(between)),
        first,
        around,
        f"A box in a box, because the unit is {reason}: cushion in both.",
    )


def _whole(size: Size) -> Size:
    return size.each(lambda side: side.quantize(Decimal(1), ROUND_CEILING))
