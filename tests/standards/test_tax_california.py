"""California's Regulation 1546: parts and labor of a repair, the ten percent rule, parts shipped out of the state."""

from __future__ import annotations

from dataclasses import replace

import pytest

from shop.handbook.tax import (
    Buyer,
    Category,
    Line,
    LineKind,
    Percent,
    Standing,
    TaxError,
    compute,
    parts_rule,
    sales_tax,
)
from tests.standards.tax_cases import (
    DAY,
    SOURCE,
    START,
    california_rules,
    california_totals,
    labour,
    part,
    usd,
)

# California: Regulation 1546


@pytest.mark.parametrize(
    "parts, labour_charge, above",
    [
        ("12.00", "120.00", False),  # 9.09 % of 132
        ("12.00", "108.00", False),  # 10.00 % of 120: not MORE than ten per cent
        ("12.01", "108.00", True),  # one cent more
        ("12.00", "107.99", True),
        ("38.15", "212.50", True),  # 15.22 % of 250.65
        ("0.00", "108.00", False),
        ("12.00", "0.00", True),
    ],
)
def test_the_ten_per_cent_rule_at_its_edges(parts: str, labour_charge: str, above: bool) -> None:
    # 18 CCR 1546(b): "more than 10 percent of the total charge"; percentages worked by hand.
    lump = parts_rule(usd(parts), usd(labour_charge), priced_separately=False)
    assert (lump.retailer, lump.must_show) == (above, above)
    assert lump.total_charge == usd(parts) + usd(labour_charge)
    assert lump.parts == usd(parts)
    assert lump.source == "18 CCR 1546(b)"
    credit = parts_rule(-usd(parts), -usd(labour_charge), priced_separately=False)
    assert (credit.retailer, credit.must_show) == (above, above)


def test_a_separate_price_makes_the_shop_the_retailer_however_small_the_part() -> None:
    # 18 CCR 1546(b): "... or if the repairman makes a separate charge for such property".
    verdict = parts_rule(usd("0.50"), usd("200.00"), priced_separately=True)
    assert verdict.retailer
    assert not verdict.must_show
    assert verdict.sentence == "Parts have a price of their own on the invoice: taxed at their retail price."


def test_without_parts_there_is_nobody_to_sell_them() -> None:
    verdict = parts_rule(usd("0"), usd("80"), priced_separately=True)
    assert not verdict.retailer
    assert not verdict.must_show
    assert verdict.sentence == "No parts were supplied."


def test_the_sentence_tells_which_side_of_ten_per_cent() -> None:
    above = parts_rule(usd("20"), usd("80"), priced_separately=False).sentence
    assert (
        above
        == "Parts are more than 10 % of the total charge: taxed at their retail price and shown separately."
    )
    below = parts_rule(usd("8"), usd("92"), priced_separately=False).sentence
    assert (
        below == "Parts are not more than 10 % of a lump sum: the shop is their consumer, no tax is charged."
    )


def test_parts_and_work_of_different_sign_are_refused() -> None:
    with pytest.raises(TaxError, match="same sign"):
        parts_rule(usd("10"), usd("-20"), priced_separately=False)
    with pytest.raises(TaxError, match="same sign"):
        parts_rule(usd("-10"), usd("20"), priced_separately=False)


def test_parts_whose_work_was_waived_by_as_much_are_still_sold() -> None:
    # 20.00 of parts against a total of nothing is more than ten per cent of it (18 CCR 1546(b), arithmetic)
    verdict = parts_rule(usd("20"), usd("-20"), priced_separately=False)
    assert (verdict.retailer, verdict.total_charge) == (True, usd("0"))


def test_in_california_parts_are_taxed_and_labour_is_not() -> None:
    # 9.5 % of 38.15 = 3.62425 -> 3.62 (Decimal); 38.15 of 250.65 is 15.22 %: retailer, whether priced or lump sum.
    for priced in (True, False):
        totals = california_totals(labour(usd("212.50")), part(usd("38.15")), priced=priced)
        assert totals.tax == usd("3.62")
        assert totals.gross == usd("254.27")
        assert totals.parts is not None
        assert totals.parts.must_show


def test_a_lump_sum_with_few_parts_carries_no_tax_line() -> None:
    totals = california_totals(labour(usd("108.00")), part(usd("12.00")), priced=False)
    assert totals.tax == usd("0")
    assert [note.key for note in totals.notes] == ["no_tax", "no_tax", "parts_rule"]
    assert totals.notes[1].sentence == "Parts are included in the repair; the shop is their consumer."
    assert totals.notes[1].source == totals.notes[2].source == "18 CCR 1546(b)"
    assert totals.lines[1].treatment.name == "Parts included"
    assert totals.lines[1].net == usd("12.00")
    assert totals.notes[2].sentence.startswith("Parts are not more than 10 %")
    assert totals.lines[1].treatment.category is Category.EXEMPT


def test_the_same_parts_with_a_price_of_their_own_are_taxed() -> None:
    lines = [labour(usd("108.00")), part(usd("12.00"))]
    assert california_totals(*lines, priced=True).tax == usd("1.14")
    # Unless said otherwise each part has a price of its own, as 16 CCR 2725(i) wants it.
    assert compute(lines, currency="USD", rules=california_rules(), on=DAY).tax == usd("1.14")


def test_pick_up_and_delivery_are_no_part_of_the_total_charge() -> None:
    # 18 CCR 1546(b): the total charge "does not include pick-up or delivery charges". With them 12.01 would be under 10 %.
    delivery = Line(LineKind.SHIPPING, usd("500.00"))
    totals = california_totals(labour(usd("108.00")), part(usd("12.01")), delivery, priced=False)
    assert totals.tax == usd("1.14")
    assert totals.parts is not None
    assert totals.parts.total_charge == usd("120.01")
    assert totals.lines[2].treatment.name == "Delivery"


def test_bench_fee_and_further_services_are_part_of_the_total_charge() -> None:
    lines = (
        Line(LineKind.BENCH_FEE, usd("50")),
        Line(LineKind.OTHER, usd("40")),
        labour(usd("18")),
        part(usd("12")),
    )
    totals = california_totals(*lines, priced=False)
    assert totals.parts is not None
    assert totals.parts.total_charge == usd("120")
    assert totals.tax == usd("0")


def test_an_invoice_without_parts_says_nothing_of_the_parts_rule() -> None:
    totals = california_totals(labour(usd("80")), priced=True)
    assert [note.key for note in totals.notes] == ["no_tax"]
    assert totals.tax == usd("0")


def test_parts_shipped_out_of_state_by_contract_are_not_taxed() -> None:
    # Sales and use tax annotation 315.0215.
    buyer = Buyer(Standing.OUT_OF_STATE, "estimate 3, return by parcel to Oregon")
    totals = california_totals(labour(usd("100")), part(usd("50")), priced=True, buyer=buyer)
    assert totals.tax == usd("0")
    assert totals.lines[1].treatment.source == "annotation 315.0215"
    assert totals.lines[1].treatment.reason.startswith(
        "Shipped out of the state by contract: estimate 3, return by"
    )
    assert (totals.lines[1].treatment.name, totals.lines[1].treatment.category) == (
        "Out of state",
        Category.EXEMPT,
    )
    assert totals.lines[0].treatment.name == "Repair labor"


def test_out_of_state_frees_only_the_kinds_that_the_rules_name() -> None:
    everything = sales_tax(Percent.parse("8"), frozenset(LineKind), START, SOURCE)
    buyer = Buyer(Standing.OUT_OF_STATE, "contract")
    lines = [labour(usd("100")), part(usd("50"))]
    assert compute(lines, currency="USD", rules=everything, on=DAY, buyer=buyer).tax == usd("8")
    wider = replace(everything, untaxed_out_of_state=frozenset(LineKind))
    assert compute(lines, currency="USD", rules=wider, on=DAY, buyer=buyer).tax == usd("0")
