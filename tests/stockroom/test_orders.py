"""From the missing part to the job back on the bench: shortages, orders, deliveries in parts, landed cost."""

from __future__ import annotations

import datetime as dt
import io

import pypdf
import pytest
from scipy.stats import poisson

from shop.counter.models import Job
from shop.counter.stages import Stage
from shop.frame import clock
from shop.frame.journal import verify
from shop.frame.models import ShopProfile
from shop.frame.refusal import Refusal
from shop.handbook.money import Money, UnitPrice
from shop.keeping.models import Message
from shop.keeping.papers import stored_bytes
from shop.stockroom import actions, landed, queries
from shop.stockroom.models import LedgerEntry, Order, OrderLine, Part, PartWanted, StockLevel
from shop.stockroom.papers import purchase_order_context
from tests.factories.stockroom import a_part, a_supplier, an_order, left, on_the_bench, waiting_for


def stage(job: Job) -> str:
    return Job.objects.values_list("stage", flat=True).get(pk=job.pk)


# --- waiting --------------------------------------------------------------------------------------------------


def test_a_part_that_comes_brings_its_job_back_on_the_bench_and_says_so(by) -> None:
    part = a_part(by)
    job = waiting_for(part, by, quantity=2)
    assert stage(job) == Stage.AWAITING_PARTS
    early = actions.receive(part=part, quantity_thousandths=1_000, by=by)
    assert (early.kept_for, early.back_on_the_bench, stage(job)) == ((job,), (), Stage.AWAITING_PARTS)
    arrival = actions.receive(part=part, quantity_thousandths=1_000, by=by)
    assert [one.number for one in arrival.back_on_the_bench] == [job.number]
    assert stage(job) == Stage.ON_THE_BENCH
    assert Job.objects.get(pk=job.pk).part_owed_since is None
    assert verify() == []


def test_a_job_that_waits_for_two_things_stays_aside_until_both_are_here(by) -> None:
    belt, idler = a_part(by, description="Belt"), a_part(by, description="Idler")
    job = waiting_for(belt, by)
    actions.want_part(job=job, part=idler, by=by)
    actions.receive(part=idler, quantity_thousandths=1_000, by=by)
    assert stage(job) == Stage.AWAITING_PARTS
    actions.receive(part=belt, quantity_thousandths=1_000, by=by)
    assert stage(job) == Stage.ON_THE_BENCH


def test_who_has_waited_longest_is_served_first(by) -> None:
    part = a_part(by)
    first, second = waiting_for(part, by), waiting_for(part, by)
    actions.receive(part=part, quantity_thousandths=1_000, by=by)
    assert (stage(first), stage(second)) == (Stage.ON_THE_BENCH, Stage.AWAITING_PARTS)
    standing = queries.standing_of([part])[part.pk]
    assert (standing.held, standing.kept, standing.free, standing.waiting) == (1_000, 1_000, 0, 1_000)


def test_what_is_kept_for_a_job_is_ticked_off_when_it_is_fitted(by) -> None:
    part = a_part(by)
    job = waiting_for(part, by)
    actions.receive(part=part, quantity_thousandths=3_000, by=by)
    job.refresh_from_db()
    actions.fit_part(job=job, part=part, quantity_thousandths=1_000, by=by)
    assert PartWanted.objects.get().fitted_at is not None
    assert queries.standing_of([part])[part.pk].kept == 0


def test_a_part_salvaged_or_counted_up_serves_the_waiting_as_well(by) -> None:
    part = a_part(by)
    first, second = waiting_for(part, by), waiting_for(part, by)
    assert actions.salvage(part=part, quantity_thousandths=1_000, by=by).back_on_the_bench == (first,)
    assert actions.count(part=part, counted_thousandths=2_000, by=by).back_on_the_bench == (second,)


def test_a_part_that_lies_free_in_its_drawer_is_fitted_not_wanted(by) -> None:
    part = a_part(by, there=2, drawer="R12")
    with pytest.raises(Refusal, match="2 of P-0001 lie free in drawer R12: fit it"):
        actions.want_part(job=on_the_bench(by), part=part, by=by)


def test_a_want_that_is_dropped_lets_the_job_go_on_and_the_next_one_have_it(by) -> None:
    part = a_part(by)
    first, second = waiting_for(part, by), waiting_for(part, by)
    actions.receive(part=part, quantity_thousandths=1_000, by=by)
    actions.drop_want(wanted=PartWanted.objects.get(job=first), by=by)
    assert (stage(first), stage(second)) == (Stage.ON_THE_BENCH, Stage.ON_THE_BENCH)


def test_a_thing_without_a_drawer_is_noted_as_here(by) -> None:
    job = waiting_for(None, by, description="Idler tyre, 24 mm")
    actions.note_came(wanted=PartWanted.objects.get(), by=by)
    assert stage(job) == Stage.ON_THE_BENCH


# --- the order list -------------------------------------------------------------------------------------------


def test_the_reorder_point_is_the_smallest_stock_that_lasts_in_95_of_100_lead_times(by, time_machine) -> None:
    # scipy's Poisson quantile, for parts used now and then; the method: Silver, Pyke and Peterson (from memory)
    start = dt.datetime(2026, 1, 5, 10, tzinfo=dt.UTC)
    time_machine.move_to(start, tick=False)
    part = a_part(by, there=100, preferred_supplier=a_supplier(by, lead_days=21))
    job = on_the_bench(by)
    time_machine.move_to(start + dt.timedelta(days=180), tick=False)
    actions.fit_part(job=job, part=part, quantity_thousandths=24_000, by=by)
    standing = queries.standing_of([part])[part.pk]
    assert (standing.used, standing.over_days) == (24_000, 180)
    assert standing.point == int(poisson.ppf(0.95, 24 * 21 / 180)) * 1000
    assert not standing.is_low


def test_stock_at_the_reorder_point_stands_on_the_order_list_until_it_is_ordered(by) -> None:
    supplier = a_supplier(by)
    part = a_part(
        by,
        there=4,
        reorder_at_thousandths=5_000,
        reorder_quantity_thousandths=20_000,
        preferred_supplier=supplier,
    )
    (sheet,) = queries.order_list()
    assert (sheet.supplier, [line.standing.part for line in sheet.lines]) == (supplier, [part])
    assert sheet.lines[0].quantity_thousandths == 20_000
    an_order(part, supplier, by, quantity=20)
    assert queries.order_list() == []


def test_what_a_job_waits_for_stands_on_the_list_with_its_job(by) -> None:
    part = a_part(by, preferred_supplier=a_supplier(by))
    job = waiting_for(part, by, quantity=3)
    other = waiting_for(None, by, description="Idler tyre")
    named, nobody = queries.order_list()
    assert (named.lines[0].quantity_thousandths, [want.job for want in named.lines[0].wants]) == (
        3_000,
        [job],
    )
    assert (nobody.supplier, [want.job for want in nobody.lines[0].wants]) == (None, [other])


def test_a_part_that_nobody_uses_is_never_low(by) -> None:
    part = a_part(by, there=1)
    assert queries.standing_of([part])[part.pk].point is None
    assert queries.shortages() == []


def test_the_list_asks_as_often_for_twelve_parts_as_for_one(by, django_assert_max_num_queries) -> None:
    supplier = a_supplier(by)
    for _ in range(12):
        waiting_for(a_part(by, preferred_supplier=supplier), by)
    with django_assert_max_num_queries(9):
        assert len(queries.order_list()[0].lines) == 12


# --- orders ---------------------------------------------------------------------------------------------------


def test_an_order_goes_from_the_list_over_two_deliveries_to_its_end(by) -> None:
    supplier, part = a_supplier(by), a_part(by)
    job = waiting_for(part, by, quantity=4)
    wanted = PartWanted.objects.get()
    asked = actions.LineAsked(
        part=part, quantity_thousandths=10_000, unit_cost_ten_thousandths=5_000, wanted=[wanted]
    )
    order = actions.open_order(supplier=supplier, lines=[asked], by=by)
    assert (order.number, wanted.__class__.objects.get().order_line.order) == ("PO-26-0001", order)
    actions.send_order(order=order, by=by)
    line = order.lines.get()
    first = actions.receive_order_line(line=line, quantity_thousandths=3_000, by=by)
    assert (first.back_on_the_bench, left(part), Order.objects.get().closed_at) == ((), 3_000, None)
    second = actions.receive_order_line(line=line, quantity_thousandths=7_000, by=by)
    assert ([one.pk for one in second.back_on_the_bench], left(part)) == ([job.pk], 10_000)
    assert Order.objects.get().closed_at is not None
    assert [entry.order_line_id for entry in LedgerEntry.objects.order_by("id")] == [line.pk, line.pk]


def test_what_will_not_come_stands_on_the_list_again(by) -> None:
    supplier = a_supplier(by)
    part = a_part(by, preferred_supplier=supplier)
    waiting_for(part, by)
    asked = actions.LineAsked(part=part, quantity_thousandths=1_000, wanted=list(PartWanted.objects.all()))
    order = actions.send_order(order=actions.open_order(supplier=supplier, lines=[asked], by=by), by=by)
    assert queries.order_list() == []
    actions.give_up_line(line=order.lines.get(), by=by)
    assert Order.objects.get().closed_at is not None
    assert len(queries.order_list()[0].lines[0].wants) == 1


def test_freight_and_fees_are_shared_by_value_to_the_last_cent(by) -> None:
    # sharing by value: common practice, no source
    # worked by hand: 7.00 over lines of 10.00, 20.00 and 5.00 gives 2.00, 4.00 and 1.00
    supplier = a_supplier(by)
    parts = [a_part(by, description=name) for name in ("Belt", "Motor", "Lamp")]
    figures = [(4, 25_000), (2, 100_000), (10, 5_000)]
    lines = [
        actions.LineAsked(part=part, quantity_thousandths=n * 1000, unit_cost_ten_thousandths=cost)
        for part, (n, cost) in zip(parts, figures, strict=True)
    ]
    order = actions.open_order(supplier=supplier, lines=lines, by=by)
    actions.set_carriage(order=order, carriage_minor=700, by=by)
    assert landed.total(order) == Money(4_200, "USD")
    costs = [landed.unit_cost(order, line) for line in order.lines.order_by("id")]
    assert costs == [25_000 + 5_000, 100_000 + 20_000, 5_000 + 1_000]
    shared = [
        UnitPrice(cost - line.unit_cost_ten_thousandths, "USD").times(line.quantity_thousandths).minor
        for cost, line in zip(costs, order.lines.order_by("id"), strict=True)
    ]
    assert sum(shared) == 700


def test_a_part_received_with_freight_costs_what_it_really_cost(by) -> None:
    part = a_part(by)
    order = an_order(part, a_supplier(by), by, quantity=4, cost=10_000)
    actions.receive_delivery(
        order=order,
        came=[actions.Came(line=order.lines.get(), quantity_thousandths=4_000)],
        carriage_minor=200,
        by=by,
    )
    assert StockLevel.objects.get(part=part).average_cost_ten_thousandths == 15_000


def test_a_part_is_usually_from_whom_it_was_first_ordered(by) -> None:
    first, second, part = a_supplier(by), a_supplier(by, name="Second source"), a_part(by)
    actions.open_order(
        supplier=second, lines=[actions.LineAsked(part=part, quantity_thousandths=1_000)], by=by
    )
    assert Part.objects.get().preferred_supplier is None  # opened, not sent
    an_order(part, first, by)
    an_order(part, second, by)
    assert Part.objects.get().preferred_supplier == first


def test_a_sent_order_stays_as_it_was_sent(by) -> None:
    order = an_order(a_part(by), a_supplier(by), by)
    line = order.lines.get()
    for refused in (
        lambda: actions.change_line(line=line, quantity_thousandths=1, unit_cost_ten_thousandths=1, by=by),
        lambda: actions.take_line_off(line=line, by=by),
        lambda: actions.add_line(
            order=order, asked=actions.LineAsked(description="x", quantity_thousandths=1), by=by
        ),
        lambda: actions.send_order(order=order, by=by),
    ):
        with pytest.raises(Refusal, match="was sent"):
            refused()
    assert OrderLine.objects.get().quantity_thousandths == 10_000


def test_nothing_comes_of_an_order_that_was_not_sent_or_is_closed(by) -> None:
    part, supplier = a_part(by), a_supplier(by)
    asked = actions.LineAsked(part=part, quantity_thousandths=1_000)
    order = actions.open_order(supplier=supplier, lines=[asked], by=by)
    with pytest.raises(Refusal, match="not been sent"):
        actions.receive_order_line(line=order.lines.get(), quantity_thousandths=1_000, by=by)
    actions.close_order(order=order, by=by)
    with pytest.raises(Refusal, match="closed"):
        actions.receive_order_line(line=order.lines.get(), quantity_thousandths=1_000, by=by)
    assert left(part) == 0


def test_the_purchase_order_says_what_is_ordered_and_goes_by_letter_where_that_is_wished(by) -> None:
    supplier = a_supplier(by, our_account="HB-1177", address="8 Sorrel Way\nMillhaven, OR 97000")
    given = actions.NumberGiven(number="BR-104472", supplier=supplier)
    part = a_part(by, designation="4k7 5%", rating="0.25 W", numbers_given=[given])
    lines = [
        actions.LineAsked(part=part, quantity_thousandths=25_000, unit_cost_ten_thousandths=1_400),
        actions.LineAsked(description="Idler tyre, 24 mm", quantity_thousandths=2_000),
    ]
    order = actions.open_order(supplier=supplier, lines=lines, by=by)
    actions.send_order(order=order, letter=True, by=by)
    text = pypdf.PdfReader(io.BytesIO(stored_bytes(order.paper))).pages[0].extract_text()
    for words in (
        "Purchase order",
        order.number,
        "HB-1177",
        "BR-104472",
        "4k7",
        "25",
        "0.14",
        "3.50",
        "Idler tyre",
    ):
        assert words in text, words
    letter = Message.objects.get()
    assert (letter.to, letter.paper) == ("orders@brindle.example", order.paper)


def test_an_order_sent_in_the_evening_is_signed_on_the_shops_own_day(by) -> None:
    # 03:00 UTC on 2 March is 19:00 of 1 March in Pacific Standard Time, UTC-8 (IANA time zone database)
    ShopProfile.objects.update(time_zone="America/Los_Angeles")
    order = an_order(a_part(by), a_supplier(by), by)
    order.sent_at = dt.datetime(2026, 3, 2, 3, tzinfo=dt.UTC)
    (signature,) = purchase_order_context(order, by=by)["signatures"]
    assert signature.day == dt.date(2026, 3, 1)


def test_what_a_part_last_cost_is_kept_with_the_suppliers_number(by) -> None:
    supplier = a_supplier(by)
    part = a_part(by, numbers_given=[actions.NumberGiven(number="BR-1", supplier=supplier)])
    order = an_order(part, supplier, by, cost=4_200)
    actions.receive_order_line(
        line=order.lines.get(), quantity_thousandths=1_000, unit_cost_ten_thousandths=4_500, by=by
    )
    assert part.numbers.get().price_ten_thousandths == 4_500


# --- prices ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "rounding, cost, price",
    [
        # worked by hand: bands up to 1.00 +150 %, up to 10.00 +80 %, above +40 %
        ("cent", 333, 900),  # 0.0333 -> 0.083250 -> 0.09
        ("five", 3_300, 8_500),  # 0.33 -> 0.825 -> 0.85
        ("ten", 10_000, 25_000),  # 1.00 -> 2.50
        ("ten", 10_100, 19_000),  # 1.01 -> 1.818 -> 1.90
        ("whole", 123_400, 180_000),  # 12.34 -> 17.276 -> 18
        ("cent", 0, None),  # no cost is no price: whoever drafts the invoice is asked
    ],
)
def test_a_price_is_cost_and_mark_up_rounded_up_to_the_shops_step(by, rounding, cost, price) -> None:
    actions.add_price_rule(
        from_date=dt.date(2020, 1, 1),
        bands=[(10_000, 150), (100_000, 80), (None, 40)],
        rounding=rounding,
        by=by,
    )
    part = a_part(by, there=1, cost=cost)
    assert actions.fit_part(job=on_the_bench(by), part=part, by=by).unit_price_ten_thousandths == price


def test_the_price_of_the_day_holds_and_a_price_of_its_own_goes_before(by) -> None:
    actions.add_price_rule(from_date=dt.date(2020, 1, 1), bands=[(None, 100)], rounding="cent", by=by)
    tomorrow = clock.today() + dt.timedelta(days=1)
    actions.add_price_rule(from_date=tomorrow, bands=[(None, 300)], rounding="cent", by=by)
    part = a_part(by, there=3, cost=10_000)
    assert actions.fit_part(job=on_the_bench(by), part=part, by=by).unit_price_ten_thousandths == 20_000
    actions.change_part(part=part, price_ten_thousandths=77_000, by=by)
    assert actions.fit_part(job=on_the_bench(by), part=part, by=by).unit_price_ten_thousandths == 77_000


@pytest.mark.parametrize(
    "bands, said",
    [
        ([], "last band has no upper end"),
        ([(10_000, 50)], "last band has no upper end"),
        ([(None, 50), (None, 20)], "only the last"),
        ([(20_000, 50), (10_000, 40), (None, 20)], "go up"),
        ([(None, -5)], "between 0 and"),
    ],
)
def test_bands_that_leave_a_gap_are_refused(by, bands, said) -> None:
    with pytest.raises(Refusal, match=said):
        actions.add_price_rule(from_date=dt.date(2026, 1, 1), bands=bands, rounding="cent", by=by)
