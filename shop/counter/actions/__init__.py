"""What a person does at the counter. Each function is one act with one entry in the journal."""

from __future__ import annotations

from shop.counter.actions.filing import attach_photos, attach_picture, file_paper
from shop.counter.actions.intake import (
    JOB_SERIES,
    AccessoryTaken,
    Intake,
    UnitDescribed,
    announce,
    book_in,
    mend_accessory,
    receive_expected,
    take_accessory,
)
from shop.counter.actions.people import add_customer, change_customer, the_shop_itself
from shop.counter.actions.putting_right import put_right
from shop.counter.actions.standing import call_off, promise, put_on_shelf, set_ready_unopened
from shop.counter.actions.units import add_unit, change_unit, model_named

__all__ = [
    "JOB_SERIES",
    "AccessoryTaken",
    "Intake",
    "UnitDescribed",
    "add_customer",
    "add_unit",
    "announce",
    "attach_photos",
    "attach_picture",
    "book_in",
    "call_off",
    "change_customer",
    "change_unit",
    "file_paper",
    "mend_accessory",
    "model_named",
    "promise",
    "put_on_shelf",
    "put_right",
    "receive_expected",
    "set_ready_unopened",
    "take_accessory",
    "the_shop_itself",
]
