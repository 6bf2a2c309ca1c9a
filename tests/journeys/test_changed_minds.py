"""Stories with an order of events that nobody planned: a mind is changed, a part comes too late, something was left in the box.

No source: what a shop would expect to be told. They are played through the pages, where a page has the say.
"""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from shop.bench import actions as bench
from shop.counter.models import Job
from shop.counter.stages import Outcome, Stage
from shop.dispatch import actions as dispatch
from shop.frame import news
from shop.frame.models import Staff
from shop.office import actions as office
from shop.office.models import Authorisation, Invoice
from shop.office.queries import holds_back
from shop.records.next_step import next_step
from shop.stockroom import actions as stockroom
from shop.stockroom.models import Order, Part, PartWanted
from shop.stockroom.queries import order_list
from shop.window import actions as window
from tests.factories.counter import CustomerFactory
from tests.factories.dispatch import ready
from tests.factories.office import agreed, shop_at_work
from tests.factories.stockroom import a_part, a_supplier, left, on_the_bench
from tests.pages import once, words_on

pytestmark = pytest.mark.django_db
Answer = Authorisation.Answer
BELT = "Belt 71 mm flat"


@pytest.fixture
def by() -> Staff:
    return shop_at_work()


@pytest.fixture
def shop(client: Any, by: Staff) -> Any:
    client.force_login(by)
    return client


def fresh(job: Job) -> Job:
    return Job.objects.get(pk=job.pk)


def next_of(job: Job) -> tuple[str, str]:
    step, now = next_step(fresh(job)), fresh(job)
    assert step is not None
    assert now.whose_move == step.mover
    return step.title, now.whose_move


def told(staff: Staff) -> str:
    """All that is news to somebody."""
    return " | ".join(
        f"{piece.title}: {piece.words}" for piece in news.unseen(Staff.objects.get(pk=staff.pk))
    )


def ordered(by: Staff, *wants: PartWanted, send: bool = True, **facts: Any) -> Order:
    line = stockroom.LineAsked(
        part=wants[0].part,
        description=wants[0].description,
        quantity_thousandths=sum(want.quantity_thousandths for want in wants),
        unit_cost_ten_thousandths=42_000,
        wanted=wants,
    )
    order = stockroom.open_order(supplier=a_supplier(by, **facts), lines=[line], by=by)
    return stockroom.send_order(order=order, by=by) if send else order


def deliver(shop: Any, order: Order, many: int) -> str:
    line = order.lines.get()
    answer = shop.post(
        reverse("stockroom:receive_delivery", args=[order.pk]),
        once(**{f"l{line.pk}-came": str(many)}),
        follow=True,
    )
    return words_on(answer)


def goes_unrepaired(job: Job, by: Staff) -> None:
    bench.conclude(job=fresh(job), failed="belt", mode="worn", remedy="none", outcome=Outcome.DECLINED, by=by)
    bench.call_ready(job=fresh(job), by=by)


def test_a_yes_is_taken_back_when_parts_are_ordered_half_ordered_and_not_ordered_yet(shop, by) -> None:
    job = on_the_bench(by)
    agreed(job, 30_000, by=by)
    sent = ordered(by, stockroom.want_part(job=job, description=BELT, by=by))
    unsent = ordered(
        by,
        stockroom.want_part(job=job, description="Idler", by=by),
        send=False,
        name="Tern Parts",
        email="parts@tern.example",
    )
    stockroom.want_part(job=job, description="Knob", by=by)
    stockroom.await_parts(job=fresh(job), by=by)
    assert next_of(job) == ("Knob is not ordered yet.", "bench")
    window.say_word(job=job, text="Please leave it, I have found another one.")
    office.record_answer(
        job=fresh(job), answer=Answer.WITHDRAWN, how="window", given_by=job.customer.name, by=None
    )
    assert next_of(job) == ("The customer said no: write down how it ended.", "bench")
    page = words_on(shop.get(reverse("stockroom:order_list")))
    assert "but the customer said no since" in page
    assert '-on" form="order-0" checked' not in page, "it is checked to be ordered"
    for order in (sent, unsent):
        assert "whose customer said no since" in words_on(
            shop.get(reverse("stockroom:order", args=[order.pk]))
        )
    goes_unrepaired(job, by)
    assert order_list() == []
    assert f"no longer for {job.number}" in words_on(shop.get(reverse("stockroom:order", args=[unsent.pk])))
    said = deliver(shop, sent, 1)
    assert f"no longer for {job.number}" in said
    assert f"A part came for {job.number}" not in told(by)
    assert fresh(job).part_owed_since is None
    assert left(Part.objects.get(description=BELT)) == 1_000


def test_a_part_comes_after_its_unit_has_left_and_goes_to_who_asked_for_it_later(shop, by) -> None:
    gone = on_the_bench(by)
    belt = a_part(by, description=BELT)
    order = ordered(by, stockroom.want_part(job=gone, part=belt, quantity_thousandths=2_000, by=by))
    goes_unrepaired(gone, by)
    dispatch.keep_here(job=fresh(gone), outcome=Outcome.DECLINED, by=by)
    later = on_the_bench(by)
    want = stockroom.want_part(job=later, part=belt, by=by)
    assert order_list() == [], "two are on their way for nobody, and a third would be ordered"
    deliver(shop, order, 1)
    want.refresh_from_db()
    assert (want.kept_thousandths, fresh(later).part_owed_since) == (1_000, None)
    deliver(shop, order, 1)
    assert left(belt) == 2_000
    assert not PartWanted.objects.filter(job=gone, kept_thousandths__gt=0).exists()


def test_two_jobs_wish_for_the_same_part_one_goes_home_and_half_is_delivered(shop, by) -> None:
    first, second = on_the_bench(by), on_the_bench(by)
    belt = a_part(by, description=BELT)
    wants = [stockroom.want_part(job=job, part=belt, by=by) for job in (first, second)]
    order = ordered(by, *wants)
    for job in (first, second):
        stockroom.await_parts(job=fresh(job), by=by)
    assert next_of(second) == (f"{wants[1]} is on its way.", "supplier")
    deliver(shop, order, 1)
    assert (fresh(first).stage, fresh(second).stage) == (Stage.ON_THE_BENCH, Stage.AWAITING_PARTS)
    goes_unrepaired(first, by)
    assert next_of(second) == (f"{wants[1]} is on its way.", "supplier")
    dispatch.keep_here(job=fresh(first), outcome=Outcome.DECLINED, by=by)
    assert fresh(second).stage == Stage.ON_THE_BENCH
    assert next_of(second) == ("A part that it waited for is here: fit it.", "bench")
    stockroom.fit_part(job=fresh(second), part=belt, by=by)
    deliver(shop, order, 1)
    assert left(belt) == 1_000
    assert "A part came" not in told(by)


def test_a_wish_that_was_dropped_half_fitted_fills_no_other(by) -> None:
    job = on_the_bench(by)
    belt = a_part(by, description=BELT)
    first, second = (
        stockroom.want_part(job=job, part=belt, quantity_thousandths=2_000, by=by) for _ in range(2)
    )
    stockroom.receive(part=belt, quantity_thousandths=1_000, by=by)
    stockroom.fit_part(job=job, part=belt, by=by)
    stockroom.drop_want(wanted=first, by=by)
    stockroom.receive(part=belt, quantity_thousandths=1_000, by=by)
    stockroom.fit_part(job=fresh(job), part=belt, by=by)
    second.refresh_from_db()
    assert (second.fitted_thousandths, second.missing_thousandths) == (1_000, 1_000)
    assert fresh(job).part_owed_since is not None


def test_an_accessory_is_found_after_the_unit_left(shop, by) -> None:
    job = ready(by, accessories=("remote",))
    dispatch.check_accessory(accessory=job.accessories.get(), included=True, by=by)
    agreed(job, 50_000, by=by)
    office.issue_invoice(invoice=office.draft_invoice(customer=job.customer, jobs=[job], by=by), by=by)
    answer = shop.post(
        reverse("dispatch:collect", args=[job.number]),
        once(jobs=job.number, shown="known", collected_by="Marguerite Osei", received="on"),
    )
    assert fresh(job).stage == Stage.GONE_HOME, words_on(answer)
    answer = shop.post(
        reverse("counter:take_accessory", args=[job.number]),
        once(name="Antenna", stands_at="A 3"),
        follow=True,
    )
    assert answer.status_code == 200
    assert f"Still here of {job.number}: Antenna" in told(by)
    page = words_on(shop.get(reverse("dispatch:job", args=[job.number])))
    assert "Antenna" in page
    found = job.accessories.get(name="Antenna")
    answer = shop.post(
        reverse("dispatch:check_accessory", args=[job.number, found.pk]),
        once(**{f"a{found.pk}-included": "yes"}),
        follow=True,
    )
    assert "Still here of" not in told(by), words_on(answer)


def test_two_units_on_one_invoice_go_their_own_ways(shop, by) -> None:
    owner = CustomerFactory(regular=True)
    one, two = (ready(by, owner=owner) for _ in range(2))
    for job in (one, two):
        agreed(job, 50_000, by=by)
        stockroom.fit_part(job=job, description=BELT, unit_price_ten_thousandths=1_000_000, by=by)
    draft = office.draft_invoice(customer=owner, jobs=[one, two], by=by)
    row = office.issue_invoice(invoice=draft, by=by)
    assert {next_of(job) for job in (one, two)} == {("Its invoice is not paid.", "customer")}
    office.take_payment(customer=owner, amount_minor=row.total_minor // 2, how="cash", invoice=row, by=by)
    assert next_of(one)[0] == "Its invoice is not paid."
    bench.take_to_bench(job=fresh(two), by=by)
    stockroom.fit_part(job=fresh(two), description="Lamp", unit_price_ten_thousandths=20_000, by=by)
    bench.call_ready(job=fresh(two), by=by)
    assert next_of(two) == ("More was done since the invoice: draft another.", "bench")
    assert next_of(one) == ("Its invoice is not paid.", "customer")
    rest = row.total_minor - row.total_minor // 2
    office.take_payment(customer=owner, amount_minor=rest, how="cash", invoice=row, by=by)
    assert next_of(one) == ("It waits to be collected.", "customer")
    assert holds_back(fresh(one)) is None
    assert "Lamp" in (holds_back(fresh(two)) or "")
    again = office.draft_invoice(customer=owner, jobs=[fresh(two)], by=by)
    assert next_of(two) == ("Look the draft over, and issue the invoice.", "bench")
    office.issue_invoice(invoice=again, by=by)
    assert next_of(two) == ("Its invoice is not paid.", "customer")
    assert Invoice.objects.filter(kind=Invoice.Kind.INVOICE).count() == 2
