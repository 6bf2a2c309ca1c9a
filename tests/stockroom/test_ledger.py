"""The ledger: stock is its sum, never below nothing, whoever writes in it and in whatever order."""

from __future__ import annotations

import random
import threading
import uuid
from collections.abc import Callable
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pytest
from django.db import IntegrityError, connection
from django.db.models import Sum
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    consumes,
    invariant,
    rule,
    run_state_machine_as_test,
)

from shop.counter.models import Job
from shop.frame.journal import verify
from shop.frame.once import AlreadyTaken
from shop.frame.refusal import Refusal
from shop.stockroom import actions
from shop.stockroom.models import LedgerEntry, Part, PartFitted, PartState, StockLevel
from tests.factories.counter import UnitFactory
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.factories.stockroom import a_part, left, on_the_bench

QUANTITIES = st.integers(1, 20_000)
COSTS = st.integers(0, 2_000_000)
STATES = st.sampled_from(PartState.values)


class Drawer(RuleBasedStateMachine):
    """One drawer as people use it, beside a model that only counts: what came, what went, how many of them were not new."""

    fitted = Bundle("fitted")

    def __init__(self) -> None:
        super().__init__()
        ShopProfileFactory()
        self.by = StaffFactory()
        self.part: Part = a_part(self.by)
        self.job: Job = on_the_bench(self.by)
        self.there, self.second_hand = 0, 0
        self.paid: list[int] = []

    @rule(quantity=QUANTITIES, cost=COSTS, state=STATES)
    def receive(self, quantity: int, cost: int, state: str) -> None:
        actions.receive(
            part=self.part,
            quantity_thousandths=quantity,
            unit_cost_ten_thousandths=cost,
            state=state,
            by=self.by,
        )
        self.there += quantity
        self.second_hand += quantity if state != PartState.NEW else 0
        self.paid.append(cost)

    @rule(quantity=QUANTITIES)
    def salvage(self, quantity: int) -> None:
        actions.salvage(part=self.part, quantity_thousandths=quantity, by=self.by)
        self.there += quantity
        self.second_hand += quantity
        self.paid.append(0)

    @rule(target=fitted, quantity=QUANTITIES, state=STATES)
    def fit(self, quantity: int, state: str) -> Any:
        new = self.there - self.second_hand
        may = quantity <= (new if state == PartState.NEW else self.there)
        if not may:
            with pytest.raises(Refusal):
                actions.fit_part(
                    job=self.job, part=self.part, quantity_thousandths=quantity, state=state, by=self.by
                )
            return None
        fitted = actions.fit_part(
            job=self.job, part=self.part, quantity_thousandths=quantity, state=state, by=self.by
        )
        not_new = 0 if state == PartState.NEW else min(self.second_hand, quantity)
        self.there -= quantity
        self.second_hand -= not_new
        return fitted.pk, quantity, not_new

    @rule(one=consumes(fitted))
    def strike(self, one: tuple[int, int, int] | None) -> None:
        if one is None:
            return
        pk, quantity, not_new = one
        actions.strike_part(fitted=PartFitted.objects.get(pk=pk), reason="wrong part", by=self.by)
        self.there += quantity
        self.second_hand += not_new

    @rule(quantity=QUANTITIES)
    def scrap(self, quantity: int) -> None:
        if quantity > self.there:
            with pytest.raises(Refusal):
                actions.scrap(part=self.part, quantity_thousandths=quantity, reason="bent", by=self.by)
            return
        actions.scrap(part=self.part, quantity_thousandths=quantity, reason="bent", by=self.by)
        self.there -= quantity
        self.second_hand = min(self.second_hand, self.there)

    @rule(counted=st.integers(0, 40_000))
    def count(self, counted: int) -> None:
        actions.count(part=self.part, counted_thousandths=counted, by=self.by)
        self.there = counted
        self.second_hand = min(self.second_hand, counted)

    @invariant()
    def the_level_is_the_sum_of_the_ledger(self) -> None:
        level = StockLevel.objects.get(part=self.part)
        sums = LedgerEntry.objects.filter(part=self.part).aggregate(
            all=Sum("quantity_thousandths"), second_hand=Sum("second_hand_thousandths")
        )
        assert level.quantity_thousandths == (sums["all"] or 0) == self.there >= 0
        assert level.second_hand_thousandths == (sums["second_hand"] or 0) == self.second_hand >= 0

    @invariant()
    def the_average_cost_lies_within_what_was_paid(self) -> None:
        cost = StockLevel.objects.get(part=self.part).average_cost_ten_thousandths
        assert min([0, *self.paid]) <= cost <= max([0, *self.paid])


class TheDrawerHolds(TestCase):
    def test_whatever_happens_the_drawer_is_never_below_nothing_and_is_the_sum_of_its_ledger(self) -> None:
        run_state_machine_as_test(
            Drawer,
            settings=settings(
                max_examples=12,
                stateful_step_count=14,
                deadline=None,
                suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
            ),
        )


EVENTS: list[tuple[str, int]] = [
    ("receive", 12_000), ("receive", 500), ("salvage", 3_000), ("fit", 2_000), ("fit", 250), ("scrap", 1_500), ("fit", 4_000),
]  # fmt: skip


@pytest.mark.parametrize("shuffle", range(6))
def test_in_whatever_order_things_happen_the_same_is_left(by, shuffle) -> None:
    part, job = a_part(by, there=20), on_the_bench(by)
    steps: dict[str, Callable[[int], object]] = {
        "receive": lambda n: actions.receive(part=part, quantity_thousandths=n, by=by),
        "salvage": lambda n: actions.salvage(part=part, quantity_thousandths=n, by=by),
        "fit": lambda n: actions.fit_part(job=job, part=part, quantity_thousandths=n, by=by),
        "scrap": lambda n: actions.scrap(part=part, quantity_thousandths=n, reason="bent", by=by),
    }
    events = EVENTS.copy()
    random.Random(shuffle).shuffle(events)  # noqa: S311
    for what, quantity in events:
        steps[what](quantity)
    assert left(part) == 20_000 + 12_000 + 500 + 3_000 - 2_000 - 250 - 1_500 - 4_000


def test_the_cost_is_the_weighted_average_of_what_was_paid(by) -> None:
    # IAS 2 names the weighted average cost; worked by hand: (10 x 0.30 + 30 x 0.50) / 40 = 0.45
    part = a_part(by, there=10, cost=3_000)
    actions.receive(part=part, quantity_thousandths=30_000, unit_cost_ten_thousandths=5_000, by=by)
    assert StockLevel.objects.get(part=part).average_cost_ten_thousandths == 4_500
    fitted = actions.fit_part(job=on_the_bench(by), part=part, quantity_thousandths=7_000, by=by)
    assert fitted.unit_cost_ten_thousandths == 4_500
    actions.receive(part=part, quantity_thousandths=1_000, unit_cost_ten_thousandths=10_000, by=by)
    exact = (Decimal(33) * 4_500 + 10_000) / 34
    assert StockLevel.objects.get(part=part).average_cost_ten_thousandths == int(
        exact.to_integral_value(ROUND_HALF_UP)
    )


def test_what_comes_back_from_a_job_comes_back_at_what_it_cost(by) -> None:
    part = a_part(by, there=2, cost=4_000)
    fitted = actions.fit_part(job=on_the_bench(by), part=part, quantity_thousandths=2_000, by=by)
    actions.receive(part=part, quantity_thousandths=2_000, unit_cost_ten_thousandths=8_000, by=by)
    actions.strike_part(fitted=fitted, reason="wrong pins", by=by)
    assert (left(part), StockLevel.objects.get(part=part).average_cost_ten_thousandths) == (4_000, 6_000)


def test_a_salvaged_part_is_never_fitted_as_a_new_one(by) -> None:
    # 16 CCR 2725(l): used, rebuilt or exchanged parts are said to be so on the invoice
    donor = UnitFactory(is_donor=True)
    part, job = a_part(by, there=1), on_the_bench(by)
    actions.salvage(part=part, quantity_thousandths=2_000, donor=donor, by=by)
    with pytest.raises(Refusal, match="1 in the drawer are new and 2 are not") as refused:
        actions.fit_part(job=job, part=part, quantity_thousandths=2_000, by=by)
    assert refused.value.field == "state"
    fitted = actions.fit_part(job=job, part=part, quantity_thousandths=2_000, state="salvaged", by=by)
    assert (fitted.state, StockLevel.objects.get(part=part).second_hand_thousandths) == ("salvaged", 0)


def test_nothing_is_salvaged_from_a_customers_unit(by) -> None:
    with pytest.raises(Refusal, match="customer’s"):
        actions.salvage(part=a_part(by), quantity_thousandths=1_000, donor=UnitFactory(), by=by)


def test_a_count_that_agrees_is_written_down_as_well(by) -> None:
    part = a_part(by, there=4)
    arrival = actions.count(part=part, counted_thousandths=4_000, by=by)
    assert (arrival.entry.kind, arrival.entry.quantity_thousandths, left(part)) == ("counted", 0, 4_000)


def test_the_same_form_sent_twice_is_booked_once(by) -> None:
    part, key = a_part(by), uuid.uuid4()
    actions.receive(part=part, quantity_thousandths=3_000, by=by, once_key=key)
    with pytest.raises(AlreadyTaken):
        actions.receive(part=part, quantity_thousandths=3_000, by=by, once_key=key)
    assert left(part) == 3_000


@pytest.mark.postgres
def test_an_entry_is_never_changed_or_taken_away(by) -> None:
    a_part(by, there=1)
    with pytest.raises(IntegrityError):
        LedgerEntry.objects.update(quantity_thousandths=9)


@pytest.mark.postgres
def test_an_entry_is_never_deleted(by) -> None:
    a_part(by, there=1)
    with pytest.raises(IntegrityError):
        LedgerEntry.objects.all().delete()


@pytest.mark.postgres
def test_the_database_itself_refuses_a_drawer_below_nothing(by) -> None:
    part = a_part(by, there=1)
    with pytest.raises(IntegrityError):
        StockLevel.objects.filter(part=part).update(quantity_thousandths=-1)


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_of_twelve_who_fit_the_last_one_at_the_same_moment_exactly_one_gets_it() -> None:
    ShopProfileFactory()
    by = StaffFactory()
    part = a_part(by, there=1)
    jobs = [on_the_bench(by) for _ in range(12)]
    got, refused, failed = together(
        jobs, lambda job: actions.fit_part(job=job, part=part, quantity_thousandths=1_000, by=by)
    )
    assert failed == []
    assert (len(got), len(refused)) == (1, 11)
    assert all("There is not that much" in sentence for sentence in refused)
    assert left(part) == 0
    assert PartFitted.objects.count() == LedgerEntry.objects.filter(kind="fitted").count() == 1
    assert verify() == []


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_of_twelve_who_take_and_bring_at_the_same_moment_not_a_piece_is_lost() -> None:
    ShopProfileFactory()
    by = StaffFactory()
    part = a_part(by, there=6)
    jobs = [on_the_bench(by) for _ in range(12)]

    def work(job: Job) -> None:
        if job.pk % 2:
            actions.receive(part=part, quantity_thousandths=500, unit_cost_ten_thousandths=700, by=by)
        else:
            actions.fit_part(job=job, part=part, quantity_thousandths=1_000, by=by)

    got, refused, failed = together(jobs, work)
    assert (len(got), refused, failed) == (12, [], [])
    assert left(part) == 6_000 + 6 * 500 - 6 * 1_000
    assert LedgerEntry.objects.filter(part=part).aggregate(sum=Sum("quantity_thousandths"))["sum"] == left(
        part
    )


def together(
    jobs: list[Job], work: Callable[[Job], object]
) -> tuple[list[object], list[str], list[BaseException]]:
    """Do the work for every job in a thread of its own, all let go at the same moment."""
    got: list[object] = []
    refused: list[str] = []
    failed: list[BaseException] = []
    gate = threading.Barrier(len(jobs))

    def one(job: Job) -> None:
        try:
            gate.wait()
            got.append(work(job))
        except Refusal as refusal:
            refused.append(refusal.sentence)
        except BaseException as error:  # noqa: BLE001
            failed.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=one, args=(job,)) for job in jobs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return got, refused, failed
