"""What is typed of a lithium cell, and what the handbook's rule of thumb says of it for a parcel."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from shop.handbook import parcels
from shop.handbook.parcels import LithiumAnswer, LithiumInside, ParcelError, watt_hours

TAKEN_OUT = "taken out before packing"
_NUMBER = r"(\d{1,5}(?:[.,]\d{1,4})?)"
_WATT_HOURS = re.compile(rf"{_NUMBER}\s*Wh", re.IGNORECASE)
_VOLTS_AMPERE_HOURS = re.compile(rf"{_NUMBER}\s*V[\s,;×x]*{_NUMBER}\s*(m?)Ah", re.IGNORECASE)
_GRAMS = re.compile(rf"{_NUMBER}\s*g", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class CellSaid:
    """What stands with the parcel: the words, and whether the box needs the mark."""

    words: str
    needs_mark: bool
    answer: LithiumAnswer


def content_of(typed: str, chemistry: str) -> Decimal:
    """Watt-hours of a lithium-ion cell, grams of lithium of a metal one: `8.1 Wh`, `3.7 V 2200 mAh`, `0.3 g`.

    Raises ParcelError with one sentence.
    """
    text = typed.strip()
    if chemistry == "metal":
        if grams := _GRAMS.fullmatch(text):
            return _decimal(grams[1])
        raise ParcelError("Write the grams of lithium in one cell, such as 0.3 g.")
    if hours := _WATT_HOURS.fullmatch(text):
        return _decimal(hours[1])
    if both := _VOLTS_AMPERE_HOURS.fullmatch(text):
        ampere_hours = _decimal(both[2]) / (1000 if both[3] else 1)
        return watt_hours(_decimal(both[1]), ampere_hours)
    raise ParcelError("Write what stands on the cell: 8.1 Wh, or 3.7 V 2200 mAh.")


def said_of(
    *,
    chemistry: str,
    content: str,
    count: int,
    is_battery: bool,
    is_button: bool,
    is_damaged: bool,
) -> CellSaid:
    """Put a cell into words with what the rule of thumb says of it; raises ParcelError for what can't be read.

    A coin cell needs no content. The carrier's and the country's rules decide, not this.
    """
    kind: parcels.cautions.Chemistry = "metal" if chemistry == "metal" else "ion"
    amount = Decimal("0.1") if is_button and not content.strip() else content_of(content, kind)
    inside = LithiumInside(
        kind, amount, count=count, is_battery=is_battery, is_button=is_button, is_damaged=is_damaged
    )
    answer = parcels.lithium_rule(inside)
    what = "button cell" if is_button else "battery" if is_battery else "cell"
    named = f"{count} lithium-{kind} {what}{'' if count == 1 else 's'}"
    size = f", {content.strip()} each" if content.strip() else ""
    return CellSaid(f"{answer.un_number}: {named}{size}"[:200], answer.needs_mark, answer)


def _decimal(text: str) -> Decimal:
    return Decimal(text.replace(",", "."))
