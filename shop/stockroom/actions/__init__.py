"""What a person does with parts. Stock changes only here: a ledger entry and the level it adds up to, in one transaction."""

from __future__ import annotations

from shop.stockroom.actions.arriving import (
    Came,
    note_came,
    receive_delivery,
    receive_order_line,
    set_carriage,
)
from shop.stockroom.actions.devices import discard_device, fit_devices, keep_device
from shop.stockroom.actions.fitting import fit_part, strike_part
from shop.stockroom.actions.ledger import Arrival, count, count_drawer, receive, salvage, scrap
from shop.stockroom.actions.ordering import (
    LineAsked,
    LineTyped,
    add_line,
    change_line,
    change_lines,
    close_order,
    give_up_line,
    note_reference,
    open_order,
    open_order_elsewhere,
    send_order,
    take_line_off,
)
from shop.stockroom.actions.parts import (
    NumberGiven,
    add_part,
    allow_substitute,
    bring_back_part,
    change_part,
    forget_number,
    name_part,
    picture_part,
    retire_part,
    withdraw_substitute,
)
from shop.stockroom.actions.sending_back import discard_inside, note_inside, send_back, settle_credit
from shop.stockroom.actions.suppliers import (
    add_price_rule,
    add_supplier,
    change_supplier,
    withdraw_price_rule,
)
from shop.stockroom.actions.waiting import await_parts, drop_want, want_part

__all__ = [
    "Arrival",
    "Came",
    "LineAsked",
    "LineTyped",
    "NumberGiven",
    "add_line",
    "add_part",
    "add_price_rule",
    "add_supplier",
    "allow_substitute",
    "await_parts",
    "bring_back_part",
    "change_line",
    "change_lines",
    "change_part",
    "change_supplier",
    "close_order",
    "count",
    "count_drawer",
    "discard_device",
    "discard_inside",
    "drop_want",
    "fit_devices",
    "fit_part",
    "forget_number",
    "give_up_line",
    "keep_device",
    "name_part",
    "note_came",
    "note_inside",
    "note_reference",
    "open_order",
    "open_order_elsewhere",
    "picture_part",
    "receive",
    "receive_delivery",
    "receive_order_line",
    "retire_part",
    "salvage",
    "scrap",
    "send_back",
    "send_order",
    "set_carriage",
    "settle_credit",
    "strike_part",
    "take_line_off",
    "want_part",
    "withdraw_price_rule",
    "withdraw_substitute",
]
