"""What is agreed, added up, and the invoice against it: 16 CCR 2722 and Business and Professions Code 9844, 9844.5."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.agreement import (
    ORAL_ITEMS,
    Answer,
    Comparison,
    Consent,
    add_up,
    missing_oral_items,
)
from shop.handbook.agreement import compare as compare_with
from shop.handbook.money import MixedCurrencies, Money
from shop.handbook.tax import Line, LineKind, Percent, california, compute


def usd(text: str) -> Money:
    return Money.parse(text, "USD")


def yes(text: str, answer: Answer = Answer.YES) -> Consent:
    return Consent(answer, usd(text))


def compare(charged: Money, consents: list[Consent]) -> Comparison:
    """As a Californian shop compares."""
    return compare_with(
        charged,
        add_up(consents, charged.currency),
        estimate_paragraph="B&P 9844",
        consent_paragraph="16 CCR 2722(a)",
    )


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
        ([(Answer.YES, "200"), (Answer.NO, "0")], "0"),
        ([(Answer.NO, "0"), (Answer.YES, "200")], "200"),
        ([(Answer.DIAGNOSIS, "45"), (Answer.YES, "200"), (Answer.WITHDRAWN, "0")], "45"),
        ([(Answer.DIAGNOSIS, "45"), (Answer.YES, "200"), (Answer.WITHDRAWN, "85")], "85"),
        ([(Answer.YES, "200"), (Answer.MORE, "50"), (Answer.MORE, "10")], "260"),
        ([(Answer.DIAGNOSIS, "45"), (Answer.MORE, "50")], "95"),
    ],
)
def test_the_answers_in_their_order_make_the_authorised_sum(
    answers: list[tuple[Answer, str]], total: str
) -> None:
    # 16 CCR 2722(a); how answers follow each other: worked by hand.
    consents = [Consent(answer, usd(amount)) for answer, amount in answers]
    assert add_up(consents, "USD").whole == usd(total)


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
        "The charges of 300.00 USD before tax are 30.00 USD above the 270.00 USD that the customer authorized: "
        "record a further yes before the invoice is issued (16 CCR 2722(a))."
    )
    assert told.above == usd("30")


@pytest.mark.parametrize("consents", [[], [Consent(Answer.NO, Money(0, "USD"))]])
def test_an_invoice_without_any_yes_says_so(consents: list[Consent]) -> None:
    told = compare(usd("300"), consents)
    assert not told.within
    assert told.above == usd("300")
    assert told.sentence.startswith("Nothing was authorized, and the charges come to 300.00 USD before tax")


def test_an_invoice_within_the_yes_says_so_too() -> None:
    told = compare(usd("100"), [yes("250")])
    assert told.sentence == (
        "The charges of 100.00 USD before tax stay within the 250.00 USD that the customer authorized."
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
    # additional parts and labor, total additional cost.
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
    "answers, whole",
    [
        ([(Answer.YES, "200", 1), (Answer.NO, "0", 2)], "200"),
        ([(Answer.YES, "200", 1), (Answer.YES, "350", 2), (Answer.NO, "0", 2)], "200"),
        (
            [(Answer.YES, "200", 1), (Answer.MORE, "50", None), (Answer.YES, "350", 2), (Answer.NO, "0", 2)],
            "250",
        ),
        ([(Answer.YES, "200", 1), (Answer.NO, "0", 1)], "0"),
        ([(Answer.YES, "200", 1), (Answer.NO, "0", 1), (Answer.YES, "200", 1)], "200"),
        ([(Answer.UP_TO, "100", None), (Answer.NO, "0", 1)], "100"),
    ],
)
def test_a_no_refuses_its_version_and_nothing_else(
    answers: list[tuple[Answer, str, int | None]], whole: str
) -> None:
    # worked by hand
    consents = [Consent(answer, usd(amount), version) for answer, amount, version in answers]
    assert add_up(consents, "USD").whole == usd(whole)


def test_an_oral_consent_alone_is_within_only_where_no_law_wants_it_written() -> None:
    # B&P 9844 (its text is from memory): the estimate is written.
    agreed = add_up([Consent(Answer.UP_TO, usd("500"), in_writing=False, documented=False)], "USD")
    assert compare_with(usd("85"), agreed).within
    told = compare_with(usd("85"), agreed, estimate_paragraph="B&P 9844")
    assert told.unwritten
    assert not told.within
    assert compare_with(usd("0"), agreed, estimate_paragraph="B&P 9844").within


@pytest.mark.parametrize(
    "charged, consents, may",
    [
        ("250", [Consent(Answer.YES, usd("250"), 1, usd("250"))], True),
        ("250.01", [Consent(Answer.YES, usd("250"), 1, usd("250"))], False),
        ("290", [Consent(Answer.YES, usd("250"), 1, usd("250")), Consent(Answer.MORE, usd("40"))], True),
        (
            "290",
            [
                Consent(Answer.YES, usd("250"), 1, usd("250")),
                Consent(Answer.MORE, usd("40"), documented=False),
            ],
            False,
        ),
        # the HIGHER of the two counts
        (
            "250",
            [Consent(Answer.YES, usd("250"), 1, usd("250")), Consent(Answer.YES, usd("200"), 2, usd("200"))],
            True,
        ),
    ],
)
def test_a_unit_may_be_held_only_for_charges_within_the_estimate(
    charged: str, consents: list[Consent], may: bool
) -> None:
    # Business and Professions Code 9844.5: the higher of the written estimate and its documented revision.
    assert (usd(charged) <= add_up(consents, "USD").may_be_held_for) is may


def test_a_fee_in_writing_is_no_written_estimate_of_the_repair() -> None:
    # B&P 9844 (its text is from memory); the fee itself is covered by what the claim check says.
    consents = [
        Consent(Answer.DIAGNOSIS, usd("45")),
        Consent(Answer.UP_TO, usd("500"), in_writing=False, documented=False),
    ]
    assert compare(usd("45"), consents).within
    assert compare(usd("46"), consents).unwritten
