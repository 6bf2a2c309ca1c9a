"""No order of acts gives a number twice or leaves a gap, and an invoice and its credit note together are nothing.

Source: Directive 2006/112/EC Article 226(2), a sequential number, based on one or more series, that uniquely identifies the
invoice.
The press is left out here (tests/premises/test_press.py looks after it): papers cost a tenth of a second each.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from unittest import mock

import pytest
from django.db import transaction
from django.test import TestCase
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    consumes,
    invariant,
    rule,
    run_state_machine_as_test,
)

from shop.frame.refusal import Refusal
from shop.office import actions
from shop.office.models import Invoice, LineKind
from shop.press.machine import Machine
from tests.factories.office import agreed, another_job, item, on_the_bench, rates, rules, sales_tax
from tests.factories.premises import ShopProfileFactory, StaffFactory

ENOUGH = 1_000_00
SERIES = (Invoice.Kind.INVOICE, Invoice.Kind.CREDIT_NOTE)


@contextmanager
def blank_paper(*, torn: bool = False) -> Iterator[None]:
    """The press gives a blank, or breaks in the middle of the act."""
    how: dict[str, Any] = (
        {"side_effect": OSError("paper jam")} if torn else {"return_value": b"%PDF-1.7 %%EOF"}
    )
    with mock.patch.object(Machine, "print", **how):
        yield


class Office(RuleBasedStateMachine):
    """Drafts, issues, credits, throws away and fails in any order, beside a count of what must have been numbered."""

    drafts = Bundle("drafts")
    issued = Bundle("issued")

    def __init__(self) -> None:
        super().__init__()
        self.book = transaction.atomic()
        self.book.__enter__()
        ShopProfileFactory()
        self.by = StaffFactory()
        rules()
        rates()
        sales_tax()
        self.job = on_the_bench(by=self.by)
        self.numbered = dict.fromkeys(SERIES, 0)

    def teardown(self) -> None:
        """Each run begins with an empty book."""
        transaction.set_rollback(True)
        self.book.__exit__(None, None, None)

    @rule(target=drafts, price=st.integers(1, 3), parts=st.booleans())
    def draft(self, price: int, parts: bool) -> int:
        job = another_job(self.job.customer, by=self.by)
        agreed(job, ENOUGH, by=self.by)
        items = [item(price=f"{price}9.99"), *([item(LineKind.PART, "12.34")] if parts else [])]
        made = actions.draft_invoice(customer=job.customer, jobs=[job], items=items, by=self.by)
        return int(made.pk)

    @rule(target=issued, pk=consumes(drafts))
    def issue(self, pk: int) -> int:
        with blank_paper():
            actions.issue_invoice(invoice=Invoice.objects.get(pk=pk), by=self.by)
        self.numbered[Invoice.Kind.INVOICE] += 1
        return pk

    @rule(first=consumes(drafts), second=consumes(drafts))
    def issue_together(self, first: int, second: int) -> None:
        pair = list(Invoice.objects.filter(pk__in=[first, second]).order_by("-id"))
        with blank_paper():
            made = actions.issue_invoices(invoices=pair, by=self.by)
        assert len(made.papers) == len(pair)
        self.numbered[Invoice.Kind.INVOICE] += len(pair)

    @rule(pk=drafts)
    def break_while_printing(self, pk: int) -> None:
        with blank_paper(torn=True), pytest.raises(OSError, match="paper jam"):
            actions.issue_invoice(invoice=Invoice.objects.get(pk=pk), by=self.by)

    @rule(pk=drafts)
    def refuse_what_is_above_the_authorised_sum(self, pk: int) -> None:
        dear = Invoice.objects.get(pk=pk)
        actions.set_invoice_lines(invoice=dear, items=[item(price="2000.00")], by=self.by)
        with blank_paper(), pytest.raises(Refusal, match="authorized"):
            actions.issue_invoice(invoice=dear, by=self.by)
        actions.set_invoice_lines(invoice=dear, items=[item(price="20.00")], by=self.by)

    @rule(pk=consumes(drafts))
    def throw_away(self, pk: int) -> None:
        actions.discard_draft(invoice=Invoice.objects.get(pk=pk), by=self.by)

    @rule(pk=issued)
    def credit(self, pk: int) -> None:
        invoice = Invoice.objects.get(pk=pk)
        if Invoice.objects.filter(corrects=invoice).exists():
            with blank_paper(), pytest.raises(Refusal, match="already"):
                actions.credit(invoice=invoice, note="once more", by=self.by)
            return
        with blank_paper():
            turned = actions.credit(invoice=invoice, note="wrong customer", by=self.by)
        self.numbered[Invoice.Kind.CREDIT_NOTE] += 1
        for sum_of in ("net_minor", "tax_minor", "total_minor"):
            assert getattr(invoice, sum_of) + getattr(turned, sum_of) == 0
        pairs = zip(invoice.lines.order_by("position"), turned.lines.order_by("position"), strict=True)
        assert all(one.amount_minor + back.amount_minor == 0 for one, back in pairs)
        taxes = zip(invoice.taxes.order_by("percent"), turned.taxes.order_by("percent"), strict=True)
        assert all(
            (one.base_minor, one.tax_minor) == (-back.base_minor, -back.tax_minor) for one, back in taxes
        )

    @rule(pk=issued)
    def issue_once_more(self, pk: int) -> None:
        with blank_paper(), pytest.raises(Refusal, match="is issued"):
            actions.issue_invoice(invoice=Invoice.objects.get(pk=pk), by=self.by)

    @invariant()
    def each_series_counts_without_gap_or_repeat(self) -> None:
        for kind in SERIES:
            found = Invoice.objects.filter(kind=kind, issued_at__isnull=False).order_by("sequence")
            assert [one.sequence for one in found] == list(range(1, self.numbered[kind] + 1))
            assert len({one.number for one in found}) == self.numbered[kind]
        assert not Invoice.objects.filter(issued_at__isnull=True).exclude(number="").exists()


class TheOfficeCounts(TestCase):
    def test_no_order_of_acts_gives_a_number_twice_or_leaves_a_gap(self) -> None:
        run_state_machine_as_test(
            Office,
            settings=settings(
                max_examples=8,
                stateful_step_count=12,
                deadline=None,
                phases=[Phase.generate],
                suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
            ),
        )
