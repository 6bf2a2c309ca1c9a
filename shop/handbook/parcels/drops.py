"""How far a parcel falls on its way: the drop heights that packing is tested with.

Sources
    ISTA 1A and 2A, free fall by weight, and the sequence of ten drops: scribd.com 304153378, papertestmachine.com.
    Kinds of parcel of ISTA 3A (version of March 2018): jjrlab.com; number of its drops: smithers.com; their heights: from
    memory. Not the procedures themselves.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from shop.handbook.parcels.measures import ParcelError, Size, Weight

Test = Literal["1A", "2A"]
Kind = Literal["small", "flat", "elongated", "standard"]


@dataclass(frozen=True, slots=True)
class Drop:
    """A height of fall: the same in inches and in millimetres, as the table gives them."""

    inches: int
    millimetres: int


@dataclass(frozen=True, slots=True)
class DropRow:
    """Heights by 1A and by 2A for weights below ``pounds`` (or ``kilograms``) and not below the row before."""

    pounds: int
    kilograms: int
    by_1a: Drop
    by_2a: Drop


DROPS: tuple[DropRow, ...] = (
    DropRow(21, 10, Drop(30, 760), Drop(38, 970)),
    DropRow(41, 19, Drop(24, 610), Drop(32, 810)),
    DropRow(61, 28, Drop(18, 460), Drop(26, 660)),
    DropRow(100, 45, Drop(12, 310), Drop(20, 510)),
    DropRow(150, 68, Drop(8, 200), Drop(12, 310)),
)

SEQUENCE: tuple[str, ...] = (
    "corner 2-3-5, or the most fragile one",
    "the shortest edge from that corner",
    "the next longest edge",
    "the longest edge",
    "one of the smallest faces",
    "the face opposite",
    "one of the middle faces",
    "the face opposite",
    "one of the largest faces",
    "the face opposite",
)
"""The ten drops, in order."""


def drop_height(weight: Weight, test: Test = "1A") -> Drop:
    """How far a parcel of this weight is dropped in a test: the lighter, the farther it is thrown.

    The table's own steps in the unit of the weight decide. Raises ParcelError from 150 lb or 68 kg on, where parcels are
    no longer thrown but handled by machine.
    """
    for row in DROPS:
        if weight.value < (row.pounds if weight.unit == "lb" else row.kilograms):
            return row.by_1a if test == "1A" else row.by_2a
    raise ParcelError("From 150 lb (68 kg) on a unit goes as freight on a pallet, not as a parcel.")


def parcel_kind(size: Size, weight: Weight) -> Kind:
    """The kind of parcel by which it is tested: small, flat, elongated (before flat) or standard."""
    metric = size.unit == "cm"
    longest, middle, shortest = size.sides
    eight_hundred = Decimal(13_000 if metric else 800)
    if longest >= (90 if metric else 36) and middle <= longest / 5:
        return "elongated"
    if shortest <= (20 if metric else 8) and middle >= 4 * shortest and size.volume >= eight_hundred:
        return "flat"
    light = weight.value <= (Decimal("4.5") if weight.unit == "kg" else 10)
    if size.volume < eight_hundred and longest <= (35 if metric else 14) and light:
        return "small"
    return "standard"


@dataclass(frozen=True, slots=True)
class RoughDrops:
    """How often a parcel is dropped before and after it was shaken, from which height mostly, and once from how high."""

    before: int
    after: int
    mostly: Drop
    once: Drop


def rough_drops(size: Size, weight: Weight) -> RoughDrops:
    """The drops of ISTA 3A, which copies a parcel carrier's sorting: rougher than 1A. The heights are from memory.

    Raises ParcelError beyond 150 lb or 70 kg, where the procedure ends.
    """
    limit, lighter = (150, 70) if weight.unit == "lb" else (70, 32)
    if weight.value > limit:
        raise ParcelError("Beyond 150 lb (70 kg) a unit goes as freight on a pallet, not as a parcel.")
    after = 7 if parcel_kind(size, weight) == "small" else 8
    if weight.value < lighter:
        return RoughDrops(9, after, Drop(18, 460), Drop(36, 910))
    return RoughDrops(9, after, Drop(12, 310), Drop(24, 610))
