"""A wanted part is one thing from the wish to the invoice: each unit of each part lies in exactly one place, with one cost.

The figures to hold it against are counted here, by a model that only adds and takes away; nothing of the program reckons them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from unittest import mock

from django.db import transaction
from django.db.models import Sum
from django.test import TestCase
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from shop.counter.models import Job
from shop.frame import clock
from shop.frame.journal import verify
from shop.frame.models import Staff
from shop.handbook.money import Money
from shop.office import actions as office
from shop.office.models import Charge
from shop.office.pricing import items_of
from shop.office.queries import struck_since
from shop.press.machine import Machine
from shop.stockroom import actions
from shop.stockroom.models import (
    LedgerEntry,
    Order,
    OrderLine,
    Part,
    PartFitted,
    PartSentBack,
    PartWanted,
    StockLevel,
)
from shop.stockroom.queries import order_list
from tests.factories.office import agreed, rates
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.factories.stockroom import a_part, a_supplier, on_the_bench

BELT = "Belt 71 mm flat"
FEW = st.integers(1, 3)
AT = st.integers(0, 5)


class Threads(RuleBasedStateMachine):
    """Two jobs, two kinds of part: one that has a drawer from the start, and one that is words until it comes."""

    def __init__(self) -> None:
        super().__init__()
        self.book = transaction.atomic()
        self.book.__enter__()
        ShopProfileFactory()
        rates()
        self.by: Staff = StaffFactory()
        self.supplier = a_supplier(self.by)
        self.jobs: list[Job] = [on_the_bench(self.by), on_the_bench(self.by)]
        for job in self.jobs:
            agreed(job, 100_000_00, by=self.by)
        self.idler = a_part(self.by, description="Idler", price_ten_thousandths=50_000)
        self.came: dict[int, int] = defaultdict(int)
        self.paid: dict[int, int] = defaultdict(int)
        self.freight: dict[int, int] = defaultdict(int)
        self.begin_with_some()

    def begin_with_some(self) -> None:
        """Both kinds are wished for and ordered, and three idlers came: a walk of some steps gets as far as an invoice."""
        self.wish(job=0, many=2, words=True)
        self.wish(job=1, many=3, words=False)
        self.order(more=2, cost=42_000)
        self.deliver(which=1, many=3, freight=380)

    def teardown(self) -> None:
        assert verify() == []
        transaction.set_rollback(True)
        self.book.__exit__(None, None, None)

    # --- what people do ---------------------------------------------------------------------------------------

    @rule(job=st.integers(0, 1), many=FEW, words=st.booleans())
    def wish(self, job: int, many: int, words: bool) -> None:
        part = None if words else self.idler
        if part is not None and self.free(part) >= many * 1000:
            return
        actions.want_part(
            job=self.jobs[job],
            part=part,
            description=BELT if words else "",
            quantity_thousandths=many * 1000,
            by=self.by,
        )

    @precondition(lambda self: bool(order_list()))
    @rule(more=st.integers(0, 2), cost=st.integers(0, 90_000))
    def order(self, more: int, cost: int) -> None:
        for sheet in order_list():
            lines = [
                actions.LineAsked(
                    part=line.standing.part if line.standing else None,
                    description="" if line.standing else line.description,
                    quantity_thousandths=line.quantity_thousandths + more * 1000,
                    unit_cost_ten_thousandths=cost,
                    wanted=line.wants,
                )
                for line in sheet.lines
            ]
            order = actions.open_order(supplier=sheet.supplier or self.supplier, lines=lines, by=self.by)
            actions.send_order(order=order, by=self.by)

    @precondition(lambda self: self.lines_to_come().exists())
    @rule(which=AT, many=FEW, freight=st.none() | st.integers(0, 5_000))
    def deliver(self, which: int, many: int, freight: int | None) -> None:
        lines = list(self.lines_to_come())
        line = lines[which % len(lines)]
        was = StockLevel.objects.aggregate(all=Sum("quantity_thousandths"))["all"]
        if freight is not None:
            # what is in the cost of parts that came can't be taken back out of it
            least = -(-Order.objects.get(pk=line.order_id).carriage_landed_ten_thousandths // 100)
            freight = max(freight, least)
        actions.receive_delivery(
            order=line.order,
            came=[actions.Came(line=line, quantity_thousandths=many * 1000)],
            carriage_minor=freight,
            by=self.by,
        )
        line.refresh_from_db()
        assert line.part is not None
        assert StockLevel.objects.aggregate(all=Sum("quantity_thousandths"))["all"] == was + many * 1000
        self.came[line.part.pk] += many * 1000

    @precondition(lambda self: self.lines_to_come().exists())
    @rule(which=AT)
    def give_up(self, which: int) -> None:
        lines = list(self.lines_to_come())
        actions.give_up_line(line=lines[which % len(lines)], by=self.by)

    @precondition(lambda self: self.lies_there())
    @rule(job=st.integers(0, 1), many=FEW, words=st.booleans())
    def fit(self, job: int, many: int, words: bool) -> None:
        part = Part.objects.filter(description=BELT).first() if words else self.idler
        if part is not None and part.level.quantity_thousandths >= many * 1000:
            actions.fit_part(job=self.jobs[job], part=part, quantity_thousandths=many * 1000, by=self.by)

    @precondition(lambda self: self.fitted().exists())
    @rule(which=AT)
    def strike(self, which: int) -> None:
        lines = list(self.fitted())
        actions.strike_part(fitted=lines[which % len(lines)], reason="Wrong job", by=self.by)

    @precondition(lambda self: self.fitted().exists())
    @rule(which=AT, again=st.booleans())
    def send_back_what_was_fitted(self, which: int, again: bool) -> None:
        lines = list(self.fitted())
        line = lines[which % len(lines)]
        assert line.part is not None
        actions.send_back(
            part=line.part,
            quantity_thousandths=line.quantity_thousandths,
            fault="dead",
            supplier=self.supplier,
            fitted=line,
            want_again=again,
            by=self.by,
        )

    @precondition(lambda self: self.lies_there())
    @rule(words=st.booleans(), many=FEW, job=st.none() | st.integers(0, 1))
    def send_back_what_came(self, words: bool, many: int, job: int | None) -> None:
        part = Part.objects.filter(description=BELT).first() if words else self.idler
        if part is not None and part.level.quantity_thousandths >= many * 1000:
            actions.send_back(
                part=part,
                quantity_thousandths=many * 1000,
                fault="wrong",
                supplier=self.supplier,
                job=self.jobs[job] if job is not None else None,
                by=self.by,
            )

    @precondition(lambda self: self.lies_there())
    @rule(words=st.booleans(), many=FEW)
    def scrap(self, words: bool, many: int) -> None:
        part = Part.objects.filter(description=BELT).first() if words else self.idler
        if part is not None and part.level.quantity_thousandths >= many * 1000:
            actions.scrap(part=part, quantity_thousandths=many * 1000, reason="Trodden on", by=self.by)

    @precondition(lambda self: self.wants().exists())
    @rule(which=AT)
    def drop(self, which: int) -> None:
        wants = list(self.wants())
        actions.drop_want(wanted=wants[which % len(wants)], by=self.by)

    @precondition(lambda self: self.fitted().exists())
    @rule(job=st.integers(0, 1))
    def invoice(self, job: int) -> None:
        """What is recorded by now is charged; what comes later stands on the next invoice."""
        one = Job.objects.get(pk=self.jobs[job].pk)
        if items_of(one, on=clock.today()):
            draft = office.draft_invoice(customer=one.customer, jobs=[one], by=self.by)
            office.issue_invoice(invoice=draft, by=self.by)

    # --- what holds, whatever they do -------------------------------------------------------------------------

    @invariant()
    def each_unit_is_in_one_place(self) -> None:
        for part in Part.objects.select_related("level"):
            fitted = self.fitted().filter(part=part).aggregate(sum=Sum("quantity_thousandths"))["sum"] or 0
            gone = {
                kind: -(
                    LedgerEntry.objects.filter(part=part, kind=kind).aggregate(
                        sum=Sum("quantity_thousandths")
                    )["sum"]
                    or 0
                )
                for kind in (LedgerEntry.Kind.SCRAPPED, LedgerEntry.Kind.SENT_BACK)
            }
            back = (
                PartSentBack.objects.filter(part=part).aggregate(sum=Sum("quantity_thousandths"))["sum"] or 0
            )
            assert gone[LedgerEntry.Kind.SENT_BACK] == back
            there = part.level.quantity_thousandths
            assert there + fitted + sum(gone.values()) == self.came[part.pk]

    @invariant()
    def no_more_is_kept_than_lies_there(self) -> None:
        for part in Part.objects.select_related("level"):
            kept = sum(want.kept_thousandths for want in self.wants().filter(part=part))
            assert kept <= part.level.quantity_thousandths
            waits = any(want.missing_thousandths for want in self.wants().filter(part=part))
            assert not waits or kept == part.level.quantity_thousandths, "a job waits beside a free part"

    @invariant()
    def each_want_is_somewhere(self) -> None:
        listed = {want.pk for sheet in order_list() for line in sheet.lines for want in line.wants}
        for want in self.wants():
            coming = want.order_line is not None
            if want.missing_thousandths:
                assert want.came_at is None
                assert coming or want.pk in listed or self.covered(want), want
            else:
                assert want.came_at is not None
        for job in Job.objects.all():
            waits = any(want.missing_thousandths for want in self.wants().filter(job=job))
            assert (job.part_owed_since is not None) == waits

    @invariant()
    def each_unit_has_one_cost(self) -> None:
        """What was paid lies in the drawer, on jobs, or went out: to a ten-thousandth a piece, for costs are whole."""
        for part in Part.objects.select_related("level"):
            entries = list(LedgerEntry.objects.filter(part=part))
            value = sum(one.quantity_thousandths * one.unit_cost_ten_thousandths for one in entries)
            level = part.level
            held = level.quantity_thousandths * level.average_cost_ten_thousandths
            moved = sum(abs(one.quantity_thousandths) for one in entries) + level.quantity_thousandths
            assert abs(value - held) <= moved * max(len(entries), 1)
            for fitted in self.fitted().filter(part=part):
                assert fitted.ledger_entry is not None
                assert fitted.unit_cost_ten_thousandths == fitted.ledger_entry.unit_cost_ten_thousandths

    @invariant()
    def no_more_freight_is_in_parts_than_was_paid(self) -> None:
        for order in Order.objects.all():
            assert order.carriage_landed_ten_thousandths <= Money(order.carriage_minor, "USD").minor * 100

    @invariant()
    def each_fitted_part_is_charged_once(self) -> None:
        for job in self.jobs:
            to_charge = [source for item in items_of(job, on=clock.today()) for source in item.sources]
            charged = [str(one) for one in Charge.objects.filter(job=job, released_at=None)]
            sources = [one for one in (*to_charge, *charged) if one.startswith("part:")]
            assert len(sources) == len(set(sources))
            assert {f"part:{one.pk}" for one in self.fitted().filter(job=job)} <= set(sources)
            struck = {f"part:{one.pk}" for one in PartFitted.objects.filter(job=job).exclude(struck_at=None)}
            assert not struck & set(to_charge), "what was struck out is charged"
            assert struck & set(charged) == {str(one) for one in struck_since([job])}, "nobody is told"

    # --- asking ------------------------------------------------------------------------------------------------

    def lies_there(self) -> bool:
        return StockLevel.objects.filter(quantity_thousandths__gt=0).exists()

    def free(self, part: Part) -> int:
        kept = sum(want.kept_thousandths for want in self.wants().filter(part=part))
        return StockLevel.objects.get(part=part).quantity_thousandths - kept

    def covered(self, want: PartWanted) -> bool:
        """More of it comes on another's line."""
        return self.lines_to_come().filter(part=want.part_id).exists()

    def wants(self):
        return PartWanted.objects.filter(fitted_at=None, dropped_at=None).order_by("id")

    def fitted(self):
        return PartFitted.objects.filter(struck_at=None).order_by("id")

    def lines_to_come(self):
        return OrderLine.objects.filter(pk__in=list(self._to_come())).select_related("order").order_by("id")

    def _to_come(self) -> Iterator[int]:
        for line in OrderLine.objects.filter(order__closed_at=None, given_up_at=None):
            if line.received_thousandths < line.quantity_thousandths:
                yield line.pk


class TestThreads(TestCase):
    def test_each_unit_of_each_part_is_in_exactly_one_place_with_one_cost(self) -> None:
        with mock.patch.object(Machine, "print", return_value=b"%PDF-1.7 %%EOF"):
            run_state_machine_as_test(
                Threads,
                settings=settings(
                    max_examples=4,
                    stateful_step_count=20,
                    deadline=None,
                    suppress_health_check=list(HealthCheck),
                ),
            )
