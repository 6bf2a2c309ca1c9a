"""Random walks over answers, work, drafts, invoices, credits and money of one job; what must hold is asked after each step.

No source: never charged beyond what was agreed when it was issued, never twice, free again by a credit alone, sums of sources
equal sums of lines, money neither made nor lost.
"""

from __future__ import annotations

import datetime as dt
from typing import Any, ClassVar
from unittest import mock

import pytest
from django.db import transaction
from django.db.models import Sum
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from shop.bench import actions as bench
from shop.counter.models import Job
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.office import actions, queries
from shop.office.models import Allocation, Charge, Invoice, InvoiceLine, Payment
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
        self.hours = 0
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
            bench.stop_stint(stint=stint, by=self.by, at=begun + dt.timedelta(hours=1))

    @rule(price=st.none() | st.integers(0, 500_000))
    def fit(self, price: int | None) -> None:
        self.try_to(fit_part, job=self.job, description="Belt", unit_price_ten_thousandths=price)

    @rule()
    def draft(self) -> None:
        self.try_to(actions.draft_invoice, customer=self.job.customer, jobs=[self.job])

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
            assert queries.charged_before(self.job).minor <= self.agreed

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
        keys = None if lines is None else [line.pk for line in queries.lines_left(row)][lines : lines + 1]
        self.try_to(actions.credit, invoice=row, note="wrong", lines=keys, free=None if free else [])

    @rule(minor=SUMS, at=st.none() | st.integers(0, 9))
    def pay(self, minor: int, at: int | None) -> None:
        row = None if at is None else self.some(Invoice.objects.filter(kind="invoice"), at)
        where: dict[str, Any] = {"job": self.job} if row is None else {"invoice": row}
        if self.try_to(
            actions.take_payment, customer=self.job.customer, amount_minor=minor, how="cash", **where
        ):
            self.in_hand += minor

    @rule(minor=SUMS)
    def pay_back(self, minor: int) -> None:
        if self.try_to(
            actions.refund, customer=self.job.customer, job=self.job, amount_minor=minor, how="cash"
        ):
            self.in_hand -= minor

    @invariant()
    def what_is_agreed_is_what_was_said(self) -> None:
        assert queries.authorised_for(self.job).minor == self.agreed

    @invariant()
    def money_is_neither_made_nor_lost(self) -> None:
        for rows in (Payment.objects.all(), Allocation.objects.all()):
            assert (rows.aggregate(sum=Sum("amount_minor"))["sum"] or 0) == self.in_hand
        assert self.in_hand >= 0
        assert sum(one.amount_minor for one in queries.free_deposits([self.job])) >= 0
        for row in Invoice.objects.filter(issued_at__isnull=False, kind="invoice"):
            assert queries.open_minor(row) >= 0
            if row.taken_back_at:
                assert queries.open_minor(row) == 0

    @invariant()
    def each_source_stands_on_one_line_and_is_free_by_a_credit_alone(self) -> None:
        standing = Charge.objects.filter(released_at__isnull=True)
        keys = list(standing.values_list("source", "source_id"))
        assert len(keys) == len(set(keys))
        issued = InvoiceLine.objects.filter(invoice__issued_at__isnull=False, invoice__kind="invoice")
        for line in issued:
            assert sorted(line.sources) == sorted(str(one) for one in line.charges.all())
            if not line.taken_back_by.exists():
                assert not line.charges.filter(released_at__isnull=False).exists()


def test_whatever_is_said_done_charged_and_paid_the_books_hold(job: Job, owner: Staff) -> None:
    with mock.patch.object(Machine, "print", return_value=b"%PDF-1.7 %%EOF"):
        run_state_machine_as_test(  # type: ignore[no-untyped-call]
            type("WalkHere", (Walk,), {"start": job, "by": owner}),
            settings=settings(
                max_examples=25,
                stateful_step_count=25,
                deadline=None,
                suppress_health_check=list(HealthCheck),
            ),
        )
    assert len(Walk.issued) > 5
