"""Questions asked in the office. Nothing here writes. Sums are whole minor units, added by the database as integers."""

from __future__ import annotations

from shop.office.queries.jobs import (
    FreeDeposit,
    MoneyOfJob,
    above_authorised,
    authorised_for,
    balance_of,
    charged_before,
    compared_with_authorised,
    consents_of,
    free_deposits,
    holds_back,
    invoices_of,
    jobs_of,
    money_of,
    open_minor,
    others_to_invoice,
    settlement_of,
    shares,
    standing_estimate,
)
from shop.office.queries.lists import OPEN_LISTS, OpenList, OpenPage, jobs_to_invoice, open_invoices
from shop.office.queries.stints import StintTrouble, stint_troubles, stint_troubles_of

__all__ = [
    "OPEN_LISTS",
    "FreeDeposit",
    "MoneyOfJob",
    "OpenList",
    "OpenPage",
    "StintTrouble",
    "above_authorised",
    "authorised_for",
    "balance_of",
    "charged_before",
    "compared_with_authorised",
    "consents_of",
    "free_deposits",
    "holds_back",
    "invoices_of",
    "jobs_of",
    "jobs_to_invoice",
    "money_of",
    "open_invoices",
    "open_minor",
    "others_to_invoice",
    "settlement_of",
    "shares",
    "standing_estimate",
    "stint_troubles",
    "stint_troubles_of",
]
