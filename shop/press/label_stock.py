"""Which labels the shop has: the sheet with its corrections for the printer, and the roll."""

from __future__ import annotations

import datetime as dt
import uuid

from shop.frame.journal import acting
from shop.frame.models import PaperSize, Staff
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.press.label_sheets import LABEL_SHEETS, LabelSheet
from shop.press.models import LabelStock

LEAST_ROLL_TENTHS, MOST_ROLL_TENTHS = 120, 3000
MOST_SHIFT_TENTHS = 100


def the_label_stock() -> LabelStock:
    """The shop's labels; before they are chosen, those usual on the shop's paper."""
    return LabelStock.objects.first() or LabelStock()


def sheet_in_use(stock: LabelStock) -> LabelSheet:
    """The label sheet that was chosen, else the small address labels of the profile's paper."""
    usual = "a4-21" if the_profile().paper_size == PaperSize.A4 else "letter-30"
    return LABEL_SHEETS.get(stock.sheet) or LABEL_SHEETS[usual]


def change_label_stock(
    *,
    sheet: str,
    roll_width_tenths: int,
    roll_height_tenths: int,
    shift_x_tenths: int,
    shift_y_tenths: int,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> LabelStock:
    """Say which labels there are. All lengths in tenths of a millimetre."""
    if sheet not in LABEL_SHEETS:
        raise Refusal("Choose one of the sheets.", field="sheet")
    for name, length in (("roll_width", roll_width_tenths), ("roll_height", roll_height_tenths)):
        if not LEAST_ROLL_TENTHS <= length <= MOST_ROLL_TENTHS:
            raise Refusal("A label on a roll measures between 12 and 300 mm.", field=name)
    for name, shift in (("shift_x", shift_x_tenths), ("shift_y", shift_y_tenths)):
        if abs(shift) > MOST_SHIFT_TENTHS:
            raise Refusal("What is printed is moved by 10 mm at most.", field=name)
    with acting(by=by, at=at, once=once_key) as act:
        facts = {
            "sheet": sheet,
            "roll_width_tenths": roll_width_tenths,
            "roll_height_tenths": roll_height_tenths,
            "shift_x_tenths": shift_x_tenths,
            "shift_y_tenths": shift_y_tenths,
        }
        stock, _ = LabelStock.objects.update_or_create(pk=1, defaults=facts)
        act.record("label_stock.changed", subject=stock, sheet=sheet)
    return stock
