"""How sums, times and quantities are written. The locales' own ways are Unicode CLDR's, through Babel, which the shop also
uses: those checks hold the wiring, not the data. Expected texts were read in CLDR's charts (from memory)."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from decimal import Decimal
from typing import Any

import pytest
from django.template import Context, Template
from django.test import RequestFactory

from shop.frame import clock, places, spelling
from shop.frame.clock import zone_of
from shop.frame.customs import locale, locale_of, writing_in
from shop.frame.formwork import SumField
from shop.handbook.money import Money, UnitPrice
from tests.factories.premises import ShopProfileFactory

NOON = dt.datetime(2026, 11, 25, 14, 5, tzinfo=dt.UTC)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "language, dollars, euros, plain, day",
    [
        ("en-US", "$1,234.50", "€1,234.50", "1,234.50", "November 25, 2026"),
        ("en-GB", "US$1,234.50", "€1,234.50", "1,234.50", "25 November 2026"),
        ("de-DE", "1.234,50\xa0$", "1.234,50\xa0€", "1.234,50", "25. November 2026"),
        ("fr-FR", "1\xa0234,50\xa0$US", "1\xa0234,50\xa0€", "1\xa0234,50", "25 novembre 2026"),
        ("no such language", "$1,234.50", "€1,234.50", "1,234.50", "November 25, 2026"),
    ],
)
def test_sums_and_days_follow_the_customs_in_force(
    language: str, dollars: str, euros: str, plain: str, day: str
) -> None:
    with writing_in(language):
        assert spelling.money(123450, "USD") == dollars
        assert spelling.money(Money(123450, "EUR")) == euros
        assert spelling.amount(Money(123450, "USD")) == plain
        assert spelling.day(NOON) == spelling.day(NOON.date()) == day
    assert locale().language == "en"


@pytest.mark.parametrize("value, text", [
    (Money(-5, "JPY"), "-¥5"),
    (Money(1234567, "BHD"), "BHD\xa01,234.567"),
    (UnitPrice(123456, "USD"), "$12.3456"),
    (UnitPrice(123400, "USD"), "$12.34"),
    (Money(0, "USD"), "$0.00"),
    (None, ""),
    ("", ""),
])  # fmt: skip
def test_every_digit_of_a_sum_is_written_and_no_more(value: Any, text: str) -> None:
    assert spelling.money(value) == text


@pytest.mark.parametrize("seconds, text", [
    (0, "0 min"), (29, "0 min"), (30, "1 min"), (2400, "40 min"), (3600, "1 h"), (5100, "1 h 25 min"), (3599, "1 h"),
    (90061, "25 h 01 min"), (dt.timedelta(minutes=90), "1 h 30 min"), (None, ""),
])  # fmt: skip
def test_bench_time_in_hours_and_minutes(seconds: Any, text: str) -> None:
    assert spelling.hours(seconds) == text


@pytest.mark.parametrize(
    "thousandths, text",
    [(2000, "2"), (500, "0.5"), (1, "0.001"), (1250000, "1,250"), (-1500, "-1.5"), (None, "")],
)
def test_quantities_without_idle_zeros(thousandths: Any, text: str) -> None:
    assert spelling.quantity(thousandths) == text


@pytest.mark.parametrize("value, unit, text", [
    (Decimal("0.0000047"), "F", "4.7 µF"), (Decimal(12600), "Ω", "12.6 kΩ"), ("0.47", "Ω", "470 mΩ"),
    ("OL", "Ω", "OL"), (Decimal("Infinity"), "Ω", "Infinity"), (None, "V", ""),
])  # fmt: skip
def test_measured_values_with_their_prefix(value: Any, unit: str, text: str) -> None:
    assert spelling.engineering(value, unit) == text


@pytest.mark.parametrize("before, text", [
    (dt.timedelta(seconds=59), "just now"), (dt.timedelta(minutes=40), "40 min"), (dt.timedelta(hours=5, minutes=59), "5 h"),
    (dt.timedelta(days=1), "1 day"), (dt.timedelta(days=13), "13 days"), (dt.timedelta(days=14), "2 weeks"),
    (dt.timedelta(days=60), "8 weeks"), (dt.timedelta(days=61), "2 months"), (dt.timedelta(days=730), "24 months"),
    (dt.timedelta(days=731), "2 years"), (dt.timedelta(days=3653), "10 years"), (dt.timedelta(hours=-3), "just now"),
])  # fmt: skip
def test_how_long_it_has_been_in_one_plain_unit(before: dt.timedelta, text: str) -> None:
    assert spelling.since(NOON - before, NOON) == text
    assert spelling.ago(NOON - before, NOON) == (text if text == "just now" else f"{text} ago")


@pytest.mark.parametrize(
    "size, text",
    [
        (0, "0 bytes"),
        (999, "999 bytes"),
        (1000, "1.0 kB"),
        (350_000, "350 kB"),
        (999_700, "1.0 MB"),
        (2_400_000, "2.4 MB"),
        (7 * 10**12, "7000 GB"),
    ],
)
def test_sizes_of_files(size: int, text: str) -> None:
    assert spelling.file_size(size) == text


@pytest.mark.django_db
def test_times_of_day_stand_in_the_shops_zone_with_spaces_that_fonts_have() -> None:
    assert spelling.moment(NOON) == "Nov 25, 2026, 2:05\xa0PM"
    assert spelling.weekday(NOON) == "Wed, Nov 25"
    ShopProfileFactory(time_zone="Pacific/Auckland")
    assert spelling.moment(NOON) == "Nov 26, 2026, 3:05\xa0AM"
    assert spelling.weekday(NOON) == "Thu, Nov 26"
    with writing_in("en-GB"):
        assert spelling.weekday(NOON.date()) == "Wed 25 Nov"


def test_unknown_zones_and_languages_do_not_stop_the_shop() -> None:
    assert str(zone_of("Mars/Olympus")) == "UTC"
    assert str(zone_of("../../etc/passwd")) == "UTC"
    assert locale_of("").language == "en"


def test_templates_write_the_same_way() -> None:
    text = (
        "{% load house %}{{ 123450|money:'USD' }} {{ 5100|hours }} {{ 2500|quantity }} "
        "{{ v|engineering:'V' }} {{ none|money:'USD' }}"
    )
    assert (
        Template(text).render(Context({"v": Decimal("0.0125"), "none": None}))
        == "$1,234.50 1 h 25 min 2.5 12.5 mV "
    )


def test_a_place_in_a_page_is_filled_by_the_rooms_above_in_their_order(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(places, "_fillers", defaultdict(list))
    places.fill("beside", lambda request, unit: f"<i>{unit}</i>", order=20)
    places.fill("beside", lambda request, unit: f"<b>{request.path}</b>", order=10)
    page = Template('{% load house %}{% place "beside" unit=7 %}{% place "empty" %}')
    assert page.render(Context({"request": RequestFactory().get("/x/")})) == "<b>/x/</b><i>7</i>"


@pytest.mark.parametrize("language, price, large, rate, weight, month", [
    ("en-US", "45.00", "1234.50", "9.5 %", "12.4", "November 2026"),
    ("de-DE", "45,00", "1234,50", "9,5 %", "12,4", "November 2026"),
    ("fr-FR", "45,00", "1234,50", "9,5 %", "12,4", "novembre 2026"),
])  # fmt: skip
def test_what_stands_in_a_box_is_what_one_would_type_there(
    language: str, price: str, large: str, rate: str, weight: str, month: str
) -> None:
    with writing_in(language):
        assert spelling.typed(UnitPrice(450_000, "EUR")) == price
        assert spelling.typed(Money(123450, "EUR")) == large
        assert Money.parse(large, "EUR", spelling.decimal_mark()) == Money(123450, "EUR")
        assert spelling.percent(Decimal("9.500")) == rate
        assert spelling.tenths(Decimal("12.35")) == weight
        assert spelling.tenths(Decimal("24.04")) == "24"
        assert spelling.month(NOON.date()) == month


@pytest.mark.parametrize(
    "language, shown, grouped", [("en-US", "1234.50", "1,234"), ("de-DE", "1234,50", "1.234")]
)
@pytest.mark.django_db
def test_a_sum_is_shown_in_its_box_as_it_is_typed_here_and_read_back(
    language: str, shown: str, grouped: str
) -> None:
    ShopProfileFactory(language=language, currency="EUR")
    field = SumField()
    with writing_in(language):
        assert field.prepare_value(Money(123450, "EUR")) == shown
        assert field.clean(shown) == 123450
        # what somebody typed is not put right under their hands
        assert field.prepare_value("1234.5") == "1234.5"
        assert field.clean("1234,5") == field.clean("1234.5") == 123450
        # a sum that would read two ways is read as people here write it
        assert field.clean(grouped) == 123400


@pytest.mark.parametrize(
    "written, american, british",
    [
        ("dated 4 March 1982, or later", "dated Mar 4, 1982, or later", "dated 4 Mar 1982, or later"),
        (
            "expired on 2026-03-01, 9 days ago",
            "expired on Mar 1, 2026, 9 days ago",
            "expired on 1 Mar 2026, 9 days ago",
        ),
        ("31 February 1982 is no day", "31 February 1982 is no day", "31 February 1982 is no day"),
    ],
)
def test_days_in_a_sentence_of_the_handbook_are_written_as_the_shop_writes_them(
    written: str, american: str, british: str
) -> None:
    with writing_in("en-US"):
        assert spelling.days_spelled(written) == american
    with writing_in("en-GB"):
        assert spelling.days_spelled(written) == british


@pytest.mark.django_db
def test_a_day_more_than_half_a_year_ahead_bears_its_year() -> None:
    today = clock.today()
    near, far = today + dt.timedelta(days=150), today + dt.timedelta(days=400)
    assert str(near.year) not in spelling.weekday(near)
    assert str(far.year) in spelling.weekday(far)
