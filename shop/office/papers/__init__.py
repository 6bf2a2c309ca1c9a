"""What the office prints. Each paper is first a `PaperWanted`, plain values, that is previewed as a draft or issued once."""

from __future__ import annotations

from shop.office.papers.estimates import estimate_sheet
from shop.office.papers.invoices import (
    dated,
    draft_sheet,
    invoice_facts,
    invoice_sheet,
)
from shop.office.papers.letters import left_sheet, letter_lines, reminder_sheet, statement_sheet
from shop.office.papers.receipts import receipt_sheet
from shop.office.papers.report import report_sheet
from shop.office.papers.sheets import issue, issue_all
from shop.office.papers.withdrawal import withdrawal_sheet

__all__ = [
    "dated",
    "draft_sheet",
    "estimate_sheet",
    "invoice_facts",
    "invoice_sheet",
    "issue",
    "issue_all",
    "left_sheet",
    "letter_lines",
    "receipt_sheet",
    "reminder_sheet",
    "report_sheet",
    "statement_sheet",
    "withdrawal_sheet",
]
