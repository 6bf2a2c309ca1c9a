"""Letters of the office: statements of account, reminders, notices about a unit that nobody fetches."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from shop.counter.models import Customer, Job
from shop.counter.papers import postal
from shop.frame import spelling
from shop.frame.journal import end_of_chain
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.handbook.law.terms import Condition, Requirement
from shop.handbook.law.terms import Paper as LawPaper
from shop.handbook.law.unclaimed import SMALL_CHARGES
from shop.handbook.money import Money
from shop.office.models import Invoice, LeftHere
from shop.office.papers.sheets import by_our_customs, keep_until, unit_facts
from shop.office.pricing import rules_on
from shop.office.queries.accounts import Account
from shop.press.building import Fact, Line, LineGroup, LineTable, Notice, Signature, Total
from shop.press.issuing import PaperWanted

FIRST = (
    "This may have slipped your mind: the invoice below is past its day and still open. Please pay it within a week. If it "
    "has crossed with your payment, this letter is settled."
)
SECOND = (
    "We have written about this before. The invoice below is still open. Please pay it within a week, or tell us what keeps "
    "you from it: we would rather find a way than write again."
)
LAST = "This is the last reminder before we seek advice on how to collect what is owed. Please pay within a week, or call us."
REMINDERS = (FIRST, SECOND, LAST)
TOLD = 32
"""So much of a digest stands on a paper: 128 bits, which nobody finds another entry for."""
LETTER = LawPaper.COLLECT_LETTER
"""Statements and reminders are kept as the law wants letters kept, which is not as long everywhere as an invoice."""


@by_our_customs
def statement_sheet(account: Account, *, number: str, on: dt.date, by: Staff) -> PaperWanted:
    """What happened on the account, and what is open now."""
    brought = account.brought_forward
    lines = [Line("Brought forward", amount=brought)] if brought else []
    lines += [
        Line(one.words, quantity=spelling.short_day(one.day), price=one.amount, amount=one.balance)
        for one in account.entries
    ]
    owed = account.balance
    entry, digest = chain = end_of_chain()
    return PaperWanted(
        kind="statement",
        chain=chain,
        number=number,
        title=f"Statement {number}",
        heading="Statement",
        template="papers/office/statement.html",
        keep_until=keep_until(LETTER, on),
        context={
            "to": postal(account.customer),
            "facts": [
                Fact("Date", spelling.short_day(on), strong=True),
                Fact("From", spelling.short_day(account.starts)),
                Fact("Until", spelling.short_day(account.ends)),
                Fact("Made out by", by.signature),
            ],
            "table": LineTable(
                groups=[LineGroup("", lines)] if lines else [],
                currency=owed.currency,
                text_head="What",
                quantity_head="Date",
                price_head="Amount",
                amount_head="Balance",
            ),
            "totals": [_standing(owed)],
            "open_table": _open_table(account.open) if account.open else None,
            "how_to_pay": rules_on(on).how_to_pay if owed.minor > 0 else "",
            "journal_entry": entry,
            "journal_digest": f"{digest[:TOLD]}",
        },
    )


def _standing(owed: Money) -> Total:
    """How the account stands at the end."""
    if not owed:
        return Total("Nothing is open", owed, strong=True)
    return Total("To pay", owed, strong=True) if owed.minor > 0 else Total("Your credit", -owed, strong=True)


@by_our_customs
def reminder_sheet(
    invoice: Invoice, *, level: int, owed: Money, number: str, on: dt.date, by: Staff
) -> PaperWanted:
    """The first, second or last reminder of one invoice. No fee is added: whether one may be is for the shop's own law."""
    words = REMINDERS[min(level, len(REMINDERS)) - 1]
    return PaperWanted(
        kind="reminder",
        number=number,
        title=f"Reminder {number}",
        heading=("Reminder", "Second reminder", "Last reminder")[min(level, len(REMINDERS)) - 1],
        template="papers/office/letter.html",
        keep_until=keep_until(LETTER, on),
        context={
            "to": postal(invoice.customer),
            "facts": [
                Fact("Date", spelling.short_day(on), strong=True),
                Fact("Invoice", invoice.number, strong=True),
            ],
            "paragraphs": [_greeting(invoice.customer), words],
            "table": _open_table([invoice]),
            "totals": [Total("To pay", owed, strong=True)],
            "how_to_pay": rules_on(on).how_to_pay,
            "signatures": [Signature("For the shop", name=by.signature, day=on)],
        },
    )


@by_our_customs
def left_sheet(
    job: Job, *, paper: LawPaper, owed: Money, left: LeftHere | None, number: str, on: dt.date, by: Staff
) -> PaperWanted:
    """A notice about a unit that stays here: to collect it, or that it is to be sold, with what the law asks it to name."""
    sale = paper is LawPaper.SALE_LETTER
    shop = the_profile()
    held = ", ".join([shop.name, *shop.address.splitlines()])
    facts = [
        *unit_facts(job),
        Fact("Held at", held, wide=True),
        Fact("Ready since", spelling.day(job.ready_at) if job.ready_at else "—"),
        Fact("To pay", spelling.money(owed)),
    ]
    if sale and left is not None:
        facts.append(Fact("To be sold on or after", spelling.day(left.sale_day), strong=True))
        if left.sale_place:
            facts.append(Fact("Time and place of the sale", left.sale_place, wide=True))
    heading = "Notice of intention to sell" if sale else "Notice to collect"
    return PaperWanted(
        kind="sale_notice" if sale else "collect_notice",
        number=number,
        title=f"{heading} {number}",
        heading=heading,
        template="papers/office/letter.html",
        keep_until=keep_until(paper, on),
        context={
            "to": postal(job.customer),
            "facts": [
                Fact("Date", spelling.short_day(on), strong=True),
                Fact("Job", job.number, strong=True),
            ],
            "paragraphs": _left_words(job.customer, sale=sale, owed=owed),
            "unit": facts,
            "totals": [],
            "how_to_pay": rules_on(on).how_to_pay if owed.minor > 0 else "",
            "notices": _left_notices(paper, on, owed=owed),
            "signatures": [Signature("For the shop", name=by.signature, day=on)],
        },
    )


def _left_words(customer: Customer, *, sale: bool, owed: Money) -> list[str]:
    pay = f" and pay {spelling.money(owed)}" if owed.minor > 0 else ""
    if not sale:
        return [
            _greeting(customer),
            f"The unit named below is ready for you. Please collect it{pay}, or tell us where we may send it.",
            "Until then it stands here at your disposal.",
        ]
    return [
        _greeting(customer),
        f"The unit named below is ready and has not been collected. Please collect it{pay}.",
        "If it is still here, we intend to sell it on or after the day named below. You may collect it at any time until then.",
        "What the sale brings beyond what is owed and the costs of the sale is yours.",
    ]


def _greeting(customer: Customer) -> str:
    return f"Dear {customer.name},"


def letter_lines(paper: LawPaper, on: dt.date, *, owed: Money) -> tuple[Requirement, ...]:
    """What the law asks of a letter about a unit left here, where that sum is owed."""
    small = owed.minor > 0 and owed.currency == SMALL_CHARGES.currency and owed <= SMALL_CHARGES
    holding = {Condition.MONEY_OWED: owed.minor > 0, Condition.SMALL_CHARGES: small}
    conditions = frozenset(condition for condition, holds in holding.items() if holds)
    return the_profile().law.lines_for(paper, on, conditions)


def _left_notices(paper: LawPaper, on: dt.date, *, owed: Money) -> list[Notice]:
    """By which law the letter is written. How it goes, and what else the shop does, is for the shop and stands on its page."""
    paragraphs = dict.fromkeys(line.paragraph for line in letter_lines(paper, on, owed=owed))
    return [Notice(f"This letter is written by {'; '.join(paragraphs)}.")] if paragraphs else []


def _open_table(invoices: Sequence[Invoice]) -> LineTable:
    """Invoices with their days and what is open on each."""
    lines = [
        Line(
            f"Invoice {invoice.number} of {spelling.short_day(invoice.issue_date)}",
            quantity=spelling.short_day(invoice.due_date),
            price=Money(invoice.total_minor, invoice.currency),
            amount=invoice.open,
        )
        for invoice in invoices
    ]
    return LineTable(
        groups=[LineGroup("", lines)],
        currency=invoices[0].currency,
        text_head="Open invoices",
        quantity_head="Due",
        price_head="Total",
        amount_head="Open",
    )
