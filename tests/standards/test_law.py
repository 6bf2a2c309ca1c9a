"""Law profiles: each letter of the California regulations, Article 226, the EU form, the UK notices, and the days they count."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.law import (
    CALIFORNIA,
    CHECK_LOCALLY,
    ESTIMATE_STATEMENT,
    EUROPEAN_UNION,
    NONE,
    PROFILES,
    ROUTES,
    UNITED_KINGDOM,
    UNITED_STATES,
    Condition,
    Fact,
    LawProfile,
    Left,
    Paper,
    UnknownProfile,
    form_stands_until,
    months_later,
    profile_named,
    publication_days,
    storage_charge,
    timelines,
    usual_in,
    warranty_until,
)
from shop.handbook.money import Money

DAY = date(2026, 11, 25)
EVERYTHING = dict.fromkeys(Fact, "said")


def usd(text: str) -> Money:
    return Money.parse(text, "USD")


def letters(profile: LawProfile, paper: Paper) -> dict[str, tuple[set[Fact], bool]]:
    """Paragraph -> facts that it needs and whether it was confirmed, for every condition."""
    lines = profile.lines_for(paper, DAY, frozenset(Condition))
    return {line.paragraph: (set(line.needs), line.confirmed) for line in lines}


# California


@pytest.mark.parametrize(
    "letter, needs",
    [
        ("a", {Fact.SHOP_NAME, Fact.REGISTRATION_NUMBER, Fact.SHOP_ADDRESS, Fact.SHOP_PHONE}),
        ("b", {Fact.RECEIVED_ON}),
        ("c", {Fact.UNIT_DESCRIPTION, Fact.UNIT_MODEL, Fact.UNIT_SERIAL}),
        ("d", {Fact.COMPLAINT}),
        ("e", {Fact.CUSTOMER_NAME, Fact.CUSTOMER_ADDRESS}),
        ("f", {Fact.ACCEPTED_BY}),
        ("g", {Fact.NOTICE}),
    ],
)
def test_a_california_claim_check_carries_every_letter(letter: str, needs: set[Fact]) -> None:
    # 16 CCR 2721(a) to (g), govt.westlaw.com, current through 5 April 2024.
    assert letters(CALIFORNIA, Paper.CLAIM_CHECK)[f"16 CCR 2721({letter})"] == (needs, True)


@pytest.mark.parametrize(
    "letter, needs",
    [
        ("a", {Fact.SHOP_NAME, Fact.SHOP_ADDRESS, Fact.SHOP_PHONE}),
        ("b", {Fact.REGISTRATION_NUMBER}),
        ("c", {Fact.ISSUED_ON}),
        ("d", {Fact.REPAIR_ADDRESS, Fact.REGISTRATION_NUMBER}),
        ("e", {Fact.CUSTOMER_NAME, Fact.CUSTOMER_ADDRESS}),
        ("f", {Fact.UNIT_DESCRIPTION, Fact.UNIT_MAKE, Fact.UNIT_MODEL, Fact.UNIT_SERIAL}),
        ("g", {Fact.COMPLAINT}),
        ("h", {Fact.TOTAL}),
        ("i", {Fact.PARTS}),
        ("j", {Fact.LABOUR}),
        ("k", {Fact.OTHER_CHARGES}),
        ("l", {Fact.PART_STATES}),
        ("m", {Fact.FILLED_IN_BY}),
    ],
)
def test_a_california_invoice_carries_every_letter(letter: str, needs: set[Fact]) -> None:
    # 16 CCR 2725(a) to (m), govt.westlaw.com; (m) as far as its text goes.
    assert letters(CALIFORNIA, Paper.INVOICE)[f"16 CCR 2725({letter})"] == (needs, True)


def test_what_could_not_be_read_is_listed_and_never_filled_in() -> None:
    for paragraph in ("16 CCR 2721(h)", "16 CCR 2725, after (m)", "16 CCR 2725(l), 2726 to 2730"):
        assert paragraph in CALIFORNIA.unconfirmed
        lines = [line for line in CALIFORNIA.requirements if line.paragraph == paragraph]
        assert [line.text for line in lines] == [""]
        assert lines[0].standing == f"{paragraph} (not confirmed)"
    assert {"B&P 9801", "B&P 9843", "B&P 9844"} <= set(CALIFORNIA.unconfirmed)
    for paragraph in ("16 CCR 2721(g)", "16 CCR 2723", "16 CCR 2722(a)", "B&P 9844.5", "B&P 9842"):
        assert paragraph not in CALIFORNIA.unconfirmed


def test_claim_check_and_invoice_carry_the_prescribed_statement_in_prominent_type() -> None:
    # 16 CCR 2721(g) and 2723 (casetext.com, current through 8 November 2024): the same words.
    for paper, paragraph in ((Paper.CLAIM_CHECK, "16 CCR 2721(g)"), (Paper.INVOICE, "16 CCR 2723")):
        line = next(line for line in CALIFORNIA.lines_for(paper, DAY) if line.paragraph == paragraph)
        assert line.text == ESTIMATE_STATEMENT
        assert line.prominent
        assert line.standing == paragraph
    assert ESTIMATE_STATEMENT.startswith(
        "An estimate as required (Section 9844 of the California Business and "
    )
    assert (
        "may not charge for work done or parts supplied in excess of the estimate without prior"
        in ESTIMATE_STATEMENT
    )
    assert "Where provided in writing, the service dealer may charge a reasonable fee" in ESTIMATE_STATEMENT
    assert ESTIMATE_STATEMENT.endswith("Department of Consumer Affairs, Sacramento 95834.")


def test_an_ordinary_california_invoice_is_not_asked_for_what_does_not_apply() -> None:
    ordinary = {line.key for line in CALIFORNIA.lines_for(Paper.INVOICE, DAY)}
    assert not ordinary & {"repaired_at", "used_parts", "picture_tube", "oral_consent"}
    with_used = CALIFORNIA.lines_for(
        Paper.INVOICE, DAY, frozenset({Condition.USED_PARTS, Condition.ORAL_CONSENT})
    )
    assert {line.key for line in with_used} == ordinary | {"used_parts", "oral_consent"}


def test_a_claim_check_that_lacks_something_says_which_letter() -> None:
    given = EVERYTHING | {Fact.REGISTRATION_NUMBER: " "}
    del given[Fact.COMPLAINT]
    lacks = CALIFORNIA.lacks(Paper.CLAIM_CHECK, given, DAY)
    assert [(lack.requirement.paragraph, lack.fact) for lack in lacks] == [
        ("16 CCR 2721(a)", Fact.REGISTRATION_NUMBER),
        ("16 CCR 2721(d)", Fact.COMPLAINT),
    ]
    assert lacks[0].sentence == "16 CCR 2721(a): registration number is missing."
    assert CALIFORNIA.lacks(Paper.CLAIM_CHECK, EVERYTHING, DAY) == ()
    fetched = CALIFORNIA.lacks(
        Paper.INVOICE, EVERYTHING | {Fact.REPAIR_ADDRESS: ""}, DAY, frozenset({Condition.FETCHED})
    )
    assert [lack.requirement.paragraph for lack in fetched] == ["16 CCR 2725(d)"]


def test_california_duties_name_their_paragraphs() -> None:
    # 16 CCR 2722, 2722.5, 2723, 2733; B&P 9842, 9844.5.
    duties = {duty.key: duty for duty in CALIFORNIA.duties}
    assert duties["no_minimum"].paragraph == "16 CCR 2722"
    assert duties["before_tax"].paragraph == "16 CCR 2722(b)"
    assert duties["bench_fee"].paragraph == "16 CCR 2722.5"
    assert "even when nothing is charged" in duties["copy"].what
    assert duties["no_lien"].confirmed
    assert not duties["replaced_parts"].confirmed


# European Union


@pytest.mark.parametrize(
    "point, confirmed",
    [(point, True) for point in ("1", "2", "3", "4", "5", "6", "7")]
    + [(point, False) for point in ("7a", "8", "9", "10", "10a", "11", "11a", "14")],
)
def test_an_eu_invoice_carries_the_points_of_article_226(point: str, confirmed: bool) -> None:
    # Directive 2006/112/EC Article 226: 1 to 7 read at service.betterregulation.com, the rest from memory.
    needs, read = letters(EUROPEAN_UNION, Paper.INVOICE)[f"Directive 2006/112/EC Art. 226({point})"]
    assert needs
    assert read is confirmed
    assert (f"Directive 2006/112/EC Art. 226({point})" in EUROPEAN_UNION.unconfirmed) is not confirmed


def test_a_simplified_invoice_asks_for_less() -> None:
    # Directive 2006/112/EC Article 226b, datenbank.nwb.de.
    lines = EUROPEAN_UNION.lines_for(Paper.SIMPLIFIED_INVOICE, DAY, frozenset(Condition))
    assert [line.key for line in lines] == ["date", "shop", "kind", "tax", "corrects"]
    assert all(line.confirmed for line in lines)


def test_the_repair_form_has_its_fields_from_the_day_it_applies() -> None:
    # Directive (EU) 2024/1799 Annex I, applied from 31 July 2026: structure confirmed as far as the repairer's identity.
    assert EUROPEAN_UNION.lines_for(Paper.REPAIR_FORM, date(2026, 7, 30)) == ()
    fields = EUROPEAN_UNION.lines_for(Paper.REPAIR_FORM, date(2026, 7, 31))
    assert [field.key for field in fields] == [
        "identity",
        "address",
        "phone",
        "email",
        "online",
        "goods",
        "defect",
        "repair",
        "price",
        "time",
        "replacement",
        "handover",
        "services",
        "validity",
        "more",
    ]
    assert [field.key for field in fields if field.confirmed] == ["identity"]


@pytest.mark.parametrize(
    "given_on, last",
    [
        (date(2026, 11, 25), date(2026, 12, 25)),
        (date(2027, 1, 31), date(2027, 3, 2)),
        (date(2028, 2, 1), date(2028, 3, 2)),  # a leap year
    ],
)
def test_the_conditions_on_the_form_stand_for_thirty_days(given_on: date, last: date) -> None:
    # Directive (EU) 2024/1799 Article 4: 30 calendar days from the day given (legalregister.co.uk).
    assert form_stands_until(given_on) == last


def test_longer_may_be_agreed_but_not_shorter() -> None:
    assert form_stands_until(DAY, 45) == date(2027, 1, 9)
    assert form_stands_until(DAY, 10) == form_stands_until(DAY)


# Unclaimed units


def test_household_goods_are_ripe_after_ninety_days() -> None:
    # Cal. Civ. Code 3066(a): completed 2026-03-01 -> 2026-05-30.
    timeline = ROUTES["ca_3066"](Left(date(2026, 3, 1), usd("80")))
    assert timeline.day("ripe") == date(2026, 5, 30)
    assert timeline.steps[0].paragraph == "Cal. Civ. Code 3066(a)"
    assert timeline.open


def test_stored_by_agreement_it_takes_twelve_months() -> None:
    # Cal. Civ. Code 3066(b).
    timeline = ROUTES["ca_3066"](Left(date(2026, 3, 1), usd("80"), stored_by_agreement=True))
    assert timeline.day("ripe") == date(2027, 3, 1)
    assert timeline.steps[0].paragraph == "Cal. Civ. Code 3066(b)"
    leap = ROUTES["ca_3066"](Left(date(2028, 2, 29), usd("80"), stored_by_agreement=True))
    assert leap.day("ripe") == date(2029, 2, 28)


def small(**known: object) -> Left:
    facts: dict[str, object] = {
        "completed": date(2026, 5, 28),
        "charges": usd("150.00"),
        "summary_signed": True,
        "sign_posted": True,
    }
    return Left(**(facts | known))  # type: ignore[arg-type]


def test_storage_may_be_charged_once_thirty_days_have_passed() -> None:
    # Cal. Civ. Code 3052b(c): received 2026-06-01 -> storage from 2026-07-02, $2 a day.
    timeline = ROUTES["ca_3052b"](small(notice_received=date(2026, 6, 1)))
    assert timeline.day("storage") == date(2026, 7, 2)
    assert storage_charge(timeline, date(2026, 7, 1)) == usd("0")
    assert storage_charge(timeline, date(2026, 7, 2)) == usd("2")
    assert storage_charge(timeline, date(2026, 7, 31)) == usd("60")


def test_no_storage_is_charged_while_nobody_knows_that_the_notice_came() -> None:
    timeline = ROUTES["ca_3052b"](small(notice_sent=date(2026, 5, 29)))
    assert timeline.day("storage") is None
    assert storage_charge(timeline, date(2027, 1, 1)) == usd("0")


def test_the_sale_notice_waits_thirty_days_and_the_sale_thirty_more() -> None:
    # Cal. Civ. Code 3052b(d): not less than 30 days after the first notice; then unless paid within 30 days of mailing.
    timeline = ROUTES["ca_3052b"](small(notice_sent=date(2026, 6, 1), sale_notice_sent=date(2026, 7, 1)))
    assert timeline.day("sale_notice") == date(2026, 7, 1)
    assert timeline.day("sale") == date(2026, 8, 1)
    assert timeline.open


@pytest.mark.parametrize(
    "known, obstacle",
    [
        ({"charges": usd("150.01")}, "above $150"),
        ({"summary_signed": False}, "did not sign"),
        ({"sign_posted": False}, "No sign was posted"),
        ({"within_estimate": False}, "9844.5"),
    ],
)
def test_what_stands_against_the_way_by_mail_is_said(known: dict[str, object], obstacle: str) -> None:
    # Cal. Civ. Code 3052b(a), (a)(1) to (3); B&P 9844.5.
    timeline = ROUTES["ca_3052b"](small(**known))
    assert not timeline.open
    assert len(timeline.obstacles) == 1
    assert obstacle in timeline.obstacles[0]


def test_a_lien_sale_waits_ten_days_and_is_published_ten_to_twenty_before() -> None:
    # Cal. Civ. Code 3052: unpaid 10 days after falling due; notice at least 10 and at most 20 days.
    timeline = ROUTES["ca_3052"](Left(date(2026, 3, 1), usd("400"), due=date(2026, 3, 15)))
    assert timeline.day("unpaid") == date(2026, 3, 26)
    assert timeline.day("auction") == date(2026, 4, 5)
    assert publication_days(date(2026, 4, 5)) == (date(2026, 3, 16), date(2026, 3, 26))
    assert ROUTES["ca_3052"](Left(date(2026, 3, 1), usd("400"))).steps == ()


def test_charges_above_the_estimate_close_every_way_in_california() -> None:
    # B&P 9844.5.
    left = small(within_estimate=False)
    for timeline in timelines(CALIFORNIA, left):
        assert not timeline.open
        assert "9844.5" in timeline.obstacles[0]
    assert [timeline.key for timeline in timelines(CALIFORNIA, left)] == ["ca_3066", "ca_3052b", "ca_3052"]


@pytest.mark.parametrize(
    "sent, sale",
    [
        (date(2026, 11, 30), date(2027, 2, 28)),
        (date(2026, 11, 25), date(2027, 2, 25)),
        (date(2027, 11, 30), date(2028, 2, 29)),
        (date(2026, 9, 30), date(2026, 12, 30)),
    ],
)
def test_uk_goods_with_money_owed_wait_three_months(sent: date, sale: date) -> None:
    # Torts (Interference with Goods) Act 1977 Sch. 1: notice 2026-11-30 -> earliest sale 2027-02-28.
    left = Left(date(2026, 8, 1), Money(5000, "GBP"), sale_notice_sent=sent)
    (timeline,) = timelines(UNITED_KINGDOM, left)
    assert timeline.day("sale") == sale
    assert "three months" in timeline.steps[1].what
    assert timeline.day("notice_a") == date(2026, 8, 1)
    assert timeline.open


def test_uk_goods_without_money_owed_wait_a_reasonable_time() -> None:
    # 28 days: an opinion at justanswer.co.uk, common practice; the Act names no number.
    left = Left(date(2026, 8, 1), Money(0, "GBP"), sale_notice_sent=date(2026, 9, 1))
    assert ROUTES["uk_torts"](left).day("sale") == date(2026, 9, 29)
    patient = Left(date(2026, 8, 1), Money(0, "GBP"), sale_notice_sent=date(2026, 9, 1), reasonable_days=60)
    assert ROUTES["uk_torts"](patient).day("sale") == date(2026, 10, 31)


def test_uk_goods_under_dispute_are_not_sold() -> None:
    # Sch. 1 Part II as told at uksupportedhousing.com: no notice and no sale while the charges are disputed.
    timeline = ROUTES["uk_torts"](Left(date(2026, 8, 1), Money(5000, "GBP"), disputed=True))
    assert not timeline.open
    assert timeline.day("sale") is None


def test_the_uk_notices_carry_what_the_schedule_asks_for() -> None:
    # Torts (Interference with Goods) Act 1977 Sch. 1, uosb.co.uk and uksupportedhousing.com.
    notice_a = {fact for line in UNITED_KINGDOM.lines_for(Paper.COLLECT_LETTER, DAY) for fact in line.needs}
    assert notice_a == {Fact.SHOP_NAME, Fact.SHOP_ADDRESS, Fact.UNIT_DESCRIPTION, Fact.HELD_AT, Fact.READY}
    notice_b = {fact for line in UNITED_KINGDOM.lines_for(Paper.SALE_LETTER, DAY) for fact in line.needs}
    assert notice_b == notice_a | {Fact.SALE_DAY}
    owed = frozenset({Condition.MONEY_OWED})
    for paper in (Paper.COLLECT_LETTER, Paper.SALE_LETTER):
        assert Fact.AMOUNT_OWED in {
            fact for line in UNITED_KINGDOM.lines_for(paper, DAY, owed) for fact in line.needs
        }


def test_where_no_way_is_known_none_is_made_up() -> None:
    left = Left(DAY, usd("10"))
    assert timelines(NONE, left) == timelines(UNITED_STATES, left) == timelines(EUROPEAN_UNION, left) == ()


# Every profile


@pytest.mark.parametrize("profile", PROFILES.values(), ids=PROFILES)
def test_every_profile_tells_the_shop_to_check_its_local_rules(profile: LawProfile) -> None:
    assert profile.check_locally.endswith(CHECK_LOCALLY)
    assert "must check its local rules" in CHECK_LOCALLY
    assert date(2026, 11, 25) <= profile.looked_up <= date(2026, 11, 29)


@pytest.mark.parametrize("profile", PROFILES.values(), ids=PROFILES)
def test_every_line_cites_its_paragraph_and_has_a_key_of_its_own(profile: LawProfile) -> None:
    for line in profile.requirements:
        assert line.paragraph
        assert line.what
        assert line.confirmed or not line.text
    keys = [(line.paper, line.key) for line in profile.requirements]
    assert len(keys) == len(set(keys))
    assert len({duty.key for duty in profile.duties}) == len(profile.duties)
    assert all(duty.paragraph and duty.what for duty in profile.duties)
    assert all(route in ROUTES for route in profile.unclaimed)


@pytest.mark.parametrize("profile", PROFILES.values(), ids=PROFILES)
def test_a_paper_with_every_fact_lacks_nothing(profile: LawProfile) -> None:
    for paper in Paper:
        assert profile.lacks(paper, EVERYTHING, DAY, frozenset(Condition)) == ()


def test_profiles_are_found_by_their_key() -> None:
    assert set(PROFILES) == {"california", "us", "eu", "uk", "general", "none"}
    assert profile_named("uk") is UNITED_KINGDOM
    with pytest.raises(UnknownProfile, match="no law profile “atlantis”"):
        profile_named("atlantis")


def test_without_a_law_nothing_is_required() -> None:
    assert NONE.requirements == NONE.duties == NONE.retention == ()
    assert NONE.keep_until(Paper.INVOICE, DAY) is None


@pytest.mark.parametrize(
    "profile, last",
    [
        (
            CALIFORNIA,
            date(2030, 12, 31),
        ),  # B&P 9842: three years; IRS Topic 305: three from the filing in the next year
        (UNITED_STATES, date(2030, 12, 31)),
        (EUROPEAN_UNION, date(2036, 12, 31)),  # ten years as the careful choice, not confirmed
    ],
)
def test_invoices_are_kept_to_the_end_of_their_retention_year(profile: LawProfile, last: date) -> None:
    assert profile.keep_until(Paper.INVOICE, date(2026, 1, 1)) == last
    assert profile.keep_until(Paper.INVOICE, date(2026, 12, 31)) == last
    assert {profile.keep_until(paper, DAY) for paper in Paper} == {last}


@pytest.mark.parametrize(
    "issued, vat, last",
    [
        (
            date(2026, 4, 5),
            True,
            date(2032, 4, 5),
        ),  # the last day of the tax year 2025-26: six years of VAT are longer
        (
            date(2026, 4, 5),
            False,
            date(2032, 1, 31),
        ),  # tax year 2025-26, return by 31 January 2027, five years more
        (date(2026, 4, 6), False, date(2033, 1, 31)),  # the first day of 2026-27
        (date(2026, 11, 29), True, date(2033, 1, 31)),
        (date(2028, 2, 29), True, date(2034, 2, 28)),
    ],
)
def test_a_sole_trader_in_the_united_kingdom_keeps_papers_until_a_31_january(
    issued: date, vat: bool, last: date
) -> None:
    """Notice 700/21: six years. gov.uk's example: 2023 to 2024, sent by 31 January 2025, is kept to the end of January 2030."""
    profile = UNITED_KINGDOM.within("GB", vat_registered=vat)
    assert {profile.keep_until(paper, issued) for paper in Paper} == {last}
    assert UNITED_KINGDOM.within("GB", vat_registered=False).keep_until(
        Paper.INVOICE, date(2024, 4, 5)
    ) == date(2030, 1, 31)


@pytest.mark.parametrize(
    "country, invoice, letter",
    [("DE", 2034, 2032), ("AT", 2033, 2033), ("FR", 2036, 2036), ("IE", 2032, 2032), ("HR", 2036, 2036)],
)
def test_each_member_state_keeps_as_long_as_its_own_law_asks(country: str, invoice: int, letter: int) -> None:
    """§ 147(3) AO: eight years for vouchers, six for letters; § 132 BAO seven, L123-22 ten, s. 886 TCA six (from memory)."""
    profile = EUROPEAN_UNION.within(country)
    assert profile.keep_until(Paper.INVOICE, DAY.replace(year=2026)) == date(invoice, 12, 31)
    assert profile.keep_until(Paper.COLLECT_LETTER, DAY.replace(year=2026)) == date(letter, 12, 31)


@pytest.mark.parametrize("country, years", [("CH", 10), ("JP", 7), ("NO", 5), ("BR", 10)])
def test_a_shop_elsewhere_has_a_general_profile_that_says_so(country: str, years: int) -> None:
    """OR 958f ten years; Japan seven, Norway five (from memory); elsewhere ten as the careful choice."""
    profile = usual_in(country).within(country)
    assert profile.key == "general"
    assert "general profile" in profile.check_locally
    assert "usual on invoices (common practice, no source)" in profile.unconfirmed
    assert profile.keep_until(Paper.INVOICE, date(2026, 3, 1)) == date(2026 + years, 12, 31)


def test_the_three_years_of_california_stand_beside_the_tax_records() -> None:
    assert {(rule.years, rule.paragraph) for rule in CALIFORNIA.retention} >= {(3, "B&P 9842")}


# Days


@pytest.mark.parametrize(
    "day, months, later",
    [
        (date(2026, 11, 30), 3, date(2027, 2, 28)),
        (date(2026, 12, 31), 1, date(2027, 1, 31)),
        (date(2026, 10, 31), 1, date(2026, 11, 30)),
        (date(2026, 1, 31), 0, date(2026, 1, 31)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2026, 12, 1), 12, date(2027, 12, 1)),
    ],
)
def test_months_are_counted_to_the_same_day_or_the_months_last(day: date, months: int, later: date) -> None:
    # The corresponding date rule: common practice; days worked by hand.
    assert months_later(day, months) == later


@given(st.dates(date(1950, 1, 1), date(2100, 1, 1)), st.integers(0, 600))
def test_months_later_is_always_in_the_right_month(day: date, months: int) -> None:
    later = months_later(day, months)
    assert (later.year - day.year) * 12 + later.month - day.month == months
    assert later.day <= day.day


def test_the_warranty_on_a_repair_ends_so_many_days_after_it_went_home() -> None:
    # Common practice, no source: the day of handing back is not counted.
    assert warranty_until(date(2026, 11, 25), 90) == date(2027, 2, 23)
    assert warranty_until(date(2026, 11, 25), 0) == date(2026, 11, 25)


def test_only_a_law_with_lines_for_it_has_a_repair_information_form() -> None:
    """Directive (EU) 2024/1799, Art. 4 and Annex I: the European form; California asks for an estimate instead."""
    assert [key for key, one in PROFILES.items() if one.has_repair_form] == ["eu"]


@pytest.mark.parametrize(
    "key, country, paragraph",
    [
        ("eu", "DE", "Directive 2006/112/EC Art. 65"), ("uk", "GB", "VATA 1994 s. 6(4)"),
        ("general", "CH", "MWSTG Art. 40(1)(c)"), ("general", "JP", ""), ("california", "US", ""), ("none", "CH", ""),
    ],
)  # fmt: skip
def test_a_deposit_is_taxed_on_receipt_only_where_a_paragraph_says_so(
    key: str, country: str, paragraph: str
) -> None:
    """Each paragraph from memory; Japan and California: none was looked up."""
    assert PROFILES[key].deposits_taxed_by(country) == paragraph
