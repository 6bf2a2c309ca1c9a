"""What a person does in the office. Each function is one act; what is issued stays as it was issued."""

from __future__ import annotations

from shop.office.actions.answers import record_answer
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
    set_invoice_lines,
)
from shop.office.actions.payments import refund, release_unpaid, take_payment, use_deposits

__all__ = [
    "credit",
    "discard_draft",
    "discard_estimate",
    "draft_estimate",
    "draft_invoice",
    "issue_invoice",
    "next_version",
    "put_estimate",
    "record_answer",
    "refund",
    "release_unpaid",
    "set_invoice_lines",
    "set_lines",
    "take_payment",
    "use_deposits",
]
