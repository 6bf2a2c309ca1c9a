"""What a person does in the office. Each function is one act; what is issued stays as it was issued."""

from __future__ import annotations

from shop.office.actions.answers import record_answer
from shop.office.actions.distance import withdraw_contract
from shop.office.actions.estimates import (
    discard_estimate,
    draft_estimate,
    next_version,
    put_estimate,
    set_lines,
)
from shop.office.actions.invoices import (
    credit,
    discard_draft,
    draft_invoice,
    issue_invoice,
    issue_invoices,
    leave_out,
    set_invoice_lines,
    take_in,
)
from shop.office.actions.letters import (
    email_paper,
    make_left_notice,
    make_statement,
    make_statements,
    note_left_here,
    note_sent,
    remind,
    remind_many,
)
from shop.office.actions.payments import refund, release_unpaid, take_payment, use_deposits
from shop.office.actions.reports import give_repair_form, issue_report
from shop.office.actions.rules import (
    add_flat_price,
    add_tax_rule,
    change_flat_price,
    choose_flat_price,
    drop_flat_price,
    end_tax_rules,
    retire_flat_price,
    set_rates,
    set_rules,
    ship_out_of_state,
    start_with,
)

__all__ = [
    "add_flat_price",
    "add_tax_rule",
    "change_flat_price",
    "choose_flat_price",
    "credit",
    "discard_draft",
    "discard_estimate",
    "draft_estimate",
    "draft_invoice",
    "drop_flat_price",
    "email_paper",
    "end_tax_rules",
    "give_repair_form",
    "issue_invoice",
    "issue_invoices",
    "issue_report",
    "leave_out",
    "make_left_notice",
    "make_statement",
    "make_statements",
    "next_version",
    "note_left_here",
    "note_sent",
    "put_estimate",
    "record_answer",
    "refund",
    "release_unpaid",
    "remind",
    "remind_many",
    "retire_flat_price",
    "set_invoice_lines",
    "set_lines",
    "set_rates",
    "set_rules",
    "ship_out_of_state",
    "start_with",
    "take_in",
    "take_payment",
    "use_deposits",
    "withdraw_contract",
]
