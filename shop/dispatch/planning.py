"""Which box for a unit: the handbook's plan, the shop's own boxes that hold it, and what that parcel would be charged as."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from shop.dispatch.advice import Advice, board, carriers_in_use, charged, fall, in_shop_measure
from shop.dispatch.models import Box
from shop.frame import spelling
from shop.handbook.parcels import BoxPlan, Size, Weight, box_plan
from shop.handbook.parcels.measures import plain

BOARD_MM = {"single": 4, "double": 7}
"""Thickness of the board: what the inside loses on each side (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class BoxChoice:
    """One of the shop's boxes: whether it holds the unit with its cushion, or what it is short of."""

    box: Box
    holds: bool
    says: str


@dataclass(frozen=True, slots=True)
class Plan:
    """The boxes for a unit, which of the shop's hold it, and what is to be said of the parcel they make."""

    plan: BoxPlan
    choices: list[BoxChoice]
    lines: list[Advice]


def plan_for(unit: Size, weight: Weight, *, fragile: bool, cushion: Decimal | None, on: dt.date) -> Plan:
    """The plan for a unit of that size and weight; raises ParcelError for too little cushion."""
    plan = box_plan(unit, weight, fragile=fragile, cushion=cushion)
    boxes = Box.objects.filter(retired_at=None)
    choices = [_choice(box, plan) for box in boxes]
    choices.sort(key=lambda one: (not one.holds, one.box.length_mm * one.box.width_mm * one.box.height_mm))
    lines = [
        *board(plan.outer, weight, double_boxed=plan.is_double),
        *fall(weight),
        *charged(plan.outer, weight, carriers_in_use(), on=on),
    ]
    return Plan(plan, choices, lines)


def inside_of(box: Box) -> Size:
    """The inside of a box in the shop's measure: its outside less the board."""
    board_mm = 2 * BOARD_MM["double" if box.wall == "double" else "single"]
    length, width, height = (max(side - board_mm, 1) for side in (box.length_mm, box.width_mm, box.height_mm))
    return in_shop_measure((length, width, height))


def _choice(box: Box, plan: BoxPlan) -> BoxChoice:
    inside, needed = inside_of(box), plan.outer
    short = [
        have - want
        for have, want in zip(inside.sides, needed.to(inside.unit).sides, strict=True)
        if have < want
    ]
    if not short:
        return BoxChoice(box, holds=True, says="holds it with its cushion")
    missing = spelling.typed(plain(-min(short)))
    return BoxChoice(
        box, holds=False, says=f"does not hold it: {missing} {inside.unit} too small on one side"
    )
