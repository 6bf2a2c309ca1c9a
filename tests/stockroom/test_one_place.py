"""A wanted part is one thing from the wish to the invoice: each unit of each part lies in exactly one place, with one cost.

The figures to hold it against are counted here, by a model that only adds and takes away; nothing of the program reckons them.
That a walk finds a fault is tried by planting faults: `FAULTS`, each found by every seed (soak).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, ClassVar
from unittest import mock

import pytest
from django.db import connection, transaction
from django.test import TestCase
from hypothesis import HealthCheck, Phase, note, seed, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)

from shop.counter.models import Job
from shop.frame import clock
from shop.frame.journal import Act, verify
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.office import actions as office
from shop.office import pricing
from shop.office.actions import invoices as invoicing
from shop.office.models import Charge, Invoice
from shop.office.pricing import items_of
from shop.office.queries import struck_since
from shop.press.machine import Machine
from shop.stockroom import actions, landed
from shop.stockroom.actions import arriving, fitting, ledger, ordering, sending_back, waiting
from shop.stockroom.models import (
    LedgerEntry,
    Order,
    OrderLine,
    Part,
    PartFitted,
    PartSentBack,
    PartWanted,
    StockLevel,
    Supplier,
)
from shop.stockroom.queries import order_list
from tests.factories.office import agreed, rates
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.factories.stockroom import a_part, a_supplier, on_the_bench

BELT = "Belt 71 mm flat"
FEW = st.integers(1, 3)
AT = st.integers(0, 5)
Kind = LedgerEntry.Kind

TOUR = (
    "deliver",
    "deliver",
    "fit",
    "draft",
    "strike",
    "issue",
    "fit",
    "draft",
    "issue",
    "send_back_what_was_fitted",
    "deliver",
    "wish",
    "order",
    "deliver",
    "give_up",
    "send_back_what_came",
    "drop",
    "scrap",
)
"""What each walk begins with, in an order of its own: all that can be done, what matters more than once."""


@dataclass(frozen=True, slots=True)
class Ground:
    """What stands before each walk: two jobs on the bench, a supplier, and a kind of part that has a drawer."""

    by: Staff
    supplier: Supplier
    jobs: tuple[int, ...]
    idler: int


class Threads(RuleBasedStateMachine):
    """Two jobs, two kinds of part: one that has a drawer from the start, and one that is words until it comes.

    A walk writes behind a savepoint of its own, so that one that breaks off leaves the book as it was.
    """

    ground: ClassVar[Ground]

    def __init__(self) -> None:
        super().__init__()
        self.came: dict[int, int] = defaultdict(int)
        self.to_come: dict[int, int] = {}
        self.has_given_up: set[int] = set()
        self.savepoint = transaction.savepoint()

    def teardown(self) -> None:
        try:
            assert verify() == []
        finally:
            connection.needs_rollback = False
            transaction.savepoint_rollback(self.savepoint)

    @initialize(
        tour=st.permutations(TOUR), many=st.lists(st.tuples(AT, FEW), min_size=len(TOUR), max_size=len(TOUR))
    )
    def begin(self, tour: list[str], many: list[tuple[int, int]]) -> None:
        """Both kinds are wished for and ordered in one order; then comes all that can be done, in any order."""
        self.wish(0, 2, words=True)
        self.wish(1, 3, words=False)
        self.order(0, 1)
        for verb, numbers in zip(tour, many, strict=True):
            note(f"{verb}{numbers}")
            getattr(self, verb)(*numbers)
            self.all_holds()

    # --- what people do: each verb takes which one of those there are, and how many ------------------------------

    @rule(which=AT, many=FEW, words=st.booleans())
    def wish(self, which: int, many: int, *, words: bool | None = None) -> None:
        part = None if (which % 3 == 0 if words is None else words) else self.idler()
        if part is not None and self.free(part) >= many * 1000:
            return
        actions.want_part(
            job=self.job(which),
            part=part,
            description="" if part else BELT,
            quantity_thousandths=many * 1000,
            by=self.ground.by,
        )

    @rule(which=AT, many=FEW)
    def order(self, which: int, many: int) -> None:
        """All that is to be ordered; some more of it, and one line again after it was typed wrong."""
        for sheet in order_list():
            lines = [
                actions.LineAsked(
                    part=line.standing.part if line.standing else None,
                    description="" if line.standing else line.description,
                    quantity_thousandths=line.quantity_thousandths + (many - 1) * 1000,
                    unit_cost_ten_thousandths=42_000 - 7_777 * which,
                    wanted=line.wants,
                )
                for line in sheet.lines
            ]
            order = actions.open_order(
                supplier=sheet.supplier or self.ground.supplier, lines=lines, by=self.ground.by
            )
            actions.send_order(order=order, by=self.ground.by)
            self.to_come |= {line.pk: line.quantity_thousandths for line in order.lines.all()}

    @rule(which=AT, many=FEW)
    def deliver(self, which: int, many: int) -> None:
        """Some of a line comes; two of three times with a bill that says the freight of the whole order so far."""
        line = self.chosen(self.lines_to_come(), which)
        if line is None:
            return
        freight = None
        if which % 3 != 2:
            # what is in the cost of parts that came can't be taken back out of it
            freight = max(380 + 90 * which, -(-line.order.carriage_landed_ten_thousandths // 100))
        actions.receive_delivery(
            order=line.order,
            came=[actions.Came(line=line, quantity_thousandths=many * 1000)],
            carriage_minor=freight,
            by=self.ground.by,
        )
        line.refresh_from_db()
        assert line.part is not None
        self.came[line.part.pk] += many * 1000
        self.to_come[line.pk] = max(self.to_come[line.pk] - many * 1000, 0)

    @rule(which=AT, many=FEW)
    def give_up(self, which: int, many: int) -> None:
        if line := self.chosen(self.lines_to_come(), which):
            actions.give_up_line(line=line, by=self.ground.by)
            self.to_come[line.pk] = 0
            self.has_given_up.add(line.order_id)

    @rule(which=AT, many=FEW)
    def fit(self, which: int, many: int) -> None:
        """What is kept for a job, or what lies there, whoever wanted it."""
        there = StockLevel.objects.filter(quantity_thousandths__gt=0).select_related("part").order_by("part")
        level = self.chosen(list(there), which)
        if level is None:
            return
        waits = self.wants().filter(part=level.part, kept_thousandths__gt=0).first()
        actions.fit_part(
            job=self.job(which) if waits is None or which % 2 else waits.job,
            part=level.part,
            quantity_thousandths=min(many * 1000, level.quantity_thousandths),
            by=self.ground.by,
        )

    @rule(which=AT, many=FEW)
    def strike(self, which: int, many: int) -> None:
        if line := self.chosen(list(self.fitted().order_by("-id")), which):
            actions.strike_part(fitted=line, reason="Wrong job", by=self.ground.by)

    @rule(which=AT, many=FEW)
    def send_back_what_was_fitted(self, which: int, many: int) -> None:
        line = self.chosen(list(self.fitted().select_related("part").order_by("-id")), which)
        if line is not None and line.part is not None:
            actions.send_back(
                part=line.part,
                quantity_thousandths=line.quantity_thousandths,
                fault="dead",
                supplier=self.ground.supplier,
                fitted=line,
                want_again=many % 2 == 1,
                by=self.ground.by,
            )

    @rule(which=AT, many=FEW)
    def send_back_what_came(self, which: int, many: int) -> None:
        if part := self.lies_there(which, many):
            actions.send_back(
                part=part,
                quantity_thousandths=many * 1000,
                fault="wrong",
                supplier=self.ground.supplier,
                job=self.job(which) if which % 3 else None,
                by=self.ground.by,
            )

    @rule(which=AT, many=FEW)
    def scrap(self, which: int, many: int) -> None:
        if part := self.lies_there(which, many):
            actions.scrap(part=part, quantity_thousandths=many * 1000, reason="Trodden on", by=self.ground.by)

    @rule(which=AT, many=FEW)
    def drop(self, which: int, many: int) -> None:
        if want := self.chosen(list(self.wants()), which):
            actions.drop_want(wanted=want, by=self.ground.by)

    @rule(which=AT, many=FEW)
    def draft(self, which: int, many: int) -> None:
        """What is recorded by now; what comes later stands on the next invoice."""
        jobs = [job for job in self.jobs() if items_of(job, on=clock.today())]
        if job := self.chosen(jobs, which):
            office.draft_invoice(customer=job.customer, jobs=[job], by=self.ground.by)

    @rule(which=AT, many=FEW)
    def issue(self, which: int, many: int) -> None:
        """A draft that holds what was struck out since, or what another has charged, is refused, and drafted anew."""
        draft = self.chosen(list(Invoice.objects.filter(issued_at=None).order_by("id")), which)
        if draft is None:
            return
        sources = {source for line in draft.lines.all() for source in line.sources}
        struck = {f"part:{one.pk}" for one in PartFitted.objects.exclude(struck_at=None)}
        charged = {str(one) for one in Charge.objects.filter(released_at=None)}
        try:
            office.issue_invoice(invoice=draft, by=self.ground.by)
        except Refusal:
            assert sources & (struck | charged), "a draft of what is to be charged is refused"
            office.discard_draft(invoice=draft, by=self.ground.by)
        else:
            assert not sources & struck, "what was struck out is charged"
            assert not sources & charged, "it is charged twice"

    # --- what holds, whatever they do -------------------------------------------------------------------------

    @invariant()
    def all_holds(self) -> None:
        entries = list(LedgerEntry.objects.select_related("order_line").order_by("id"))
        fitted = list(self.fitted().select_related("ledger_entry"))
        wants = list(self.wants().select_related("order_line__order"))
        for part in Part.objects.select_related("level"):
            of_it = [one for one in entries if one.part_id == part.pk]
            on_jobs = [one for one in fitted if one.part_id == part.pk]
            self.each_unit_is_in_one_place(part, of_it, on_jobs)
            self.each_unit_has_one_cost(part, of_it, on_jobs)
            self.no_more_is_kept_than_lies_there(part, [one for one in wants if one.part_id == part.pk])
        self.a_line_is_over_when_all_came_or_somebody_gave_it_up()
        self.freight_is_in_parts_once(entries)
        self.each_want_is_somewhere(wants)
        self.what_is_fitted_is_no_longer_waited_for(fitted)
        self.each_fitted_part_is_charged_once(fitted)

    def each_unit_is_in_one_place(
        self, part: Part, entries: list[LedgerEntry], fitted: list[PartFitted]
    ) -> None:
        went = {
            kind: -sum(one.quantity_thousandths for one in entries if one.kind == kind)
            for kind in (Kind.SCRAPPED, Kind.SENT_BACK)
        }
        back = PartSentBack.objects.filter(part=part).values_list("quantity_thousandths", flat=True)
        assert went[Kind.SENT_BACK] == sum(back)
        on_jobs = sum(one.quantity_thousandths for one in fitted)
        assert part.level.quantity_thousandths + on_jobs + sum(went.values()) == self.came[part.pk]

    def each_unit_has_one_cost(
        self, part: Part, entries: list[LedgerEntry], fitted: list[PartFitted]
    ) -> None:
        """What was paid lies in the drawer, on jobs, or went out: to a ten-thousandth a piece, for costs are whole."""
        value = sum(one.quantity_thousandths * one.unit_cost_ten_thousandths for one in entries)
        held = part.level.quantity_thousandths * part.level.average_cost_ten_thousandths
        moved = sum(abs(one.quantity_thousandths) for one in entries) + part.level.quantity_thousandths
        assert abs(value - held) <= moved * max(len(entries), 1)
        for one in fitted:
            assert one.ledger_entry is not None
            assert one.unit_cost_ten_thousandths == one.ledger_entry.unit_cost_ten_thousandths

    def no_more_is_kept_than_lies_there(self, part: Part, wants: list[PartWanted]) -> None:
        kept = sum(want.kept_thousandths for want in wants)
        assert kept <= part.level.quantity_thousandths
        if any(want.missing_thousandths for want in wants):
            assert kept == part.level.quantity_thousandths, "a job waits beside a free part"

    def a_line_is_over_when_all_came_or_somebody_gave_it_up(self) -> None:
        assert {line.pk for line in self.lines_to_come()} == {pk for pk, many in self.to_come.items() if many}

    def freight_is_in_parts_once(self, entries: list[LedgerEntry]) -> None:
        """What came cost what the lines say and, by the time that all came, the freight of the order: once."""
        for order in Order.objects.prefetch_related("lines"):
            lines = {line.pk: line for line in order.lines.all()}
            came = [one for one in entries if one.order_line_id in lines and one.kind == Kind.RECEIVED]
            freight = sum(
                one.quantity_thousandths
                * (one.unit_cost_ten_thousandths - lines[one.order_line_id or 0].unit_cost_ten_thousandths)
                for one in came
            )
            pieces = sum(one.quantity_thousandths for one in came)
            paid = order.carriage_minor * 100 * 1000
            assert freight <= paid + pieces, "more freight is in the parts than was paid"
            if not any(self.to_come[pk] for pk in lines) and order.pk not in self.has_given_up:
                assert freight >= paid - pieces, "freight was lost"

    def each_want_is_somewhere(self, wants: list[PartWanted]) -> None:
        listed = {want.pk for sheet in order_list() for line in sheet.lines for want in line.wants}
        coming = {line.part_id for line in self.lines_to_come()}
        for want in wants:
            assert (want.came_at is None) == bool(want.missing_thousandths)
            if want.missing_thousandths:
                on_its_way = bool(want.order_line_id and self.to_come[want.order_line_id])
                assert on_its_way or want.pk in listed or want.part_id in coming, want
                assert not (on_its_way and want.pk in listed), "what is on its way is ordered again"
        for job in self.jobs():
            waits = any(want.missing_thousandths for want in wants if want.job_id == job.pk)
            assert (job.part_owed_since is not None) == waits

    def what_is_fitted_is_no_longer_waited_for(self, fitted: list[PartFitted]) -> None:
        """A job's wishes for a part are filled by what is fitted of it, and by no more."""
        asked: dict[tuple[int, int | None], list[PartWanted]] = defaultdict(list)
        for want in PartWanted.objects.exclude(part=None).order_by("id"):
            asked[want.job_id, want.part_id].append(want)
        for (job, part), wants in asked.items():
            used = sum(
                one.quantity_thousandths
                for one in fitted
                if (one.job_id, one.part_id) == (job, part) and one.at >= wants[0].at
            )
            used -= sum(one.fitted_thousandths for one in wants if one.dropped_at)
            standing = [one for one in wants if not one.dropped_at]
            filled = sum(one.fitted_thousandths for one in standing)
            assert filled == min(max(used, 0), sum(one.quantity_thousandths for one in standing))
            for one in standing:
                assert (one.fitted_at is not None) == (one.fitted_thousandths == one.quantity_thousandths)

    def each_fitted_part_is_charged_once(self, fitted: list[PartFitted]) -> None:
        for job in self.jobs():
            to_charge = [source for item in items_of(job, on=clock.today()) for source in item.sources]
            charged = [str(one) for one in Charge.objects.filter(job=job, released_at=None)]
            sources = [one for one in (*to_charge, *charged) if one.startswith("part:")]
            assert len(sources) == len(set(sources))
            assert {f"part:{one.pk}" for one in fitted if one.job_id == job.pk} <= set(sources)
            struck = {f"part:{one.pk}" for one in PartFitted.objects.filter(job=job).exclude(struck_at=None)}
            assert not struck & set(to_charge), "what was struck out is charged"
            assert struck & set(charged) == {str(one) for one in struck_since([job])}, "nobody is told"

    # --- asking ------------------------------------------------------------------------------------------------

    @staticmethod
    def chosen(of: list[Any], which: int) -> Any:
        return of[which % len(of)] if of else None

    def jobs(self) -> list[Job]:
        return list(Job.objects.filter(pk__in=self.ground.jobs).select_related("customer").order_by("id"))

    def job(self, which: int) -> Job:
        return Job.objects.get(pk=self.ground.jobs[which % 2])

    def idler(self) -> Part:
        return Part.objects.get(pk=self.ground.idler)

    def lies_there(self, which: int, many: int) -> Part | None:
        levels = StockLevel.objects.filter(quantity_thousandths__gte=many * 1000)
        level = self.chosen(list(levels.select_related("part").order_by("part")), which)
        return level.part if level else None

    def free(self, part: Part) -> int:
        kept = sum(want.kept_thousandths for want in self.wants().filter(part=part))
        return StockLevel.objects.get(part=part).quantity_thousandths - kept

    def wants(self) -> Any:
        return PartWanted.objects.filter(fitted_at=None, dropped_at=None).order_by("id")

    def fitted(self) -> Any:
        return PartFitted.objects.filter(struck_at=None).order_by("id")

    def lines_to_come(self) -> list[OrderLine]:
        lines = OrderLine.objects.filter(order__closed_at=None, given_up_at=None)
        return [
            line
            for line in lines.select_related("order", "part").order_by("id")
            if line.received_thousandths < line.quantity_thousandths
        ]


# --- faults, planted by hand ----------------------------------------------------------------------------------


def not_booked(room: Any, kind: str) -> Any:
    """An entry of that kind is written, and takes or brings nothing."""
    real = room.book

    def book(act: Act, *, kind: str, quantity_thousandths: int, **more: Any) -> LedgerEntry:
        if kind == forgotten:
            quantity_thousandths, more["second_hand_thousandths"] = 0, 0
        entry: LedgerEntry = real(act, kind=kind, quantity_thousandths=quantity_thousandths, **more)
        return entry

    forgotten = kind
    return mock.patch.object(room, "book", book)


def nothing(room: Any, name: str, answer: Any = None) -> Any:
    """What that function does isn't done."""
    return mock.patch.object(room, name, return_value=answer)


def freight_is_not_marked_as_landed() -> Any:
    def land(order: Order, line: OrderLine, quantity_thousandths: int) -> int:
        return landed.unit_cost(order, line, quantity_thousandths)

    return mock.patch.object(arriving, "_land", land)


def the_order_closes_with_its_first_delivery() -> Any:
    return mock.patch.object(arriving, "close_when_complete", ordering._close)


def a_line_is_over_with_its_first_delivery() -> Any:
    real = arriving._bring

    def bring(act: Act, order: Order, line: OrderLine, *more: Any) -> Any:
        OrderLine.objects.filter(pk=line.pk).update(given_up_at=act.at)
        return real(act, order, line, *more)

    return mock.patch.object(arriving, "_bring", bring)


def a_fitted_part_costs_what_the_next_one_will() -> Any:
    real = fitting._take_out

    def take_out(act: Act, *, part: Part, **more: Any) -> LedgerEntry:
        entry = real(act, part=part, **more)
        entry.unit_cost_ten_thousandths += 1
        return entry

    return mock.patch.object(fitting, "_take_out", take_out)


def what_is_struck_out_is_priced() -> Any:
    def part_items(job: Job, *, charged: Any = frozenset()) -> list[Any]:
        fitted = PartFitted.objects.filter(job=job).order_by("id")
        return [pricing._part_item(one, job) for one in fitted if f"part:{one.pk}" not in charged]

    return mock.patch.object(pricing, "part_items", part_items)


FAULTS: dict[str, Callable[[], Any]] = {
    "a return takes nothing from the drawer": lambda: not_booked(sending_back, Kind.SENT_BACK),
    "striking a fitting brings nothing back": lambda: not_booked(fitting, Kind.RETURNED),
    "fitting takes nothing from the drawer": lambda: not_booked(fitting, Kind.FITTED),
    "freight is counted with each delivery": freight_is_not_marked_as_landed,
    "freight is in no part": lambda: nothing(landed, "carriage_of", 0),
    "a wish stays open after fitting": lambda: nothing(fitting, "tick_wants"),
    "an invoice keeps a part that was struck out": lambda: nothing(invoicing, "refuse_misplaced"),
    "what is struck out is priced again": what_is_struck_out_is_priced,
    "a partial delivery closes the order": the_order_closes_with_its_first_delivery,
    "a partial delivery closes the line": a_line_is_over_with_its_first_delivery,
    "what comes is kept for nobody": lambda: nothing(ledger, "serve_waiting", ((), ())),
    "what is kept for a job stays so when it is sent back": lambda: nothing(sending_back, "keep_no_more", ()),
    "what is given up is not put on the list again": lambda: nothing(waiting, "back_on_the_list"),
    "a fitted part has another cost than the ledger says": a_fitted_part_costs_what_the_next_one_will,
}
"""Each planted by hand; a walk that doesn't fail under one is blind to it."""


def walk(machine: type[Threads] = Threads) -> None:
    """Some walks. A failing one is shown as it was found: making it shorter takes minutes on a slow machine."""
    run_state_machine_as_test(
        machine,
        settings=settings(
            max_examples=3,
            stateful_step_count=7,
            phases=[Phase.generate],
            database=None,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )


class TestThreads(TestCase):
    @classmethod
    def setUpTestData(cls) -> None:
        ShopProfileFactory()
        rates()
        by = StaffFactory()
        jobs = [on_the_bench(by), on_the_bench(by)]
        for job in jobs:
            agreed(job, 100_000_00, by=by)
        idler = a_part(by, description="Idler", price_ten_thousandths=50_000)
        Threads.ground = Ground(by, a_supplier(by), tuple(job.pk for job in jobs), idler.pk)

    def setUp(self) -> None:
        self.enterContext(mock.patch.object(Machine, "print", return_value=b"%PDF-1.7 %%EOF"))

    def test_each_unit_of_each_part_is_in_exactly_one_place_with_one_cost(self) -> None:
        walk()

    @pytest.mark.soak
    def test_each_planted_fault_is_found_by_every_seed(self) -> None:
        for fault, planted in FAULTS.items():
            for number in range(1, 6):
                seeded = seed(number)(type("Seeded", (Threads,), {}))
                with self.subTest(fault, seed=number), planted(), pytest.raises(AssertionError):
                    walk(seeded)
