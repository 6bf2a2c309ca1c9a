"""What a person does with parcels and collections. The last step home is one: `let_go`, in `leaving`."""

from __future__ import annotations

from shop.dispatch.actions.carriers import (
    add_box,
    add_carrier,
    add_carrier_rule,
    change_carrier,
    retire_box,
    withdraw_carrier_rule,
)
from shop.dispatch.actions.inbound import issue_damage_report, note_arrived, photograph_packing
from shop.dispatch.actions.leaving import collect, hand_over, keep_here, note_delivered, note_lost
from shop.dispatch.actions.packing import check_accessory, issue_slip, jobs_in, pack, unpack

__all__ = [
    "add_box",
    "add_carrier",
    "add_carrier_rule",
    "change_carrier",
    "check_accessory",
    "collect",
    "hand_over",
    "issue_damage_report",
    "issue_slip",
    "jobs_in",
    "keep_here",
    "note_arrived",
    "note_delivered",
    "note_lost",
    "pack",
    "photograph_packing",
    "retire_box",
    "unpack",
    "withdraw_carrier_rule",
]
