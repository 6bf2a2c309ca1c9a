"""Letters: made once, stored, noted when they went and when they were received. The program sends and sells nothing."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from shop.counter.actions import file_paper
from shop.counter.models import Customer, Job
from shop.counter.stages import Stage
from shop.frame import numbers, spelling
from shop.frame.clock import day_of
from shop.frame.journal import Act, acting
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.handbook.law.terms import Paper as LawPaper
from shop.handbook.money import Money
from shop.keeping.letter_texts import texts
from shop.keeping.models import IssuedPaper, Message
from shop.keeping.outbox import write_message
from shop.office import queries
from shop.office.actions.many import Many
from shop.office.letters import PAPER
from shop.office.models import Invoice, LeftHere, Letter
from shop.office.papers import issue_all, left_sheet, reminder_sheet, statement_sheet
from shop.press.drawing import warm_up
from shop.press.issuing import PaperWanted

if TYPE_CHECKING:
    from shop.press.printers import Printers


def make_statement(
    *,
    customer: Customer,
    starts: dt.date,
    ends: dt.date,
    by: Staff,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Letter:
    """Make a customer's statement of account between two days."""
    return make_statements(
        customers=[customer], starts=starts, ends=ends, by=by, once_key=once_key, at=at
    ).letters[0]


def make_statements(
    *,
    customers: Sequence[Customer],
    starts: dt.date,
    ends: dt.date,
    by: Staff,
    printers: Printers | None = None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> ManyLetters:
    """Make the statements of several customers between two days in one act, as at the end of a month."""
    if ends < starts:
        raise Refusal("The statement ends before it starts.", field="ends")
    warm_up()
    with acting(by=by, at=at, once=once_key) as act:
        wanted = [_statement(customer, starts, ends, by=by) for customer in customers]
        return _made_all(act, wanted, printers)


def _statement(customer: Customer, starts: dt.date, ends: dt.date, *, by: Staff) -> _Wanted:
    account = queries.account_of(customer, starts=starts, ends=ends, currency=the_profile().currency)
    jobs = queries.jobs_of_invoices([one.invoice for one in account.entries if one.invoice])

    def sheet(number: str, on: dt.date) -> PaperWanted:
        return statement_sheet(account, number=number, on=on, by=by)

    return _Wanted(sheet, jobs, {"kind": Letter.Kind.STATEMENT, "customer": customer})


def remind(
    *, invoice: Invoice, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Letter:
    """Make the next reminder of an open invoice that is past due."""
    warm_up()
    with acting(by=by, at=at, once=once_key) as act:
        return _made_all(act, [_reminder(invoice, act.day, by=by)]).letters[0]


def remind_many(
    *,
    invoices: Sequence[Invoice],
    by: Staff,
    printers: Printers | None = None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> ManyLetters:
    """Make the reminders that are due of these invoices in one act; whom one was written to meanwhile gets no second."""
    warm_up()
    with acting(by=by, at=at, once=once_key) as act:
        on = act.day
        due = queries.reminders_due(on).filter(pk__in=[one.pk for one in invoices]).order_by("id")
        return _made_all(act, [_reminder(invoice, on, by=by) for invoice in due], printers)


def _reminder(invoice: Invoice, on: dt.date, *, by: Staff) -> _Wanted:
    owed = queries.open_minor(invoice) if invoice.issued_at else 0
    if owed <= 0:
        raise Refusal("Nothing is open on this invoice.")
    if invoice.due_date is None or invoice.due_date >= on:
        raise Refusal(f"It is due on {spelling.day(invoice.due_date)}: a reminder comes after that.")
    level = Letter.objects.filter(invoice=invoice, kind=Letter.Kind.REMINDER).count() + 1
    shown = queries.open_invoices().get(pk=invoice.pk)
    money = Money(owed, invoice.currency)

    def sheet(number: str, on: dt.date) -> PaperWanted:
        return reminder_sheet(shown, level=level, owed=money, number=number, on=on, by=by)

    facts = {"kind": Letter.Kind.REMINDER, "customer": invoice.customer, "invoice": invoice, "level": level}
    return _Wanted(sheet, queries.jobs_of(invoice), facts)


def make_left_notice(
    *,
    job: Job,
    kind: str,
    by: Staff,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Letter:
    """Make a notice about a unit that nobody fetches: to collect it, or that it is to be sold.

    A notice of sale needs the day that was set for it, and a customer who does not dispute the charges.
    """
    warm_up()
    with acting(by=by, at=at, once=once_key) as act:
        left = LeftHere.objects.filter(job=job).first()
        if kind not in {Letter.Kind.COLLECT, Letter.Kind.SALE}:
            raise Refusal("That is no notice about a unit left here.")
        if job.stage != Stage.READY:
            raise Refusal("Only a unit that is ready to go back is left here.")
        if kind == Letter.Kind.SALE:
            _refuse_sale(left, act.day)
        paper = LawPaper.SALE_LETTER if kind == Letter.Kind.SALE else LawPaper.COLLECT_LETTER
        owed = queries.balance_of(job)

        def sheet(number: str, on: dt.date) -> PaperWanted:
            return left_sheet(job, paper=paper, owed=owed, left=left, number=number, on=on, by=by)

        wanted = _Wanted(sheet, [job], {"kind": kind, "customer": job.customer, "job": job})
        return _made_all(act, [wanted]).letters[0]


def note_left_here(
    *, job: Job, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None, **known: object
) -> LeftHere:
    """Note what the laws on unclaimed goods ask to be known of a unit; `known` are columns of `LeftHere`."""
    with acting(by=by, at=at, once=once_key) as act:
        row, _ = LeftHere.objects.update_or_create(job=job, defaults={**known, "at": act.at, "by": by})
        act.record("job.left_here", subject=row, jobs=[job.pk], sale_day=row.sale_day)
    return row


def note_sent(
    *,
    letter: Letter,
    sent_on: dt.date | None,
    sent_how: str,
    by: Staff,
    received_on: dt.date | None = None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Letter:
    """Note when and how a letter went, and when it was received: periods are counted from these days."""
    with acting(by=by, at=at, once=once_key) as act:
        if sent_on is not None and sent_on < day_of(letter.at):
            raise Refusal("It can’t have gone before it was made.", field="sent_on")
        if received_on is not None and (sent_on is None or received_on < sent_on):
            raise Refusal("A letter is received after it was sent.", field="received_on")
        if max(filter(None, (sent_on, received_on)), default=dt.date.min) > act.day:
            raise Refusal("That day has not come yet.", field="received_on" if received_on else "sent_on")
        letter.sent_on, letter.sent_how, letter.received_on = sent_on, sent_how, received_on
        letter.save(update_fields=["sent_on", "sent_how", "received_on"])
        jobs = [letter.job_id] if letter.job_id else []
        act.record("letter.sent", subject=letter, jobs=jobs, sent_on=sent_on, sent_how=sent_how)
    return letter


def email_paper(
    *,
    paper: IssuedPaper,
    customer: Customer,
    jobs: Sequence[Job],
    by: Staff,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Message:
    """Put a letter with a paper attached into the outbox, to the customer's address."""
    if not customer.email:
        raise Refusal(f"{customer.name} has no e-mail address: put one on the customer’s page first.")
    with acting(by=by, at=at, once=once_key) as act:
        subject, body = texts().write(
            PAPER,
            customer=customer.name,
            paper=paper.title,
            numbers=", ".join(job.number for job in jobs),
        )
        message = write_message(to=customer.email, subject=subject, body=body, paper=paper, by=by)
        act.record("paper.emailed", subject=paper, jobs=[job.pk for job in jobs])
        act.made(message)
    return message


@dataclass(frozen=True, slots=True)
class _Wanted:
    """A letter that is wanted: its sheet once it has a number, the jobs it is filed with, and its columns."""

    sheet: Callable[[str, dt.date], PaperWanted]
    jobs: Sequence[Job]
    facts: dict[str, Any]


@dataclass(slots=True)
class ManyLetters(Many):
    """The letters themselves, beside their papers."""

    letters: list[Letter] = field(default_factory=list)


def _made_all(act: Act, wanted: Sequence[_Wanted], printers: Printers | None = None) -> ManyLetters:
    """Number, print and keep the letters, in their order."""
    on, made = act.day, ManyLetters()
    sheets = [one.sheet(f"L{on.year}-{numbers.take('letter', on.year):04d}", on) for one in wanted]
    made.papers = issue_all(sheets, by=act.by, printers=printers)
    for one, paper in zip(wanted, made.papers, strict=True):
        letter = Letter.objects.create(paper=paper, at=act.at, by=act.by, **one.facts)
        file_paper(act=act, paper=paper, jobs=one.jobs)
        jobs = [job.pk for job in one.jobs]
        act.record("letter.made", subject=letter, jobs=jobs, kind=letter.kind, level=letter.level)
        made.letters.append(letter)
    return made


def _refuse_sale(left: LeftHere | None, on: dt.date) -> None:
    if left is None or left.sale_day is None:
        raise Refusal("Set the day of the sale first; the timeline says from when one is possible.")
    if left.sale_day <= on:
        raise Refusal("The day of the sale lies in the past: set another.")
    if left.disputed:
        raise Refusal("The customer disputes the charges: no notice of sale until that is settled.")
