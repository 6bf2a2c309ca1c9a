"""Whose move a job is follows from what comes next for it: list, page and facts say the same."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
import time_machine
from django.urls import reverse

from shop.bench import actions as bench
from shop.bench.models import SafetyCheck, Stint
from shop.counter import actions as counter
from shop.counter.actions import Intake, UnitDescribed
from shop.counter.models import Job
from shop.counter.stages import Outcome
from shop.dispatch import actions as dispatch
from shop.frame import clock
from shop.frame.models import Staff
from shop.keeping.night import Night
from shop.office import actions as office
from shop.office.models import Authorisation
from shop.records.next_step import look_at_moves_again, next_step
from shop.stockroom import actions as stockroom
from shop.window import actions as window
from tests.factories.counter import CustomerFactory, UnitFactory
from tests.factories.dispatch import ready
from tests.factories.office import agreed, item, shop_at_work
from tests.factories.premises import StaffFactory
from tests.factories.stockroom import a_supplier, on_the_bench
from tests.pages import words_on

pytestmark = pytest.mark.django_db
Answer = Authorisation.Answer


@pytest.fixture
def by() -> Staff:
    return shop_at_work()


def stands(job: Job) -> tuple[str, str]:
    """Whose move the job is by now, and what is said to come next."""
    job.refresh_from_db()
    step = next_step(job)
    assert step is not None
    assert job.whose_move == step.mover, "list and page say two things"
    return job.whose_move, step.title


def concluded(job: Job, by: Staff, outcome: str = Outcome.REPAIRED) -> None:
    bench.conclude(job=job, failed="belt", mode="worn", remedy="new belt", outcome=outcome, by=by)
    bench.call_ready(job=job, by=by)


def test_a_ready_unit_is_the_customers_move_only_when_the_shop_owes_nothing(by: Staff, client: Any) -> None:
    client.force_login(by)
    job = on_the_bench(by)
    agreed(job, 50_000, by=by)
    stockroom.fit_part(job=job, description="Belt", unit_price_ten_thousandths=120_000, by=by)
    concluded(job, by)
    assert stands(job) == ("bench", "The safety check is owed, before it goes home.")
    page = words_on(client.get("/"))
    assert f'href="{reverse("bench:safety", args=[job.number])}"' in page
    assert "the shop’s move" in page
    bench.waive_safety(job=job, reason="Runs on its own batteries by now.", by=by)
    assert stands(job) == ("bench", "Draft the invoice, before it goes home.")
    draft = office.draft_invoice(customer=job.customer, jobs=[job], by=by)
    assert stands(job) == ("bench", "Look the draft over, and issue the invoice.")
    row = office.issue_invoice(invoice=draft, by=by)
    assert stands(job) == ("customer", "Its invoice is not paid.")
    window.say_word(job=job, text="May I pay by card?")
    assert stands(job) == ("bench", "The customer wrote: read and answer it.")
    for door in ("records:job_card", "office:job"):
        page = words_on(client.get(reverse(door, args=[job.number])))
        assert f'href="{reverse("records:job_card", args=[job.number])}#words"' in page, door
    assert "Read the message" in words_on(client.get("/"))
    window.answer_word(job=job, text="Yes.", by=by)
    office.take_payment(customer=job.customer, amount_minor=row.total_minor, how="card", invoice=row, by=by)
    assert stands(job) == ("customer", "It waits to be collected.")


def test_a_check_by_the_tests_of_another_class_is_still_owed(by: Staff) -> None:
    job = on_the_bench(by, unit=UnitFactory(mains=True, protection_class="I"))
    concluded(job, by)
    SafetyCheck.objects.create(job=job, outcome="passed", protection_class="II", by=by)
    assert stands(job)[1] == "The safety check is owed, before it goes home."
    counter.change_unit(unit=job.unit, protection_class="II", by=by)
    assert stands(job)[1] == "Draft the invoice, before it goes home."


def test_a_unit_that_came_by_parcel_is_sent_and_one_without_an_address_asked_for(by: Staff) -> None:
    job, *_ = counter.announce(
        customer=CustomerFactory(address=""),
        intakes=[Intake(unit=UnitDescribed(maker="Vessling", model="FM-2"), complaint="Hums.")],
        by=by,
    )
    assert stands(job) == ("carrier", "It is on its way.")
    assert job.inbound is not None
    dispatch.note_arrived(inbound=job.inbound, by=by)
    assert stands(job) == ("bench", "Its parcel is here.")
    counter.receive_expected(job=job, by=by, packing_state="intact")
    bench.take_to_bench(job=job, by=by)
    concluded(job, by, Outcome.NO_FAULT)
    bench.waive_safety(job=job, reason="Never opened, never powered.", by=by)
    assert stands(job) == ("bench", "Ask for the address that it goes back to.")
    counter.change_customer(customer=job.customer, address="1 Nowhere Lane\nPiedmont", by=by)
    assert stands(job) == ("bench", "Pack it, and send it home.")


def test_a_part_is_the_suppliers_move_only_once_it_is_ordered(by: Staff) -> None:
    job = on_the_bench(by)
    agreed(job, 50_000, by=by)
    want = stockroom.want_part(job=job, description="Idler", by=by)
    stockroom.await_parts(job=job, by=by)
    assert stands(job) == ("bench", "Idler is not ordered yet.")
    line = stockroom.LineAsked(description="Idler", quantity_thousandths=1_000, wanted=[want])
    order = stockroom.open_order(supplier=a_supplier(by), lines=[line], by=by)
    assert stands(job) == ("bench", "Idler stands on an order that is not sent.")
    stockroom.send_order(order=order, by=by)
    assert stands(job) == ("supplier", "Idler is on its way.")
    office.record_answer(job=job, answer=Answer.NO, how="window", given_by=job.customer.name, by=None)
    assert stands(job) == ("bench", "The customer said no: write down how it ended.")


def test_an_estimate_that_ran_out_is_no_longer_the_customers_move(by: Staff) -> None:
    job = on_the_bench(by)
    estimate = office.draft_estimate(job=job, items=[item(unpriced=False)], by=by)
    office.put_estimate(estimate=estimate, by=by)
    assert stands(job) == ("customer", "The estimate is with the customer.")
    with time_machine.travel(clock.now() + dt.timedelta(days=400), tick=False):
        look_at_moves_again(Night(clock.now()))
        assert stands(job) == ("bench", "The estimate has run out: put a new version to the customer.")


def test_the_clock_of_a_unit_that_leaves_stops_with_it_and_a_forgotten_one_when_its_work_ended(
    by: Staff,
) -> None:
    start = clock.now() - dt.timedelta(hours=9)
    other = StaffFactory()
    job = ready(by)
    bench.start_stint(job=job, by=by, at=start)
    bench.add_finding(job=job, text="Belt was loose.", by=by, at=start + dt.timedelta(minutes=20))
    bench.start_stint(job=job, by=other)
    bench.call_ready(job=job, by=by)
    assert Stint.objects.filter(stopped_at=None).count() == 2, "the safety check is work, too"
    dispatch.keep_here(job=job, outcome="unclaimed", by=by)
    mine, theirs = Stint.objects.order_by("started_at")
    assert mine.stopped_at == start + dt.timedelta(minutes=30)
    assert theirs.stopped_at is not None
    assert theirs.stopped_at - theirs.started_at < dt.timedelta(minutes=5)
