"""What a person does with parts. Stock changes only here: a ledger entry and the level it adds up to, in one transaction."""

from __future__ import annotations

from shop.stockroom.actions.fitting import fit_part, strike_part
from shop.stockroom.actions.ledger import Arrival, count, receive, salvage, scrap
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
from shop.stockroom.actions.suppliers import (
    add_price_rule,
    add_supplier,
    change_supplier,
    withdraw_price_rule,
)
from shop.stockroom.actions.waiting import await_parts, drop_want, note_came, parts_arrived, want_part

__all__ = [
    "Arrival",
    "NumberGiven",
    "add_part",
    "add_price_rule",
    "add_supplier",
    "allow_substitute",
    "await_parts",
    "bring_back_part",
    "change_part",
    "change_supplier",
    "count",
    "drop_want",
    "fit_part",
    "forget_number",
    "name_part",
    "note_came",
    "parts_arrived",
    "picture_part",
    "receive",
    "retire_part",
    "salvage",
    "scrap",
    "strike_part",
    "want_part",
    "withdraw_price_rule",
    "withdraw_substitute",
]
