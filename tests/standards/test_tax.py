"""Tax: the EN 16931 formulas and worked example, California's Regulation 1546, rules with dates, one rounding a category."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from shop.handbook.money import MixedCurrencies, Money, UnitPrice
from shop.handbook.tax import (
    Adjustment,
    Buyer,
    Category,
    Line,
    LineKind,
    NoTaxRule,
    Percent,
    Standing,
    TaxError,
    TaxRule,
    TaxRules,
    Totals,
    california,
    compute,
    margin_tax,
    no_tax,
    parts_rule,
    sales_tax,
    value_added_tax,
)

SOURCE = "invented for the test"
DAY = date(2026, 11, 25)
START = date(2020, 1, 1)


def vat21() -> TaxRules:
    return value_added_tax(Percent.parse("21"), START, SOURCE)


def vat19_inside() -> TaxRules:
    return value_added_tax(Percent.parse("19"), START, SOURCE, inclusive=True)


def california_rules() -> TaxRules:
    return california(Percent.parse("9.5"), START, SOURCE)


def usd(text: str) -> Money:
    return Money.parse(text, "USD")


def eur(text: str) -> Money:
    return Money.parse(text, "EUR")


def labour(amount: Money) -> Line:
    return Line(LineKind.LABOUR, amount)


def part(amount: Money) -> Line:
    return Line(LineKind.PART, amount)


# Rates


@pytest.mark.parametrize(
    "base, rate, tax",
    [
        ("10.00", "8.25", "0.83"),  # 0.825 (Decimal, ROUND_HALF_UP)
        ("2.50", "7.25", "0.18"),  # 0.18125
        ("38.15", "9.5", "3.62"),  # 3.62425
        ("261.09", "21", "54.83"),  # 54.8289, the EN 16931 worked example
        ("-10.00", "8.25", "-0.83"),
        ("100.00", "0", "0.00"),
        ("100.00", "100", "100.00"),
    ],
)
def test_tax_on_an_amount_is_rounded_half_up(base: str, rate: str, tax: str) -> None:
    # BR-CO-17; the figures were worked with the decimal module.
    assert Percent.parse(rate).of(usd(base)) == usd(tax)


@pytest.mark.parametrize(
    "gross, rate, tax",
    [
        ("121.00", "21", "21.00"),
        ("500.00", "19", "79.83"),
        ("100.00", "19", "15.97"),
        ("-100.00", "19", "-15.97"),
    ],
)
def test_tax_inside_an_amount_is_rounded_half_up(gross: str, rate: str, tax: str) -> None:
    # 500 x 19 / 119 = 79.8319, 100 x 19 / 119 = 15.9664: worked by hand.
    assert Percent.parse(rate).inside(eur(gross)) == eur(tax)


@given(st.integers(-(10**10), 10**10), st.integers(0, 1_000_000))
def test_tax_agrees_with_the_decimal_module(minor: int, rate: int) -> None:
    percent = Percent(rate)
    exact = Decimal(minor) * percent.decimal / 100
    assert percent.of(Money(minor, "USD")).minor == int(exact.quantize(Decimal(1), ROUND_HALF_UP))
    inside = Fraction(minor * rate, 1_000_000 + rate)
    assert abs(percent.inside(Money(minor, "USD")).minor - inside) <= Fraction(1, 2)


@given(st.integers(0, 1_000_000))
def test_a_printed_rate_reads_back_as_itself(rate: int) -> None:
    percent = Percent(rate)
    assert Percent.parse(percent.plain) == percent
    assert Percent.parse(str(percent)) == percent
    assert Percent.parse(percent.plain.replace(".", ",")) == percent


@pytest.mark.parametrize(
    "rate, plain",
    [(82_500, "8.25"), (210_000, "21"), (88_750, "8.875"), (1, "0.0001"), (0, "0"), (1_000_000, "100")],
)
def test_a_rate_prints_without_needless_zeros(rate: int, plain: str) -> None:
    assert Percent(rate).plain == plain
    assert str(Percent(rate)) == f"{plain} %"
    assert Percent(rate).decimal == Decimal(plain)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "abc",
        "-1",
        "1e2",
        "8.",
        ".5",
        "8.25.1",
        "1234",
        "8.12345",
        "100.0001",
        "101",
        "%",
        "9" * 10**6,
        "8.25" + " " * 17,
        "٨",
    ],
)
def test_what_is_not_a_rate_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(TaxError, match=r"^A rate .*per cent[^.]*(8\.25)?\.$"):
        Percent.parse(text)


@pytest.mark.parametrize(
    "text", ["8.25", " 8.25 ", "8.25%", "8.25 %", "008.2500 %", "8,25", "8.25" + " " * 16]
)
def test_a_rate_is_read_as_people_type_it(text: str) -> None:
    assert Percent.parse(text) == Percent(82_500)


@pytest.mark.parametrize("rate", [-1, 1_000_001])
def test_a_rate_outside_0_to_100_is_refused(rate: int) -> None:
    with pytest.raises(TaxError, match="0 to 100"):
        Percent(rate)


@pytest.mark.parametrize("rate", [8.25, "8", True, Decimal(8)])
def test_a_rate_is_counted_in_whole_numbers(rate: object) -> None:
    with pytest.raises(TypeError):
        Percent(rate)  # type: ignore[arg-type]


def test_rates_are_ordered() -> None:
    assert Percent(1) < Percent(2) <= Percent(2)


# The EN 16931 worked example


def test_the_en_16931_worked_example_comes_out_to_the_cent() -> None:
    # EN 16931 formulas BR-CO-10 to BR-CO-17, worked with the decimal module at 21 %.
    prices = [("85.00", 2500), ("3.85", 4000), ("12.345", 2000)]
    lines = [labour(UnitPrice.parse(price, "EUR", ".").times(quantity)) for price, quantity in prices]
    totals = compute(
        lines,
        currency="EUR",
        rules=vat21(),
        on=DAY,
        allowances=[Adjustment(eur("10.00"), "goodwill")],
        charges=[Adjustment(eur("18.50"), "return parcel", LineKind.SHIPPING)],
        prepaid=eur("60.00"),
    )
    assert [line.net for line in totals.lines] == [eur("212.50"), eur("15.40"), eur("24.69")]
    assert totals.line_total == eur("252.59")  # BT-106
    assert totals.allowance_total == eur("10.00")  # BT-107
    assert totals.charge_total == eur("18.50")  # BT-108
    assert totals.net == eur("261.09")  # BT-109
    assert totals.tax == eur("54.83")  # BT-110 = BT-117, 54.8289
    assert totals.gross == eur("315.92")  # BT-112
    assert totals.prepaid == eur("60.00")  # BT-113
    assert totals.rounding == eur("0.00")  # BT-114
    assert totals.due == eur("255.92")  # BT-115
    assert len(totals.categories) == 1
    category = totals.categories[0]
    assert (category.category, category.percent) == (Category.STANDARD, Percent(210_000))
    assert (category.base, category.tax) == (eur("261.09"), eur("54.83"))
    assert (category.names, category.reasons, category.sources) == (("VAT",), (), (SOURCE,))
    assert totals.notes == ()
    assert totals.parts is None


def test_tax_is_rounded_once_per_category_and_not_per_line() -> None:
    # BR-CO-17: five lines of 0.10 at 5 % are 0.025 -> 0.03, while five roundings of 0.005 would make 0.05.
    rules = value_added_tax(Percent.parse("5"), START, SOURCE)
    totals = compute([labour(eur("0.10"))] * 5, currency="EUR", rules=rules, on=DAY)
    assert totals.tax == eur("0.03")


def test_two_rules_of_one_rate_are_one_category() -> None:
    # BR-CO-17: rounded per category, however many rules lead there. 0.10 + 0.10 at 5 %: 0.01, not 0.01 + 0.01.
    rules = TaxRules(
        "VAT",
        (
            TaxRule("VAT on work", frozenset({LineKind.LABOUR}), Percent.parse("5"), START, "source one"),
            TaxRule("VAT on goods", frozenset({LineKind.PART}), Percent.parse("5"), START, "source two"),
        ),
    )
    totals = compute([labour(eur("0.10")), part(eur("0.10"))], currency="EUR", rules=rules, on=DAY)
    assert totals.tax == eur("0.01")
    assert [category.names for category in totals.categories] == [("VAT on work", "VAT on goods")]
    assert totals.categories[0].sources == ("source one", "source two")
    assert [line.treatment.name for line in totals.lines] == ["VAT on work", "VAT on goods"]


def test_several_rates_stand_beside_each_other() -> None:
    rules = TaxRules(
        "VAT",
        (
            TaxRule("VAT", frozenset(LineKind), Percent.parse("20"), START, SOURCE),
            TaxRule("VAT", frozenset(LineKind), Percent.parse("5"), START, SOURCE, rate="reduced"),
        ),
    )
    lines = [labour(eur("100.00")), Line(LineKind.LABOUR, eur("10.10"), rate="reduced"), part(eur("1.00"))]
    charge = Adjustment(eur("2.00"), "delivery", LineKind.SHIPPING, rate="reduced")
    totals = compute(lines, currency="EUR", rules=rules, on=DAY, charges=[charge])
    assert [(str(each.percent), each.base, each.tax) for each in totals.categories] == [
        ("20 %", eur("101.00"), eur("20.20")),
        ("5 %", eur("12.10"), eur("0.61")),  # 0.605
    ]
    assert totals.gross == eur("133.91")
    assert totals.charges[0].reason == "delivery"
    assert totals.charges[0].net == eur("2.00")


# Prices with tax inside


def test_prices_with_tax_stay_what_was_said() -> None:
    # 5 x 100.00 with 19 % inside: the tax on the sum is 79.83 (79.8319), five single roundings would make 79.85.
    totals = compute([labour(eur("100.00"))] * 5, currency="EUR", rules=vat19_inside(), on=DAY)
    assert totals.gross == eur("500.00")
    assert totals.tax == eur("79.83")
    assert totals.net == totals.line_total == eur("420.17")
    # 420.17 over five equal lines: 84.03 each and two cents left over for the first two.
    assert [line.net for line in totals.lines] == [
        eur(net) for net in ("84.04", "84.04", "84.03", "84.03", "84.03")
    ]
    assert [line.typed for line in totals.lines] == [eur("100.00")] * 5


def test_prices_with_tax_take_allowances_with_tax() -> None:
    totals = compute(
        [labour(eur("119.00"))],
        currency="EUR",
        rules=vat19_inside(),
        on=DAY,
        allowances=[Adjustment(eur("11.90"), "goodwill")],
        charges=[Adjustment(eur("23.80"), "parcel", LineKind.SHIPPING)],
    )
    assert (totals.line_total, totals.allowance_total, totals.charge_total) == (
        eur("100"),
        eur("10"),
        eur("20"),
    )
    assert (totals.net, totals.tax, totals.gross) == (eur("110"), eur("20.90"), eur("130.90"))
    assert totals.allowances[0].net == totals.allowances[0].typed - eur("1.90") == eur("10")


def test_a_buyer_who_owes_no_tax_does_not_pay_what_is_inside_the_price() -> None:
    buyer = Buyer(Standing.REVERSE_CHARGE, "NL000000000B00")
    totals = compute(
        [labour(eur("119.00")), part(eur("10.00"))],
        currency="EUR",
        rules=vat19_inside(),
        on=DAY,
        buyer=buyer,
        allowances=[
            Adjustment(eur("11.90"), "goodwill"),
            Adjustment(eur("1.19"), "regular", LineKind.LABOUR),
        ],
    )
    assert [line.net for line in totals.lines] == [eur("100.00"), eur("8.40")]
    # 11.90 spread over one category: 11.90 x 108.40 / 129.00 = 9.9997 -> 10.00; 1.19 less the tax inside is 1.00.
    assert [line.net for line in totals.allowances] == [eur("10.00"), eur("1.00")]
    assert totals.tax == eur("0")
    assert totals.gross == totals.net == eur("97.40")


# Allowances, prepayments, cash


def test_an_allowance_without_a_kind_is_spread_over_the_categories() -> None:
    lines = [labour(usd("75.00")), part(usd("25.00"))]
    totals = compute(
        lines,
        currency="USD",
        rules=california_rules(),
        on=DAY,
        allowances=[Adjustment(usd("10.01"), "friend")],
    )
    assert [(each.net, each.treatment.name, each.reason) for each in totals.allowances] == [
        (usd("7.51"), "Repair labour", "friend"),
        (usd("2.50"), "Sales tax", "friend"),
    ]
    assert [each.base for each in totals.categories] == [usd("67.49"), usd("22.50")]
    assert totals.tax == usd("2.14")  # 22.50 x 9.5 % = 2.1375


def test_an_allowance_with_a_kind_stays_with_it() -> None:
    lines = [labour(usd("75.00")), part(usd("25.00"))]
    off = Adjustment(usd("5.00"), "parts were late", LineKind.PART)
    totals = compute(lines, currency="USD", rules=california_rules(), on=DAY, allowances=[off])
    assert [each.base for each in totals.categories] == [usd("75.00"), usd("20.00")]
    assert totals.allowances[0].reason == "parts were late"
    assert totals.allowance_total == usd("5.00")


def test_an_allowance_too_small_for_a_category_leaves_no_empty_entry() -> None:
    lines = [labour(usd("99.00")), part(usd("1.00"))]
    totals = compute(
        lines,
        currency="USD",
        rules=california_rules(),
        on=DAY,
        allowances=[Adjustment(usd("0.01"), "a cent")],
    )
    assert [each.net for each in totals.allowances] == [usd("0.01")]


def test_an_allowance_may_take_everything_down_to_the_last_cent() -> None:
    lines = [labour(usd("0.99")), part(usd("0.01"))]
    totals = compute(
        lines, currency="USD", rules=california_rules(), on=DAY, allowances=[Adjustment(usd("1"), "gift")]
    )
    assert [each.net for each in totals.allowances] == [usd("0.99"), usd("0.01")]
    assert totals.due == usd("0")


@pytest.mark.parametrize("amount", ["10", "-10"])
def test_a_category_that_comes_to_nothing_takes_no_part_of_an_allowance(amount: str) -> None:
    off = Adjustment(usd(amount) * 2, "half of it")
    lines = [labour(usd("0")), part(usd(amount) * 4)]
    totals = compute(lines, currency="USD", rules=california_rules(), on=DAY, allowances=[off])
    assert [each.treatment.name for each in totals.allowances] == ["Sales tax"]
    assert totals.net == usd(amount) * 2


@pytest.mark.parametrize("lines", [[], [labour(usd("0"))], [labour(usd("1")), part(usd("-1"))]])
def test_an_allowance_that_cannot_be_spread_is_refused(lines: list[Line]) -> None:
    rules = sales_tax(Percent.parse("8"), frozenset({LineKind.PART}), START, SOURCE)
    with pytest.raises(TaxError, match="Say what the allowance “gift” is for"):
        compute(lines, currency="USD", rules=rules, on=DAY, allowances=[Adjustment(usd("1"), "gift")])


def test_an_allowance_or_charge_needs_its_reason() -> None:
    # EN 16931 BR-33 and BR-38.
    with pytest.raises(TaxError, match="BR-33, BR-38"):
        Adjustment(usd("1"), " ")


def test_a_charge_without_a_kind_counts_as_other() -> None:
    totals = compute(
        [labour(usd("10"))],
        currency="USD",
        rules=california_rules(),
        on=DAY,
        charges=[Adjustment(usd("5"), "storage")],
    )
    assert totals.charges[0].treatment.name == "Repair labour"
    assert totals.gross == usd("15")


def test_what_was_paid_too_much_is_due_back() -> None:
    totals = compute([labour(eur("10"))], currency="EUR", rules=vat21(), on=DAY, prepaid=eur("20"))
    assert totals.due == eur("-7.90")
    assert compute([labour(eur("0.01"))], currency="EUR", rules=vat21(), on=DAY).due == eur("0.01")


@pytest.mark.parametrize(
    "amount, step, due, rounding",
    [
        ("10.02", 5, "10.00", "-0.02"),
        ("10.03", 5, "10.05", "0.02"),
        ("10.50", 100, "11", "0.50"),
        ("10.02", 1, "10.02", "0"),
    ],
)
def test_cash_is_rounded_to_the_coins_there_are(amount: str, step: int, due: str, rounding: str) -> None:
    # BR-CO-16: BT-115 = BT-112 - BT-113 + BT-114. Steps of five and a hundred: common practice where small coins are gone.
    rules = no_tax("Below the threshold", SOURCE, START)
    totals = compute(
        [labour(Money.parse(amount, "CHF"))], currency="CHF", rules=rules, on=DAY, cash_step=step
    )
    assert totals.due == Money.parse(due, "CHF")
    assert totals.rounding == Money.parse(rounding, "CHF")
    assert totals.gross == Money.parse(amount, "CHF")


def test_an_invoice_without_lines_comes_to_nothing() -> None:
    totals = compute([], currency="JPY", rules=vat21(), on=DAY)
    assert totals.due == Money.zero("JPY")
    assert totals.categories == ()


def test_lines_in_another_currency_are_refused() -> None:
    with pytest.raises(MixedCurrencies):
        compute([labour(eur("1"))], currency="USD", rules=vat21(), on=DAY)
    with pytest.raises(MixedCurrencies):
        compute([labour(usd("1"))], currency="USD", rules=vat21(), on=DAY, prepaid=eur("1"))


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


def california_totals(*lines: Line, priced: bool, buyer: Buyer | None = None) -> Totals:
    return compute(lines, currency="USD", rules=california_rules(), on=DAY, parts_priced=priced, buyer=buyer)


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
    assert totals.lines[0].treatment.name == "Repair labour"


def test_out_of_state_frees_only_the_kinds_that_the_rules_name() -> None:
    everything = sales_tax(Percent.parse("8"), frozenset(LineKind), START, SOURCE)
    buyer = Buyer(Standing.OUT_OF_STATE, "contract")
    lines = [labour(usd("100")), part(usd("50"))]
    assert compute(lines, currency="USD", rules=everything, on=DAY, buyer=buyer).tax == usd("8")
    wider = replace(everything, untaxed_out_of_state=frozenset(LineKind))
    assert compute(lines, currency="USD", rules=wider, on=DAY, buyer=buyer).tax == usd("0")


# Customers


def test_an_exempt_customer_pays_no_tax_and_the_paper_says_why() -> None:
    totals = california_totals(
        part(usd("50")), priced=True, buyer=Buyer(Standing.EXEMPT, "resale certificate 1234")
    )
    assert totals.tax == usd("0")
    assert totals.categories[0].category is Category.EXEMPT
    assert totals.categories[0].reasons == ("Exempt: resale certificate 1234",)
    assert (totals.categories[0].names, totals.categories[0].sources) == (
        ("Exempt",),
        ("the customer's certificate",),
    )


def test_reverse_charge_is_its_own_category_with_its_wording() -> None:
    # Article 226(11a): "Reverse charge" (from memory); EN 16931 category AE at 0 % (BR-AE-05).
    buyer = Buyer(Standing.REVERSE_CHARGE, "NL000000000B00")
    totals = compute([labour(eur("100"))], currency="EUR", rules=vat21(), on=DAY, buyer=buyer)
    assert totals.gross == eur("100")
    assert totals.categories[0].category is Category.REVERSE_CHARGE
    assert totals.categories[0].percent == Percent(0)
    assert [note.sentence for note in totals.notes] == ["Reverse charge"]
    assert totals.categories[0].names == ("Reverse charge",)
    assert totals.notes[0].source == "Directive 2006/112/EC, Article 226(4) and (11a), (11a) from memory"


@pytest.mark.parametrize(
    "standing, wanted",
    [
        (Standing.EXEMPT, "certificate"),
        (Standing.REVERSE_CHARGE, r"VAT number \(Directive 2006/112/EC, Article 226\(4\)\)"),
        (Standing.OUT_OF_STATE, r"contract that requires it \(annotation 315\.0215\)"),
    ],
)
def test_a_standing_without_its_proof_is_refused(standing: Standing, wanted: str) -> None:
    with pytest.raises(TaxError, match=wanted):
        Buyer(standing, "  ")


def test_out_of_state_takes_the_tax_out_of_a_price_only_where_it_frees_the_line() -> None:
    inside = replace(vat19_inside(), untaxed_out_of_state=frozenset({LineKind.PART}))
    buyer = Buyer(Standing.OUT_OF_STATE, "contract")
    lines = [part(eur("119.00")), labour(eur("119.00"))]
    totals = compute(lines, currency="EUR", rules=inside, on=DAY, buyer=buyer)
    assert [line.net for line in totals.lines] == [eur("100.00"), eur("100.00")]
    assert (totals.tax, totals.gross) == (eur("19.00"), eur("219.00"))


def test_an_ordinary_customer_needs_no_proof() -> None:
    assert Buyer().standing is Standing.ORDINARY


def test_a_second_hand_thing_under_the_margin_scheme_shows_no_tax() -> None:
    # Directive 2006/112/EC Article 226(14), wording from memory.
    lines = [Line(LineKind.OTHER, eur("300.00"), margin=True), labour(eur("100.00"))]
    totals = compute(lines, currency="EUR", rules=vat21(), on=DAY)
    assert totals.tax == eur("21.00")
    assert totals.lines[0].treatment.category is Category.EXEMPT
    assert totals.notes[0].sentence == "Margin scheme — Second-hand goods"
    assert totals.notes[0].source == "Directive 2006/112/EC, Articles 313 and 226(14), from memory"
    assert totals.lines[0].treatment.name == "Margin scheme"
    assert totals.lines[0].typed == totals.lines[0].net == eur("300.00")
    assert totals.net == eur("400.00")


def test_the_parts_rule_leaves_margin_things_out() -> None:
    totals = california_totals(Line(LineKind.PART, usd("100"), margin=True), labour(usd("50")), priced=False)
    assert totals.parts is not None
    assert totals.parts.total_charge == usd("50")
    assert totals.tax == usd("0")


@pytest.mark.parametrize(
    "sold, bought, tax", [("300.00", "179.00", "21.00"), ("100.00", "100.00", "0"), ("100.00", "150.00", "0")]
)
def test_the_tax_inside_a_margin(sold: str, bought: str, tax: str) -> None:
    # Article 315 (from memory): the margin of 121.00 holds 21.00 at 21 %; a loss holds nothing.
    assert margin_tax(eur(sold), eur(bought), Percent.parse("21")) == eur(tax)


# Rules with dates


def two_rates() -> TaxRules:
    kinds = frozenset(LineKind)
    old = TaxRule("VAT", kinds, Percent.parse("19"), START, "old law", ends=date(2026, 6, 30))
    new = TaxRule("VAT", kinds, Percent.parse("21"), date(2026, 7, 1), "new law", ends=date(2026, 12, 31))
    return TaxRules("VAT", (old, new))


@pytest.mark.parametrize(
    "on, rate",
    [(START, "19"), (date(2026, 6, 30), "19"), (date(2026, 7, 1), "21"), (date(2026, 12, 31), "21")],
)
def test_the_rate_of_the_day_holds(on: date, rate: str) -> None:
    assert two_rates().rule_for(LineKind.LABOUR, "standard", on).percent == Percent.parse(rate)


@pytest.mark.parametrize("on", [date(2019, 12, 31), date(2027, 1, 1)])
def test_a_day_without_a_rule_is_refused_and_not_untaxed(on: date) -> None:
    with pytest.raises(NoTaxRule, match=f"no standard tax rule for bench fee on {on}") as refusal:
        compute([Line(LineKind.BENCH_FEE, eur("1"))], currency="EUR", rules=two_rates(), on=on)
    assert (refusal.value.kind, refusal.value.rate, refusal.value.on) == (LineKind.BENCH_FEE, "standard", on)


def test_a_rate_that_nobody_set_is_refused() -> None:
    with pytest.raises(NoTaxRule, match="no reduced tax rule for labour"):
        compute([Line(LineKind.LABOUR, eur("1"), rate="reduced")], currency="EUR", rules=vat21(), on=DAY)


def rule(**changes: object) -> TaxRule:
    facts: dict[str, object] = {
        "name": "VAT",
        "kinds": frozenset({LineKind.LABOUR}),
        "percent": Percent.parse("20"),
        "starts": START,
        "source": SOURCE,
    }
    return TaxRule(**(facts | changes))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "first, second",
    [
        ({}, {}),
        ({"ends": DAY}, {"starts": DAY}),
        ({"starts": DAY}, {"ends": DAY}),
        ({"kinds": frozenset(LineKind)}, {}),
    ],
)
def test_two_rules_for_the_same_line_on_the_same_day_are_refused(
    first: dict[str, object], second: dict[str, object]
) -> None:
    with pytest.raises(TaxError, match=r"“one” and “two” hold for the same line on the same day"):
        TaxRules("both", (rule(name="one", **first), rule(name="two", **second)))


@pytest.mark.parametrize(
    "first, second",
    [
        ({"ends": date(2026, 6, 30)}, {"starts": date(2026, 7, 1)}),
        ({"starts": date(2026, 7, 1)}, {"ends": date(2026, 6, 30)}),
        ({}, {"rate": "reduced"}),
        ({}, {"kinds": frozenset({LineKind.PART})}),
    ],
)
def test_rules_that_never_meet_stand_side_by_side(
    first: dict[str, object], second: dict[str, object]
) -> None:
    assert len(TaxRules("both", (rule(**first), rule(**second))).rules) == 2


@pytest.mark.parametrize(
    "changes, sentence",
    [
        ({"source": " "}, "needs its source"),
        ({"ends": date(2019, 12, 31)}, "ends before it starts"),
        ({"percent": Percent(0)}, "only category S has a rate above zero"),
        ({"category": Category.ZERO}, "only category S has a rate above zero"),
        ({"category": Category.EXEMPT, "percent": Percent(0), "reason": " "}, "needs the reason"),
        ({"category": Category.OUTSIDE, "percent": Percent(0)}, "needs the reason"),
    ],
)
def test_a_rule_that_is_not_whole_is_refused(changes: dict[str, object], sentence: str) -> None:
    # EN 16931 BR-S-05, BR-Z-05, BR-E-05, BR-E-10, BR-O-10.
    with pytest.raises(TaxError, match=sentence):
        rule(**changes)


def test_a_rule_may_last_one_day_and_a_zero_rate_needs_no_reason() -> None:
    assert rule(ends=START).ends == START
    assert rule(category=Category.ZERO, percent=Percent(0)).reason == ""


def ready_made(ends: date | None = None) -> dict[str, TaxRules]:
    eight = Percent.parse("8")
    return {
        "california": california(eight, START, SOURCE, ends),
        "vat": value_added_tax(eight, START, SOURCE, ends),
        "vat inside": value_added_tax(eight, START, SOURCE, ends, inclusive=True),
        "nothing": sales_tax(eight, frozenset(), START, SOURCE, ends),
        "parts": sales_tax(eight, frozenset({LineKind.PART}), START, SOURCE, ends),
        "everything": sales_tax(eight, frozenset(LineKind), START, SOURCE, ends),
        "none": no_tax("Below the threshold", "the tax office", START, ends),
    }


@pytest.mark.parametrize("name", ready_made())
def test_every_ready_made_set_speaks_for_every_kind_of_line_with_a_source(name: str) -> None:
    rules = ready_made()[name]
    for kind in LineKind:
        found = rules.rule_for(kind, "standard", DAY)
        assert found.source
        assert (found.starts, found.ends) == (START, None)
    assert all(each.reason for each in rules.rules if each.percent == Percent(0))
    assert all(each.kinds for each in rules.rules)
    assert {each.ends for each in ready_made(DAY)[name].rules} == {DAY}


def described(rules: TaxRules) -> set[tuple[str, str, str, str, str]]:
    return {
        (kind.value, each.name, each.percent.plain, each.reason, each.source)
        for each in rules.rules
        for kind in each.kinds
    }


def test_californias_set_says_what_is_taxed_and_where_that_is_written() -> None:
    # 18 CCR 1546(b); 18 CCR 1628 from memory.
    labour_rule = ("Repair labour", "0", "Repair labour is not taxed.", "18 CCR 1546(b)")
    delivery = (
        "Delivery",
        "0",
        "Delivery stated separately is not taxed.",
        "18 CCR 1628, from memory: not confirmed",
    )
    rules = ready_made()["california"]
    assert rules.name == "California sales tax"
    assert rules.parts_rule
    assert not rules.inclusive
    assert described(rules) == {
        ("part", "Sales tax", "8", "", SOURCE),
        ("labour", *labour_rule),
        ("bench_fee", *labour_rule),
        ("other", *labour_rule),
        ("shipping", *delivery),
    }


def test_the_other_sets_say_what_is_taxed() -> None:
    made = ready_made()
    assert {(each.name, each.parts_rule) for each in made.values() if "California" not in each.name} == {
        ("VAT", False),
        ("Sales tax", False),
        ("No tax", False),
    }
    assert [made[name].inclusive for name in ("vat", "vat inside", "parts", "none")] == [
        False,
        True,
        False,
        False,
    ]
    assert described(made["vat"]) == {(kind.value, "VAT", "8", "", SOURCE) for kind in LineKind}
    untaxed = {(kind.value, "Not taxed", "0", "Not taxed here.", SOURCE) for kind in LineKind}
    assert described(made["nothing"]) == untaxed
    assert described(made["everything"]) == {(kind.value, "Sales tax", "8", "", SOURCE) for kind in LineKind}
    parts = {("part", "Sales tax", "8", "", SOURCE)}
    assert described(made["parts"]) == parts | {each for each in untaxed if each[0] != "part"}
    reason = "Below the threshold"
    assert described(made["none"]) == {
        (kind.value, "No tax", "0", reason, "the tax office") for kind in LineKind
    }
    assert {each.category for each in made["none"].rules} == {Category.EXEMPT}


def test_what_a_state_taxes_is_the_shops_to_say() -> None:
    rules = sales_tax(Percent.parse("7"), frozenset({LineKind.PART, LineKind.LABOUR}), START, SOURCE)
    taxed = {kind for kind in LineKind if rules.rule_for(kind, "standard", DAY).percent > Percent(0)}
    assert taxed == {LineKind.PART, LineKind.LABOUR}
    assert not rules.inclusive
    assert not rules.parts_rule


# What holds for every invoice

amounts = st.integers(-(10**7), 10**8)
kinds = st.sampled_from(list(LineKind))
lines_of = st.lists(
    st.builds(lambda kind, minor: Line(kind, Money(minor, "USD")), kinds, amounts), min_size=1, max_size=12
)
positive_lines = st.lists(
    st.builds(lambda kind, minor: Line(kind, Money(minor, "USD")), kinds, st.integers(1, 10**8)),
    min_size=1,
    max_size=12,
)
taxed_kinds = st.frozensets(kinds)
percents = st.builds(Percent, st.integers(1, 400_000))


@st.composite
def regimes(draw: st.DrawFn) -> TaxRules:
    rules = sales_tax(draw(percents), draw(taxed_kinds), START, SOURCE)
    return replace(rules, inclusive=draw(st.booleans()))


def adjustment(minor: int, kind: LineKind | None) -> Adjustment:
    return Adjustment(Money(minor, "USD"), "reason", kind)


adjustments = st.lists(st.builds(adjustment, st.integers(0, 10**6), kinds), max_size=3)


def assert_the_formulas_hold(totals: Totals, *, inclusive: bool) -> None:
    def added(values: object) -> Money:
        return Money.sum(values, "USD")  # type: ignore[arg-type]

    assert totals.line_total == added(line.net for line in totals.lines)  # BR-CO-10
    assert totals.allowance_total == added(each.net for each in totals.allowances)  # BR-CO-11
    assert totals.charge_total == added(each.net for each in totals.charges)  # BR-CO-12
    assert totals.net == totals.line_total - totals.allowance_total + totals.charge_total  # BR-CO-13
    assert totals.tax == added(each.tax for each in totals.categories)  # BR-CO-14
    assert totals.gross == totals.net + totals.tax  # BR-CO-15
    assert totals.due == totals.gross - totals.prepaid + totals.rounding  # BR-CO-16
    assert totals.net == added(each.base for each in totals.categories)
    assert len({(each.category, each.percent) for each in totals.categories}) == len(totals.categories)
    for each in totals.categories:  # BR-CO-17, with the rounding rule
        exact = Fraction(each.base.minor * each.percent.ten_thousandths, 1_000_000)
        slack = 1 + Fraction(each.percent.ten_thousandths, 1_000_000) if inclusive else 1
        assert abs(each.tax.minor - exact) <= Fraction(1, 2) * slack


@given(lines_of, adjustments, adjustments, regimes(), amounts)
def test_the_parts_of_an_invoice_add_up_to_the_whole(
    lines: list[Line], off: list[Adjustment], added: list[Adjustment], rules: TaxRules, prepaid: int
) -> None:
    totals = compute(
        lines,
        currency="USD",
        rules=rules,
        on=DAY,
        allowances=off,
        charges=added,
        prepaid=Money(prepaid, "USD"),
    )
    assert_the_formulas_hold(totals, inclusive=rules.inclusive)
    if rules.inclusive:
        typed = Money.sum((line.amount for line in lines), "USD")
        typed = typed - Money.sum((each.amount for each in off), "USD")
        assert totals.gross == typed + Money.sum((each.amount for each in added), "USD")
        for entry in (*totals.lines, *totals.allowances, *totals.charges):
            bare = Fraction(
                entry.typed.minor * 1_000_000, 1_000_000 + entry.treatment.percent.ten_thousandths
            )
            assert abs(entry.net.minor - bare) <= 1


@given(positive_lines, st.integers(0, 10**6), regimes())
def test_an_allowance_is_spread_without_losing_a_cent(lines: list[Line], minor: int, rules: TaxRules) -> None:
    totals = compute(lines, currency="USD", rules=rules, on=DAY, allowances=[adjustment(minor, None)])
    assert_the_formulas_hold(totals, inclusive=rules.inclusive)
    assert Money.sum((each.typed for each in totals.allowances), "USD") == Money(minor, "USD")


def negated(totals: Totals) -> list[Money]:
    figures = [
        totals.line_total,
        totals.allowance_total,
        totals.charge_total,
        totals.net,
        totals.tax,
        totals.gross,
    ]
    figures += [
        totals.due,
        *(each.base for each in totals.categories),
        *(each.tax for each in totals.categories),
    ]
    return [-each for each in figures] + [-line.net for line in totals.lines]


def figures_of(totals: Totals) -> list[Money]:
    return [-each for each in negated(totals)]


@given(positive_lines, st.integers(0, 10**6), adjustments, regimes())
def test_an_invoice_and_its_credit_note_come_to_nothing(
    lines: list[Line], off: int, added: list[Adjustment], rules: TaxRules
) -> None:
    invoice = compute(
        lines, currency="USD", rules=rules, on=DAY, allowances=[adjustment(off, None)], charges=added
    )
    credit = compute(
        [replace(line, amount=-line.amount) for line in lines],
        currency="USD",
        rules=rules,
        on=DAY,
        allowances=[adjustment(-off, None)],
        charges=[replace(each, amount=-each.amount) for each in added],
    )
    assert figures_of(credit) == negated(invoice)


@given(positive_lines, percents, st.booleans())
def test_a_california_invoice_and_its_credit_note_come_to_nothing(
    lines: list[Line], percent: Percent, priced: bool
) -> None:
    rules = california(percent, START, SOURCE)
    invoice = compute(lines, currency="USD", rules=rules, on=DAY, parts_priced=priced)
    back = [replace(line, amount=-line.amount) for line in lines]
    credit = compute(back, currency="USD", rules=rules, on=DAY, parts_priced=priced)
    assert figures_of(credit) == negated(invoice)
    assert_the_formulas_hold(invoice, inclusive=False)


@given(lines_of, regimes(), st.sampled_from([Standing.EXEMPT, Standing.REVERSE_CHARGE]))
def test_who_owes_no_tax_pays_none(lines: list[Line], rules: TaxRules, standing: Standing) -> None:
    assume(lines)
    totals = compute(lines, currency="USD", rules=rules, on=DAY, buyer=Buyer(standing, "proof"))
    assert totals.tax == Money.zero("USD")
    assert_the_formulas_hold(totals, inclusive=rules.inclusive)
