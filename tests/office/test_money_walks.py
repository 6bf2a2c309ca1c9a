"""Random walks over answers, work, drafts, invoices, credits and money of one job; what must hold is asked after each step.

No source: never charged beyond what was agreed when it was issued, never twice, free again by a credit alone, sums of sources
equal sums of lines, money neither made nor lost. The walk keeps books of its own and reads bare rows: asked of the office's
own questions, it would believe whatever they say. That it finds a fault is tried by planting faults: `FAULTS` (soak).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from typing import Any, ClassVar
from unittest import mock

import pytest
from django.db import IntegrityError, transaction
from django.db.models import Sum
from hypothesis import HealthCheck, Phase, seed, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from shop.bench import actions as bench
from shop.counter.models import Job
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.handbook import agreement
from shop.handbook.agreement import Answer
from shop.handbook.money import Money, round_half_up
from shop.office import actions, queries
from shop.office.actions import allocations, invoices
from shop.office.models import Allocation, Charge, Invoice, InvoiceLine, LineKind, Payment
from shop.office.queries import agreed
from shop.press.machine import Machine
from shop.stockroom.actions import fit_part
from tests.factories.office import item, off

pytestmark = pytest.mark.django_db
NOON = dt.datetime(2026, 11, 20, 12, tzinfo=dt.UTC)
SUMS = st.integers(1, 300_00)
AN_HOUR = 85_00
"""What the shop of these tests takes for an hour of repair, in cents."""


class Walk(RuleBasedStateMachine):
    """A walk over one job; each begins with the book as it was."""

    start: Job
    by: Staff
    issued: ClassVar[list[int]] = []
    """Invoices that charged something: a walk in which all are refused would show nothing."""

    def __init__(self) -> None:
        super().__init__()
        self.begun = transaction.atomic()
        self.begun.__enter__()
        self.hours = self.worked = 0
        self.prices: dict[int, int] = {}
        self.in_hand = 0
        self.agreed = 0
        self.job = Job.objects.get(pk=self.start.pk)

    def teardown(self) -> None:
        transaction.set_rollback(True)
        self.begun.__exit__(None, None, None)

    def try_to(self, act: Any, **facts: Any) -> Any:
        try:
            return act(by=self.by, **facts)
        except Refusal:
            return None

    def said(self, answer: str, **facts: Any) -> Any:
        return self.try_to(
            actions.record_answer, job=self.job, answer=answer, how="written", given_by="M. Osei", **facts
        )

    def some(self, rows: Any, at: int) -> Any:
        found = list(rows.order_by("id"))
        return found[at % len(found)] if found else None

    @rule(minor=SUMS)
    def agree_to_more(self, minor: int) -> None:
        if self.said("more", additional_work="more", additional_minor=minor):
            self.agreed += minor

    @rule(minor=SUMS)
    def set_a_limit(self, minor: int) -> None:
        if self.said("up_to", up_to_minor=minor):
            self.agreed = minor

    @rule()
    def withdraw(self) -> None:
        if self.said("withdrawn"):
            self.agreed = 0

    @rule(minor=st.integers(1, 200_00), yes=st.booleans(), less=st.sampled_from([0, 10, 100]))
    def put_an_estimate_and_answer_it(self, minor: int, yes: bool, less: int) -> None:
        items = [item(price=f"{minor / 100:.2f}"), *([off(str(less))] if less else [])]
        draft = self.try_to(actions.draft_estimate, job=self.job, items=items)
        given = draft and self.try_to(actions.put_estimate, estimate=draft)
        if given and self.said("yes" if yes else "no", estimate=given) and yes:
            self.agreed = minor - (minor * less + 50) // 100

    @rule()
    def work_an_hour(self) -> None:
        begun = NOON + dt.timedelta(hours=self.hours)
        self.hours += 1
        stint = self.try_to(bench.start_stint, job=self.job, kind="repair", at=begun)
        if stint:
            self.worked += 1
            bench.stop_stint(stint=stint, by=self.by, at=begun + dt.timedelta(hours=1))

    @rule(price=st.none() | st.integers(0, 500_000))
    def fit(self, price: int | None) -> None:
        part = self.try_to(fit_part, job=self.job, description="Belt", unit_price_ten_thousandths=price)
        if part:
            self.prices[part.pk] = round_half_up(price or 0, 100)

    @rule()
    def draft(self) -> None:
        self.try_to(actions.draft_invoice, customer=self.job.customer, jobs=[self.job])

    @rule()
    def draft_twice_and_issue_both(self) -> None:
        self.agree_to_more(3 * AN_HOUR)
        self.work_an_hour()
        rows = [self.try_to(actions.draft_invoice, customer=self.job.customer, jobs=[self.job]) for _ in "ab"]
        for row in rows:
            self.issue(row)

    @rule(minor=SUMS)
    def agree_work_and_bill(self, minor: int) -> None:
        self.agree_to_more(AN_HOUR + minor)
        self.work_an_hour()
        self.fit(minor * 50)
        row = self.try_to(actions.draft_invoice, customer=self.job.customer, jobs=[self.job])
        self.issue(row)

    def issue(self, row: Invoice | None) -> None:
        done = row and self.try_to(actions.issue_invoice, invoice=row)
        if done and done.net_minor > 0:
            self.issued.append(done.pk)
            assert sum_of(ISSUED, "net_minor") <= self.agreed

    @rule(at=st.integers(0, 9), act=st.sampled_from([actions.take_in, actions.leave_out, None]))
    def go_on_with_a_draft(self, at: int, act: Any) -> None:
        row = self.some(Invoice.objects.filter(issued_at__isnull=True), at)
        if row is None or act is None:
            self.issue(row)
        else:
            self.try_to(act, invoice=row)

    @rule(at=st.integers(0, 9), lines=st.none() | st.integers(0, 3), free=st.booleans())
    def credit(self, at: int, lines: int | None, free: bool) -> None:
        self.take_back(
            self.some(Invoice.objects.filter(issued_at__isnull=False, kind="invoice"), at), lines, free
        )

    @rule(minor=SUMS, line=st.integers(0, 1), free=st.booleans())
    def bill_and_credit_one_line(self, minor: int, line: int, free: bool) -> None:
        self.agree_work_and_bill(minor)
        self.take_back(Invoice.objects.filter(issued_at__isnull=False, kind="invoice").last(), line, free)

    def take_back(self, row: Invoice | None, lines: int | None, free: bool) -> None:
        if row is None:
            return
        left = [line.pk for line in row.lines.filter(taken_back_by=None).order_by("id")]
        keys = left if lines is None else left[lines : lines + 1]
        note = self.try_to(
            actions.credit,
            invoice=row,
            note="wrong",
            lines=None if lines is None else keys,
            free=None if free else [],
        )
        if note:
            assert -note.net_minor == sum_of({"pk__in": keys}, "net_minor")
            taken_back = Charge.objects.filter(line__in=keys)
            assert not taken_back.filter(released_at__isnull=free).exists()

    @rule(minor=SUMS, at=st.none() | st.integers(0, 9))
    def pay(self, minor: int, at: int | None) -> None:
        self.take(minor, None if at is None else self.some(Invoice.objects.filter(kind="invoice"), at))

    def take(self, minor: int, row: Invoice | None) -> None:
        where: dict[str, Any] = {"job": self.job} if row is None else {"invoice": row}
        if self.try_to(
            actions.take_payment, customer=self.job.customer, amount_minor=minor, how="cash", **where
        ):
            self.in_hand += minor

    @rule(minor=st.none() | SUMS)
    def pay_back(self, minor: int | None) -> None:
        """A sum, or a cent more than lies there."""
        minor = lying() + 1 if minor is None else minor
        if self.try_to(
            actions.refund, customer=self.job.customer, job=self.job, amount_minor=minor, how="cash"
        ):
            self.in_hand -= minor

    @rule(minor=SUMS, on_account=st.booleans(), credited=st.booleans())
    def bill_and_pay_too_much(self, minor: int, on_account: bool, credited: bool) -> None:
        """Before the invoice or after it; then the whole of it is credited, or not, and more asked back than lies there."""
        if on_account:
            self.take(AN_HOUR + minor, None)
        self.agree_work_and_bill(minor)
        row = Invoice.objects.filter(issued_at__isnull=False, kind="invoice").order_by("id").last()
        self.take(AN_HOUR + 2 * minor, row)
        if credited:
            self.take_back(row, None, True)
        self.pay_back(None)

    @invariant()
    def what_is_agreed_is_what_was_said(self) -> None:
        assert queries.authorised_for(self.job).minor == self.agreed

    @invariant()
    def money_is_neither_made_nor_lost(self) -> None:
        for rows in (Payment.objects.all(), Allocation.objects.all()):
            assert (rows.aggregate(sum=Sum("amount_minor"))["sum"] or 0) == self.in_hand
        assert 0 <= lying() <= self.in_hand
        for row in Invoice.objects.filter(issued_at__isnull=False, kind="invoice"):
            assert row.total_minor == row.net_minor + row.tax_minor
            assert row.net_minor == sum_of({"invoice": row.pk}, "net_minor")
            credited = sum(note.total_minor for note in Invoice.objects.filter(corrects=row))
            still_open = row.total_minor + credited - sum(one.amount_minor for one in row.allocations.all())
            assert still_open >= 0
            assert bool(row.settled_at) is (still_open == 0)
            if row.taken_back_at:
                assert still_open == 0

    @invariant()
    def each_source_stands_on_one_line_and_is_free_by_a_credit_alone(self) -> None:
        standing = Charge.objects.filter(released_at__isnull=True)
        keys = list(standing.values_list("source", "source_id"))
        assert len(keys) == len(set(keys))
        issued = InvoiceLine.objects.filter(invoice__issued_at__isnull=False, invoice__kind="invoice")
        for line in issued.prefetch_related("charges", "taken_back_by"):
            charges = line.charges.all()
            assert sorted(line.sources) == sorted(str(one) for one in charges)
            if not line.taken_back_by.all():
                assert all(one.released_at is None for one in charges)

    @invariant()
    def sums_of_sources_are_sums_of_lines(self) -> None:
        for kind, source, most in (
            (LineKind.LABOUR, "stint", self.worked * AN_HOUR),
            (LineKind.PART, "part", sum(self.prices.values())),
        ):
            asked = {**ISSUED, "invoice__kind": "invoice", "taken_back_by": None, "kind": kind}
            charged = Charge.objects.filter(source=source, line__in=InvoiceLine.objects.filter(**asked))
            worth = [AN_HOUR if kind == LineKind.LABOUR else self.prices[one.source_id] for one in charged]
            assert sum_of(asked, "amount_minor") == sum(worth) <= most


ISSUED = {"invoice__issued_at__isnull": False}


def lying() -> int:
    """What was paid and no invoice has taken up, read from the rows themselves."""
    return sum(Allocation.objects.filter(invoice=None).values_list("amount_minor", flat=True))


def sum_of(asked: dict[str, Any], column: str) -> int:
    """The sum of a column over the lines asked for, read from the rows themselves."""
    return sum(InvoiceLine.objects.filter(**asked).values_list(column, flat=True))


# --- faults, planted by hand ----------------------------------------------------------------------------------


def instead(room: Any, name: str, does: Callable[..., Any]) -> Any:
    """Another function in that one's place, which is handed the real one first."""
    real = getattr(room, name)
    return mock.patch.object(room, name, lambda *given, **more: does(real, *given, **more))


def nothing(room: Any, name: str, answer: Any = None) -> Any:
    """What that function does isn't done."""
    return mock.patch.object(room, name, return_value=answer)


def lines_forget_what_they_charge() -> Any:
    return instead(
        invoices, "with_sources", lambda real, *given: [replace(one, sources=()) for one in real(*given)]
    )


def a_credit_sets_free_every_line() -> Any:
    def set_free(real: Any, act: Any, note: Invoice, _lines: Any, *, left_out: bool) -> None:
        assert note.corrects is not None
        real(act, note, {line.pk for line in note.corrects.lines.all()}, left_out=left_out)

    return instead(invoices, "set_sources_free", set_free)


def a_credit_of_one_line_takes_all_of_them() -> Any:
    def turn_round(real: Any, invoice: Invoice, _chosen: Any, left: Any, **more: Any) -> Invoice:
        turned: Invoice = real(invoice, left, left, **more)
        return turned

    return instead(invoices, "turn_round", turn_round)


def an_answer_does_what_another_does(meant: Answer, done: Answer) -> Any:
    def add_up(real: Any, consents: Any, currency: str) -> Any:
        wrong = [replace(one, answer=done) if one.answer is meant else one for one in consents]
        return real(wrong, currency)

    return instead(agreement, "add_up", add_up)


def a_no_to_one_version_takes_back_all() -> Any:
    def add_up(real: Any, consents: Any, currency: str) -> Any:
        wrong = [replace(one, version=None) if one.answer is Answer.NO else one for one in consents]
        return real(wrong, currency)

    return instead(agreement, "add_up", add_up)


def money_that_is_laid_on_an_invoice_stays_on_the_job() -> Any:
    def put(real: Any, act: Any, payment: Any, minor: int, **where: Any) -> None:
        if minor > 0 or (isinstance(payment, Payment) and payment.kind == Payment.Kind.REFUND):
            real(act, payment, minor, **where)

    return instead(allocations, "put", put)


def what_is_paid_beyond_an_invoice_is_lost() -> Any:
    def put(real: Any, act: Any, payment: Any, minor: int, **where: Any) -> None:
        if not (where.get("job") and isinstance(payment, Payment) and payment.kind == Payment.Kind.PAYMENT):
            real(act, payment, minor, **where)

    return instead(allocations, "put", put)


def more_is_paid_back_than_lies_there() -> Any:
    def free_deposits(real: Any, asked: Any) -> Any:
        return [replace(one, amount_minor=2 * one.amount_minor) for one in real(asked)]

    return instead(queries, "free_deposits", free_deposits)


def a_part_costs_a_cent_more_than_was_noted() -> Any:
    def with_sources(real: Any, *given: Any) -> Any:
        return [
            replace(
                one, unit_price=replace(one.unit_price, ten_thousandths=one.unit_price.ten_thousandths + 100)
            )
            if one.kind == LineKind.PART
            else one
            for one in real(*given)
        ]

    return instead(invoices, "with_sources", with_sources)


FAULTS: dict[str, Callable[[], Any]] = {
    "an addition takes the place of what stood": lambda: an_answer_does_what_another_does(
        Answer.MORE, Answer.UP_TO
    ),
    "a limit comes on top of what stood": lambda: an_answer_does_what_another_does(Answer.UP_TO, Answer.MORE),
    "a withdrawal is not heard": lambda: an_answer_does_what_another_does(Answer.WITHDRAWN, Answer.DIAGNOSIS),
    "a no to one version takes back all": a_no_to_one_version_takes_back_all,
    "an invoice is held to nothing": lambda: nothing(queries, "above_authorised", []),
    "earlier invoices count for nothing": lambda: nothing(agreed, "charged_before", Money.zero("USD")),
    "nothing is written down as charged": lambda: nothing(invoices, "charge"),
    "lines forget what they charge": lines_forget_what_they_charge,
    "what another invoice charges is not looked for": lambda: nothing(queries, "collisions", []),
    "a part costs more than was noted": a_part_costs_a_cent_more_than_was_noted,
    "a credit sets nothing free": lambda: nothing(invoices, "set_sources_free"),
    "a credit sets free every line": a_credit_sets_free_every_line,
    "a credit of one line takes all of them": a_credit_of_one_line_takes_all_of_them,
    "what was paid stays with a credited invoice": lambda: nothing(invoices, "set_free"),
    "money on an invoice stays on the job too": money_that_is_laid_on_an_invoice_stays_on_the_job,
    "what is paid beyond an invoice is lost": what_is_paid_beyond_an_invoice_is_lost,
    "more is paid back than lies there": more_is_paid_back_than_lies_there,
    "nothing is ever settled": lambda: nothing(allocations, "settle_if_paid"),
    "credits are no part of what is open": lambda: instead(
        queries, "open_minor", lambda _real, row: row.total_minor - row.prepaid_minor
    ),
}
"""Each planted by hand; a walk that doesn't fail under one is blind to it."""


def walk(machine: type[Walk], **more: Any) -> None:
    """Some walks, with a paper that costs nothing."""
    with mock.patch.object(Machine, "print", return_value=b"%PDF-1.7 %%EOF"):
        run_state_machine_as_test(
            machine,
            settings=settings(
                max_examples=10,
                stateful_step_count=25,
                deadline=None,
                suppress_health_check=list(HealthCheck),
                **more,
            ),
        )


def test_whatever_is_said_done_charged_and_paid_the_books_hold(job: Job, owner: Staff) -> None:
    walk(type("WalkHere", (Walk,), {"start": job, "by": owner}))
    assert len(Walk.issued) > 5


@pytest.mark.soak
@pytest.mark.parametrize("fault", FAULTS)
def test_each_planted_fault_is_found_by_every_seed(fault: str, job: Job, owner: Staff) -> None:
    """A failing walk is shown as it was found: making it shorter takes minutes. Where the book refuses, that counts too."""
    for number in (1, 2, 3):
        seeded = seed(number)(type("Seeded", (Walk,), {"start": job, "by": owner}))
        with FAULTS[fault](), pytest.raises((AssertionError, IntegrityError)):
            walk(seeded, database=None, phases=[Phase.generate])
