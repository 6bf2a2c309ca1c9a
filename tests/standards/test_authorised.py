"""The invoice against the customer's yes: 16 CCR 2722 and Business and Professions Code 9844.5."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.authorised import (
    ORAL_ITEMS,
    Answer,
    Consent,
    authorised_sum,
    compare,
    may_be_held_for_payment,
    missing_oral_items,
)
from shop.handbook.money import MixedCurrencies, Money
from shop.handbook.tax import Line, LineKind, Percent, california, compute


def usd(text: str) -> Money:
    return Money.parse(text, "USD")


def yes(text: str, answer: Answer = Answer.YES) -> Consent:
    return Consent(answer, usd(text))


@pytest.mark.parametrize(
    "answers, total",
    [
        ([], "0"),
        ([(Answer.YES, "250.65")], "250.65"),
        ([(Answer.YES, "250.65"), (Answer.YES, "300")], "300"),  # a new version replaces the old one
        ([(Answer.YES, "250.65"), (Answer.YES, "200")], "200"),
        ([(Answer.YES, "250.65"), (Answer.MORE, "40")], "290.65"),
        ([(Answer.MORE, "40")], "40"),
        ([(Answer.UP_TO, "150")], "150"),
        ([(Answer.UP_TO, "150"), (Answer.PARTLY, "120")], "120"),
        ([(Answer.DIAGNOSIS, "45")], "45"),
        ([(Answer.DIAGNOSIS, "45"), (Answer.YES, "200")], "200"),
        ([(Answer.DIAGNOSIS, "45"), (Answer.NO, "0")], "45"),
        ([(Answer.DIAGNOSIS, "45"), (Answer.YES, "200"), (Answer.NO, "0")], "45"),
        ([(Answer.YES, "200"), (Answer.DIAGNOSIS, "45")], "200"),
        ([(Answer.YES, "200"), (Answer.NO, "999")], "0"),
        ([(Answer.NO, "0"), (Answer.YES, "200")], "200"),
    ],
)
def test_the_answers_in_their_order_make_the_authorised_sum(
    answers: list[tuple[Answer, str]], total: str
) -> None:
    # 16 CCR 2722(a); how answers follow each other: worked by hand.
    consents = [Consent(answer, usd(amount)) for answer, amount in answers]
    assert authorised_sum(consents, "USD") == usd(total)


@pytest.mark.parametrize(
    "charged, authorised, above",
    [("250.65", "250.65", "0"), ("250.64", "250.65", "0"), ("250.66", "250.65", "0.01"), ("0", "0", "0")],
)
def test_an_invoice_is_within_to_the_cent_or_above_by_so_much(
    charged: str, authorised: str, above: str
) -> None:
    told = compare(usd(charged), [yes(authorised)])
    assert told.within is (above == "0")
    assert told.above == usd(above)
    assert (told.charged, told.authorised) == (usd(charged), usd(authorised))
    assert told.source == "16 CCR 2722"


def test_tax_does_not_count_against_the_estimate() -> None:
    # 16 CCR 2722(b): taxes are not part of the estimate. 250.65 was estimated; 254.27 with tax is still within.
    rules = california(Percent.parse("9.5"), date(2020, 1, 1), "invented for the test")
    lines = [Line(LineKind.LABOUR, usd("212.50")), Line(LineKind.PART, usd("38.15"))]
    totals = compute(lines, currency="USD", rules=rules, on=date(2026, 11, 25))
    assert totals.gross == usd("254.27")
    assert compare(totals.net, [yes("250.65")]).within
    assert not compare(totals.gross, [yes("250.65")]).within


def test_an_invoice_above_the_yes_says_by_how_much_and_what_to_do() -> None:
    told = compare(usd("300"), [yes("250"), yes("20", Answer.MORE)])
    assert told.sentence == (
        "The charges of 300.00 USD before tax are 30.00 USD above the 270.00 USD that the customer authorised: "
        "record a further yes before the invoice is issued (16 CCR 2722(a))."
    )
    assert told.above == usd("30")


@pytest.mark.parametrize("consents", [[], [Consent(Answer.NO, Money(0, "USD"))]])
def test_an_invoice_without_any_yes_says_so(consents: list[Consent]) -> None:
    told = compare(usd("300"), consents)
    assert not told.within
    assert told.above == usd("300")
    assert told.sentence.startswith("Nothing was authorised, and the charges come to 300.00 USD before tax")


def test_an_invoice_within_the_yes_says_so_too() -> None:
    told = compare(usd("100"), [yes("250")])
    assert told.sentence == (
        "The charges of 100.00 USD before tax stay within the 250.00 USD that the customer authorised."
    )


def test_a_free_repair_and_a_credit_note_need_no_yes() -> None:
    assert compare(usd("0"), []).within
    assert compare(usd("-50"), []).within
    assert compare(usd("-50"), []).above == usd("0")


def test_a_yes_in_another_currency_is_refused() -> None:
    for answer in Answer:
        if answer is not Answer.NO:
            with pytest.raises(MixedCurrencies):
                compare(usd("1"), [Consent(answer, Money(1, "EUR"))])


@given(st.integers(0, 10**9), st.integers(0, 10**9))
def test_an_invoice_is_above_exactly_when_it_charges_more(charged: int, authorised: int) -> None:
    told = compare(Money(charged, "USD"), [Consent(Answer.UP_TO, Money(authorised, "USD"))])
    assert told.within is (charged <= authorised)
    assert told.above.minor == max(0, charged - authorised)


def test_an_oral_yes_has_the_eight_items_of_the_regulation() -> None:
    # 16 CCR 2722(a): date, time, person authorising, telephone called if any, person receiving, conditions if any,
    # additional parts and labour, total additional cost.
    assert [item.key for item in ORAL_ITEMS] == [
        "date",
        "time",
        "authorised_by",
        "phone_called",
        "received_by",
        "conditions",
        "additional_work",
        "additional_cost",
    ]
    assert [item.key for item in ORAL_ITEMS if item.where_known] == ["phone_called", "conditions"]


def test_what_an_oral_yes_still_lacks_is_told() -> None:
    needed = {"date", "time", "authorised_by", "received_by", "additional_work", "additional_cost"}
    assert {item.key for item in missing_oral_items([])} == needed
    assert missing_oral_items(sorted(needed)) == ()
    assert [item.key for item in missing_oral_items(sorted(needed - {"time"}))] == ["time"]


@pytest.mark.parametrize(
    "charged, estimate, revision, may",
    [
        ("250", "250", None, True),
        ("250.01", "250", None, False),
        ("290", "250", "290", True),
        ("290.01", "250", "290", False),
        ("250", "250", "200", True),  # the HIGHER of the two counts
    ],
)
def test_a_unit_may_be_held_only_for_charges_within_the_estimate(
    charged: str, estimate: str, revision: str | None, may: bool
) -> None:
    # Business and Professions Code 9844.5.
    assert may_be_held_for_payment(usd(charged), usd(estimate), usd(revision) if revision else None) is may
