"""What stands on the pages along the thread of a part: the wish, the order, the delivery, the bench, the way back."""

from __future__ import annotations

import datetime as dt
import uuid
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shop.bench import actions as bench_acts
from shop.counter.models import Job
from shop.dispatch import actions as dispatch
from shop.frame.refusal import Refusal
from shop.keeping.models import Message
from shop.office.pricing import items_of
from shop.stockroom import actions
from shop.stockroom.models import LedgerEntry, Order, Part, PartFitted, PartSentBack, PartWanted, Supplier
from shop.stockroom.queries import order_list
from tests.factories.counter import UnitFactory
from tests.factories.office import rates
from tests.factories.stockroom import a_part, a_supplier, an_order, left, on_the_bench
from tests.pages import once, words_on

BELT = "Belt 71 mm flat"


def ordered(by: Any, wants: list[PartWanted], *, cost: int = 42_000, more: int = 0) -> Order:
    """The words of these wants, sent in one order."""
    lines = [
        actions.LineAsked(
            description=want.description,
            quantity_thousandths=want.quantity_thousandths + more,
            unit_cost_ten_thousandths=cost,
            wanted=[want],
        )
        for want in wants
    ]
    return actions.send_order(order=actions.open_order(supplier=a_supplier(by), lines=lines, by=by), by=by)


def came(order: Order, by: Any, *quantities: int, freight: int | None = None) -> None:
    lines = order.lines.order_by("id")
    actions.receive_delivery(
        order=order,
        came=[
            actions.Came(line=line, quantity_thousandths=many * 1000)
            for line, many in zip(lines, quantities, strict=False)
            if many
        ],
        carriage_minor=freight,
        by=by,
    )


@pytest.fixture
def bench(client: Any, by: Any) -> Any:
    client.force_login(by)
    return client


def test_what_was_words_on_the_order_is_offered_at_the_bench_with_cost_and_price(bench, by) -> None:
    job = on_the_bench(by)
    want = actions.want_part(job=job, description=BELT, quantity_thousandths=2_000, by=by)
    page = reverse("bench:job", args=[job.number])
    assert "nothing ordered yet" in bench.get(page).content.decode()
    order = ordered(by, [want])
    assert order.number in bench.get(page).content.decode()
    # worked by hand: 4.20 each, and 3.80 of freight over two
    came(order, by, 1, freight=380)
    said = " ".join(bench.get(page).content.decode().split())
    assert "Here for this job" in said
    assert "1 of 2 × Belt 71 mm flat" in said
    assert "$6.10 each" in said
    came(order, by, 1)
    part = Part.objects.get(description=BELT)
    bench.post(reverse("bench:part", args=[job.number]), once(part=str(part.pk), quantity="2", state="new"))
    fitted = PartFitted.objects.get()
    assert (fitted.unit_cost_ten_thousandths, fitted.unit_price_ten_thousandths) == (61_000, 61_000)
    assert "Here for this job" not in bench.get(page).content.decode()


@pytest.mark.parametrize("first", [380, None], ids=["freight known at once", "freight known at last"])
def test_all_of_the_freight_lies_in_the_parts_whenever_its_bill_came(by, first) -> None:
    job = on_the_bench(by)
    want = actions.want_part(job=job, description=BELT, quantity_thousandths=2_000, by=by)
    order = ordered(by, [want])
    came(order, by, 1, freight=first)
    came(order, by, 1, freight=380)
    entries = LedgerEntry.objects.filter(kind="received")
    paid = sum(one.quantity_thousandths * one.unit_cost_ten_thousandths for one in entries)
    assert paid == 1000 * (2 * 42_000 + 38_000)


def test_one_order_serves_several_jobs_and_the_half_of_it_those_who_asked_first(by) -> None:
    first, second = on_the_bench(by), on_the_bench(by)
    wants = [actions.want_part(job=job, description=BELT, by=by) for job in (first, second)]
    order = ordered(by, wants)
    came(order, by, 1)
    assert [Job.objects.get(pk=job.pk).part_owed_since is None for job in (first, second)] == [True, False]
    came(order, by, 0, 1)
    assert Job.objects.get(pk=second.pk).part_owed_since is None
    assert Part.objects.filter(description=BELT).count() == 1


def test_a_part_that_is_kept_for_one_job_and_taken_by_another_is_waited_for_again(by) -> None:
    waiting, other = on_the_bench(by), on_the_bench(by)
    want = actions.want_part(job=waiting, description=BELT, by=by)
    came(ordered(by, [want]), by, 1)
    actions.fit_part(job=other, part=Part.objects.get(description=BELT), by=by)
    want.refresh_from_db()
    assert (want.kept_thousandths, want.came_at, want.order_line) == (0, None, None)
    assert Job.objects.get(pk=waiting.pk).part_owed_since is not None
    assert [line.wants for sheet in order_list() for line in sheet.lines] == [[want]]


def test_a_job_that_is_over_has_nothing_ordered_and_keeps_no_part_from_others(by) -> None:
    over, waiting = on_the_bench(by), on_the_bench(by)
    belt = a_part(by, description=BELT)
    first, second = (actions.want_part(job=job, part=belt, by=by) for job in (over, waiting))
    line = actions.LineAsked(part=belt, quantity_thousandths=2_000, wanted=[first, second])
    order = actions.open_order(supplier=a_supplier(by), lines=[line], by=by)
    came(actions.send_order(order=order, by=by), by, 1)
    unordered = actions.want_part(job=over, description="Knob", by=by)
    bench_acts.conclude(job=over, failed="belt", mode="worn", remedy="none", outcome="declined", by=by)
    bench_acts.call_ready(job=over, by=by)
    unordered.refresh_from_db()
    assert unordered.dropped_at is not None, "a knob is ordered for a job that goes home"
    assert not [sheet for sheet in order_list() for line in sheet.lines if line.description == "Knob"]
    assert Job.objects.get(pk=waiting.pk).part_owed_since is not None
    dispatch.keep_here(job=over, outcome="declined", by=by)
    second.refresh_from_db()
    assert (second.kept_thousandths, second.missing_thousandths) == (1000, 0), "it lies there for nobody"
    assert Job.objects.get(pk=waiting.pk).part_owed_since is None


def test_a_dead_part_goes_back_with_a_credit_and_is_on_no_invoice(bench, by) -> None:
    rates()
    job = on_the_bench(by)
    want = actions.want_part(job=job, description=BELT, by=by)
    came(ordered(by, [want]), by, 1)
    part = Part.objects.get(description=BELT)
    fitted = actions.fit_part(job=job, part=part, unit_price_ten_thousandths=90_000, by=by)
    assert any(
        "part:" in source for item in items_of(job, on=job.booked_in_at.date()) for source in item.sources
    )
    address = f"{reverse('stockroom:send_back', args=[part.pk])}?fitted={fitted.pk}"
    assert bench.get(address).status_code == 200
    answer = bench.post(address, once(fault="dead", quantity="1", line=str(want_line(want)), want_again="on"))
    assert answer.status_code == 303, answer.content.decode()
    assert not any(
        "part:" in source for item in items_of(job, on=job.booked_in_at.date()) for source in item.sources
    )
    sent = PartSentBack.objects.get()
    assert (left(part), sent.expected_minor, sent.credited_at) == (0, 420, None)
    want.refresh_from_db()
    assert (want.fitted_at, want.came_at, want.order_line) == (None, None, None)
    bench.post(reverse("stockroom:settle_credit", args=[sent.pk]), once(credited="4.20", reference="CN 88"))
    sent.refresh_from_db()
    assert (sent.credited_minor, sent.credit_reference) == (420, "CN 88")
    with pytest.raises(Refusal, match="already"):
        actions.settle_credit(sent=sent, credited_minor=1, by=by)


def want_line(want: PartWanted) -> int:
    want.refresh_from_db()
    assert want.order_line is not None
    return want.order_line.pk


def test_a_fake_part_of_another_delivery_can_be_sent_back_without_a_job(bench, by) -> None:
    part = a_part(by)
    order = an_order(part, a_supplier(by), by, quantity=4, cost=10_000)
    came(order, by, 4)
    page = reverse("stockroom:send_back", args=[part.pk])
    line = order.lines.get()
    bench.post(page, once(fault="fake", quantity="3", line=str(line.pk), expected="2.50"))
    assert left(part) == 1_000
    assert PartSentBack.objects.get().expected_minor == 250
    assert "1 × " not in bench.get(reverse("stockroom:returns")).content.decode()
    answer = bench.post(page, once(fault="fake", quantity="3", line=str(line.pk)))
    assert answer.status_code == 422
    assert "There is not that much" in answer.content.decode()


def test_a_new_supplier_is_named_where_the_order_is_opened(bench, by) -> None:
    actions.want_part(job=on_the_bench(by), description=BELT, by=by)
    want = PartWanted.objects.get()
    typed = {
        "0-once": str(uuid.uuid4()),
        "0-new_supplier": "Brindle Components",
        "0-new_email": "orders@brindle.example",
        f"0-w{want.pk}-on": "on",
        f"0-w{want.pk}-quantity": "1",
        f"0-w{want.pk}-cost": "4.20",
    }
    address = reverse("stockroom:open_order", args=["0"])
    nobody = {name: value for name, value in typed.items() if "new" not in name}
    assert "From whom?" in bench.post(address, nobody).content.decode()
    answer = bench.post(address, typed)
    assert answer.url == reverse("stockroom:order", args=[Order.objects.get().pk])
    assert Supplier.objects.get().email == "orders@brindle.example"
    asked = bench.post(f"{reverse('stockroom:add_supplier')}?for=order", once(name="Second", lead_days="5"))
    assert asked.url == reverse("stockroom:order_list")


@pytest.mark.parametrize("letter", [True, False])
def test_sent_says_whether_a_letter_went_or_somebody_marked_it(bench, by, letter) -> None:
    want = actions.want_part(job=on_the_bench(by), description=BELT, by=by)
    line = actions.LineAsked(description=BELT, quantity_thousandths=1_000, wanted=[want])
    order = actions.open_order(supplier=a_supplier(by), lines=[line], by=by)
    typed = once(
        reference="SO-4471", link="https://brindle.example/o/4471", **({"letter": "on"} if letter else {})
    )
    said = bench.post(reverse("stockroom:send_order", args=[order.pk]), typed, follow=True).content.decode()
    said = " ".join(said.split())
    assert ("waits in the outbox" in said) == letter == Message.objects.exists()
    assert ("marked as sent" in said) != letter
    assert "SO-4471" in said
    assert 'href="https://brindle.example/o/4471"' in said
    wrong = bench.post(reverse("stockroom:note_reference", args=[order.pk]), once(link="javascript:alert(1)"))
    assert wrong.status_code == 422
    bench.post(reverse("stockroom:note_reference", args=[order.pk]), once(reference="SO-4472"))
    order.refresh_from_db()
    assert (order.reference, order.link) == ("SO-4472", "")


def test_what_came_without_an_order_has_the_cost_that_was_typed(bench, by) -> None:
    job = on_the_bench(by)
    want = actions.want_part(job=job, description=BELT, quantity_thousandths=2_000, by=by)
    bench.post(reverse("stockroom:note_came", args=[want.pk]), once(cost="3.25"))
    part = Part.objects.get(description=BELT)
    assert (left(part), part.level.average_cost_ten_thousandths) == (2_000, 32_500)
    want.refresh_from_db()
    assert want.kept_thousandths == 2_000


def test_a_donor_unit_says_what_was_taken_and_what_can_still_be_had(bench, by) -> None:
    donor = UnitFactory(is_donor=True)
    part = a_part(by, description="Head block")
    actions.salvage(part=part, quantity_thousandths=1_000, donor=donor, by=by)
    bench.post(
        reverse("stockroom:note_inside", args=[donor.pk]), once(description="Capstan motor", quantity="1")
    )
    said = bench.get(reverse("stockroom:donors")).content.decode()
    assert "Capstan motor" in said
    assert "Head block" in said
    inside = donor.pk
    client = bench.post(reverse("stockroom:note_inside", args=[inside]), once(description="", quantity="1"))
    assert client.status_code == 422


def test_the_bench_says_that_nothing_is_ordered_by_a_wish(bench, by) -> None:
    job = on_the_bench(by)
    said = bench.post(
        reverse("bench:want", args=[job.number]), once(drawer=BELT, quantity="1", free="on"), follow=True
    )
    assert "Nothing is ordered yet" in said.content.decode()


def test_the_bench_asks_for_the_price_rule_with_the_wants_however_many_parts_came(bench, by) -> None:
    job = on_the_bench(by)
    actions.add_price_rule(from_date=dt.date(2020, 1, 1), bands=[[None, 40]], rounding="cent", by=by)
    asked = []
    for many in (1, 3):
        for at in range(many):
            want = actions.want_part(job=job, description=f"Belt {many}{at} mm flat", by=by)
            actions.note_came(wanted=want, by=by, unit_cost_ten_thousandths=42_000)
        with CaptureQueriesContext(connection) as queries:
            page = bench.get(reverse("bench:job", args=[job.number]))
        asked.append(len(queries))
    assert words_on(page).count("price $5.88 each") == 4  # 4.20 and 40 %, reckoned by hand
    assert asked[0] == asked[1]
