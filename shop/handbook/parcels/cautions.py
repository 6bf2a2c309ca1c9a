"""What to see to before a unit goes into its box, and what a lithium cell inside it means for the parcel.

An aid for the person who packs, not a course in dangerous goods: the carrier's and the country's own rules decide.

Sources
    What breaks in a parcel and how to prevent it: common practice, no source.
    Two people from 23 kg (51 lb) on: the load constant of the NIOSH lifting equation (1994), from memory.
    Lithium cells contained in equipment, UN 3481 and UN 3091: 49 CFR 173.185(c), limits and exceptions from memory; that
    the exception counts packages in a consignment: PHMSA letters 17-0116 and 17-0023 (2017) on rule HM-215N.
    Wh = V x Ah: the definition of the watt-hour.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Literal

from shop.handbook.parcels.boxes import HEAVY_POUNDS
from shop.handbook.parcels.measures import ParcelError, Weight, plain

TWO_PEOPLE_KILOGRAMS = Decimal(23)


class Trait(StrEnum):
    """What a unit has that can break, come loose or be dangerous on the way."""

    TRANSFORMER = "heavy transformer"
    TURNTABLE = "turntable"
    TUBES = "tubes"
    TAPE = "tape transport"
    GLASS = "glass or picture tube"
    COVER = "dust cover"
    KNOBS = "knobs and shafts"
    LITHIUM = "lithium cell"
    OTHER_BATTERY = "other battery"
    MAINS_LEAD = "loose line cord"


@dataclass(frozen=True, slots=True)
class Caution:
    """One thing to do while packing; ``trait`` is None for what holds for every unit."""

    trait: Trait | None
    text: str


_FOR_ALL = (
    "At least two inches (5 cm) of firm cushion on every side; nothing may move when the box is shaken.",
    "No newspaper and no loose fill under a chassis: it settles, and the unit falls through.",
)
_FOR_HEAVY = "Heavy: a box in a box, and firm foam or board under the feet and at the corners."
_FOR_TWO = "Two people lift this one; say so on the box."
_BY_TRAIT: dict[Trait, tuple[str, ...]] = {
    Trait.TRANSFORMER: (
        "Check that the heavy transformer is bolted down, and block it with board or foam so that it can't tear loose.",
    ),
    Trait.TURNTABLE: (
        "Take off stylus, headshell and counterweight, tie the arm to its rest, and pack them apart.",
        "Take the platter off and pack it apart; turn in the transport screws.",
    ),
    Trait.TUBES: ("Take the tubes out, mark their sockets, and wrap each by itself.",),
    Trait.TAPE: ("Take out tape and reels; fit the transport screws or block the moving parts.",),
    Trait.GLASS: (
        "Keep weight off the glass: face it with board, and pad it so that nothing presses on it.",
    ),
    Trait.COVER: ("Take the dust cover off its hinges and wrap it by itself.",),
    Trait.KNOBS: ("Take off knobs that stand out, or box them in, so that no shaft takes a blow.",),
    Trait.LITHIUM: (
        "A lithium cell is inside: switch the unit so that it can't turn on, and see whether the box needs the mark.",
        "A swollen, damaged or hot lithium cell doesn't go into a parcel, and never by air.",
    ),
    Trait.OTHER_BATTERY: ("Take batteries out, cover their ends, and pack them apart.",),
    Trait.MAINS_LEAD: (
        "Coil the line cord and pad its plug, so that the pins don't bore through board or cabinet.",
    ),
}


def packing_cautions(traits: Iterable[Trait], weight: Weight) -> tuple[Caution, ...]:
    """What to see to for a unit with these traits and this weight, in the order in which it is done."""
    cautions = [Caution(None, text) for text in _FOR_ALL]
    if weight.to("kg").value >= TWO_PEOPLE_KILOGRAMS:
        cautions.append(Caution(None, _FOR_TWO))
    if weight.to("lb").value >= HEAVY_POUNDS:
        cautions.append(Caution(None, _FOR_HEAVY))
    present = frozenset(traits)
    cautions += [Caution(trait, text) for trait in Trait if trait in present for text in _BY_TRAIT[trait]]
    return tuple(cautions)


# Lithium cells in the unit -------------------------------------------------------------------------------------------

Chemistry = Literal["ion", "metal"]

UN_NUMBERS: dict[Chemistry, str] = {"ion": "UN 3481", "metal": "UN 3091"}
MOST_IN_CELL: dict[Chemistry, Decimal] = {"ion": Decimal(20), "metal": Decimal(1)}
MOST_IN_BATTERY: dict[Chemistry, Decimal] = {"ion": Decimal(100), "metal": Decimal(2)}
CONTENT_UNIT: dict[Chemistry, str] = {"ion": "Wh", "metal": "g of lithium"}
MARK_MILLIMETRES = ((100, 100), (100, 70))
"""The mark, red hatched edge, and the least size for a small box."""


@dataclass(frozen=True, slots=True)
class LithiumInside:
    """Lithium cells or batteries contained in one unit.

    ``content`` is that of one cell or battery: watt-hours for lithium ion, grams of lithium for lithium metal.
    ``is_battery`` tells a pack of cells from a single cell; ``count`` is how many of them are in the package.
    """

    chemistry: Chemistry
    content: Decimal
    count: int = 1
    is_battery: bool = False
    is_button: bool = False
    is_damaged: bool = False

    def __post_init__(self) -> None:
        if not (self.content.is_finite() and self.content > 0) or self.count < 1:
            raise ParcelError("A lithium cell has a content, and there is at least one.")


@dataclass(frozen=True, slots=True)
class LithiumAnswer:
    """What the rule of thumb says: whether it may go as a small cell, whether the box needs the mark, and why."""

    un_number: str
    is_small: bool
    needs_mark: bool
    by_air: bool
    why: str


def watt_hours(volts: Decimal, ampere_hours: Decimal) -> Decimal:
    """Wh = V x Ah; raises ParcelError unless both are positive."""
    if not (volts.is_finite() and ampere_hours.is_finite() and volts > 0 and ampere_hours > 0):
        raise ParcelError("Voltage and capacity of a cell are more than nothing.")
    return volts * ampere_hours


def lithium_rule(inside: LithiumInside, packages: int = 1) -> LithiumAnswer:
    """The rule of thumb for lithium cells contained in a unit, ``packages`` of which travel together.

    Anything that isn't small, or is damaged, is for a person trained in dangerous goods.
    """
    if packages < 1:
        raise ParcelError("There is at least one package.")
    number = UN_NUMBERS[inside.chemistry]
    most = (MOST_IN_BATTERY if inside.is_battery else MOST_IN_CELL)[inside.chemistry]
    what = "battery" if inside.is_battery else "cell"
    size = f"{plain(inside.content)} {CONTENT_UNIT[inside.chemistry]}"
    if inside.is_damaged:
        why = f"A damaged or defective {what} never goes by air; ask the carrier before it goes at all."
        return LithiumAnswer(number, is_small=False, needs_mark=True, by_air=False, why=why)
    if inside.content > most:
        why = f"{size} is over the {plain(most)} of a small {what}: full rules for dangerous goods apply ({number})."
        return LithiumAnswer(number, is_small=False, needs_mark=True, by_air=False, why=why)
    few = inside.count <= (2 if inside.is_battery else 4) and packages <= 2
    if inside.is_button:
        why = f"Button cells in equipment need no mark ({number})."
    elif few:
        why = f"{size} is within the {plain(most)} of a small {what}; so few in at most two packages need no mark ({number})."
    else:
        why = f"{size} is within the {plain(most)} of a small {what}, but so many need the mark on the box ({number})."
    return LithiumAnswer(
        number, is_small=True, needs_mark=not (inside.is_button or few), by_air=True, why=why
    )
