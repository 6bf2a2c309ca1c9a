"""The United States in general: what holds without knowing the state.

Sources
    Internal Revenue Service, Topic 305 (archived 2008): records are generally kept three years from the filing of the
    return; a return for one year is filed in the next, so the fourth year's end is safe.
    Written estimates, invoices, sales tax on labour and unclaimed units are the states' affair and differ (from memory).
"""

from __future__ import annotations

from datetime import date

from shop.handbook.law.terms import Duty, LawProfile, Paper, Retention, kept_alike

TAX_RECORDS = Retention(
    frozenset({Paper.INVOICE, Paper.SIMPLIFIED_INVOICE}),
    4,
    "IRS Topic 305: three years from the filing of the return",
)

UNITED_STATES = LawProfile(
    "us",
    "United States, general",
    date(2026, 11, 25),
    duties=(
        Duty(
            "state_law",
            "state law",
            "States differ on written estimates, consent, invoices, replaced parts, tax and unclaimed units.",
            confirmed=False,
        ),
    ),
    retention=(TAX_RECORDS, kept_alike(TAX_RECORDS.years)),
    warranty="No fixed length is known for repairs: the shop's own warranty is printed.",
    replaced_parts="Some states let the customer ask for replaced parts (not confirmed).",
    countries=frozenset({"US"}),
)
