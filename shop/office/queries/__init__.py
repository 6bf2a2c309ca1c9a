"""Questions asked in the office. Nothing here writes. Sums are whole minor units, added by the database as integers."""

from __future__ import annotations

from shop.office.queries.accounts import (
    account_of,
    jobs_of_invoices,
    letters_of,
    lying_with,
    reminders_due,
)
from shop.office.queries.agreed import (
    above_authorised,
    agreed_on,
    as_consent,
    authorised_for,
    charged_before,
    ledger_of,
    rests_on_the_claim_check,
)
from shop.office.queries.charges import collisions, draft_beside_records, lines_left, not_on
from shop.office.queries.jobs import (
    FreeDeposit,
    balance_among,
    balance_of,
    free_deposits,
    holds_back,
    invoices_of,
    jobs_of,
    money_of,
    money_on_other_jobs,
    open_minor,
    others_to_invoice,
    settlement_of,
    shares,
    standing_estimate,
)
from shop.office.queries.lists import (
    OPEN_LISTS,
    count_customers_with_open,
    customers_with_open,
    drafts,
    open_invoices,
)
from shop.office.queries.priced_by import priced_by
from shop.office.queries.stints import stint_troubles, stint_troubles_of

__all__ = [
    "OPEN_LISTS",
    "FreeDeposit",
    "above_authorised",
    "account_of",
    "agreed_on",
    "as_consent",
    "authorised_for",
    "balance_among",
    "balance_of",
    "charged_before",
    "collisions",
    "count_customers_with_open",
    "customers_with_open",
    "draft_beside_records",
    "drafts",
    "free_deposits",
    "holds_back",
    "invoices_of",
    "jobs_of",
    "jobs_of_invoices",
    "ledger_of",
    "letters_of",
    "lines_left",
    "lying_with",
    "money_of",
    "money_on_other_jobs",
    "not_on",
    "open_invoices",
    "open_minor",
    "others_to_invoice",
    "priced_by",
    "reminders_due",
    "rests_on_the_claim_check",
    "settlement_of",
    "shares",
    "standing_estimate",
    "stint_troubles",
    "stint_troubles_of",
]
