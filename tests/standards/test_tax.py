"""Tax: the EN 16931 formulas and worked example, rounding once a category, allowances, prepayments, cash, who owes none."""

from __future__ import annotations

from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.money import MixedCurrencies, Money, UnitPrice
from shop.handbook.tax import (
    Adjustment,
    Buyer,
    Category,
    Line,
    LineKind,
    Percent,
    Standing,
    TaxError,
    TaxRule,
    TaxRules,
    compute,
    margin_tax,
    no_tax,
    sales_tax,
    value_added_tax,
)
from tests.standards.tax_cases import (
    DAY,
    SOURCE,
    START,
    california_rules,
    california_totals,
    eur,
    labour,
    part,
    usd,
    vat21,
)


def vat19_inside() -> TaxRules:
    return value_added_tax(Percent.parse("19"), START, SOURCE, inclusive=True)


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
    with pytest.raises(TaxError, match=r"^A rate .*percent[^.]*(8\.25)?\.$"):
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
        (usd("7.51"), "Repair labor", "friend"),
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
    assert totals.charges[0].treatment.name == "Repair labor"
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
    assert (
        totals.notes[0].source
        == "Directive 2006/112/EC, Article 226(4) and (11a); read the current text of (11a)"
    )


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
    assert totals.notes[0].source == "Directive 2006/112/EC, Articles 313 and 226(14); read the current text"
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
