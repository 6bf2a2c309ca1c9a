"""The first run of the real shop: one page, once, with the code from the terminal."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.test import Client

from shop.frame import numbers, spelling
from shop.frame.customs import writing_in
from shop.frame.journal import verify
from shop.frame.models import JournalEntry, NumberSeries, Role, ShopProfile, Staff
from shop.frame.refusal import Refusal
from shop.opening import code, country
from shop.opening.actions import open_shop
from shop.opening.forms import OpeningForm, first_guess
from shop.opening.queries import is_open, owners
from shop.premises.zones import zones_of

pytestmark = pytest.mark.django_db

TYPED = {
    "name": "Night Bench Repairs",
    "address": "4 Ferry Lane\nNorth Haven",
    "country": "gb",
    "phone": "01632 960123",
    "email": "bench@night.example",
    "currency": "GBP",
    "language": "en-GB",
    "time_zone": "Europe/London",
    "paper_size": "A4",
    "measures": "metric",
    "line_voltage": "230",
    "line_frequency": "50",
    "law_profile": "uk",
    "warranty_days": "90",
    "payment_days": "14",
    "full_name": "Ada Marie Quill",
    "username": "ada",
    "password": "solder-and-patience",
    "again": "solder-and-patience",
    "next_job": "418",
    "next_invoice": "1007",
    "next_credit_note": "12",
}


@pytest.fixture
def address() -> Iterator[str]:
    """The page's address as the terminal prints it; the code is spent afterwards."""
    yield f"/opening/{code.code()}/"
    code.spend()


def test_the_page_opens_the_shop_and_signs_its_owner_in(client: Client, address: str) -> None:
    assert client.get(address).status_code == 200
    response = client.post(address, TYPED)
    assert response.status_code == 302
    shop = ShopProfile.objects.get()
    assert (shop.name, shop.country, shop.currency) == ("Night Bench Repairs", "GB", "GBP")
    assert shop.owner_name == "Ada Marie Quill"
    owner = Staff.objects.get()
    assert owner.has_role(Role.OWNER)
    assert owner.get_full_name() == "Ada Marie Quill"
    assert owner.check_password("solder-and-patience")
    assert client.session["_auth_user_id"] == str(owner.pk)


def test_the_numbers_go_on_where_the_shops_own_book_stopped(client: Client, address: str) -> None:
    client.post(address, TYPED)
    values = dict(NumberSeries.objects.values_list("name", "next_value"))
    assert values == {"job": 418, "invoice": 1007, "credit_note": 12}
    assert numbers.take("job", NumberSeries.objects.get(name="job").year) == 418


def test_the_opening_stands_in_the_journal(client: Client, address: str) -> None:
    client.post(address, TYPED)
    verbs = list(JournalEntry.objects.values_list("verb", flat=True).order_by("sequence"))
    assert verbs.count("shop.numbers_set") == 3
    assert {"staff.appointed", "shop.opened"} <= set(verbs)
    assert JournalEntry.objects.values("act").distinct().count() == 1
    assert verify() == []


def test_the_address_works_once(client: Client, address: str) -> None:
    client.post(address, TYPED)
    assert Client().get(address).status_code == 404
    assert Client().post(address, TYPED).status_code == 404
    assert ShopProfile.objects.count() == 1
    # spent, and not made anew by whoever asks again
    assert not (Path(settings.SHOP_DATA) / "opening-code").exists()


def test_a_shop_that_is_open_is_not_opened_with_another_code(client: Client, address: str) -> None:
    client.post(address, TYPED)
    another = f"/opening/{code.code()}/"
    assert Client().get(another).status_code == 404
    assert Client().post(another, {**TYPED, "username": "mallory"}).status_code == 404
    assert not Staff.objects.filter(username="mallory").exists()


def test_a_guessed_address_opens_nothing(client: Client, address: str) -> None:
    assert client.get("/opening/guessed/").status_code == 404
    assert client.post("/opening/guessed/", TYPED).status_code == 404
    assert not is_open()


@pytest.mark.parametrize(
    "field, typed, sentence",
    [
        ("name", "", "Name of the shop is missing."),
        ("country", "XX", "That is no country’s two-letter code"),
        ("currency", "ABC", "Choose one of those that are offered."),
        ("language", "qq-QQ", "That is no language tag we know"),
        ("time_zone", "Mars/Olympus", "That is no time zone’s name"),
        ("line_voltage", "1e309", "Write a whole number from 90 to 480."),
        ("line_voltage", "0", "Write a whole number from 90 to 480."),
        ("again", "something-else", "The two passwords differ"),
        ("next_invoice", "0", "Write a whole number from 1 to 9,999,999."),
        ("next_job", "99999999999", "Write a whole number from 1 to 9,999,999."),
        ("username", "a b?", "Enter a valid username"),
        ("address", "x" * 61, "up to 60 characters fit"),
    ],
)
def test_a_wrong_entry_gets_a_sentence_and_keeps_the_rest(
    client: Client, address: str, field: str, typed: str, sentence: str
) -> None:
    response = client.post(address, {**TYPED, field: typed})
    page = response.content.decode()
    assert response.status_code == 422
    assert sentence in page
    assert "4 Ferry Lane" in page or field == "address"
    assert "solder-and-patience" not in page
    assert not Staff.objects.exists()
    assert not ShopProfile.objects.exists()
    assert not NumberSeries.objects.exists()


def test_a_password_that_is_easily_guessed_is_refused(client: Client, address: str) -> None:
    response = client.post(address, {**TYPED, "password": "password12", "again": "password12"})
    assert response.status_code == 422
    assert "too common" in response.content.decode()


def opening_facts() -> dict[str, Any]:
    return {
        "profile": {"name": "X"},
        "username": "a",
        "password": "b",
        "next_numbers": {"job": 1},
    }


def test_an_open_shop_is_not_opened_again() -> None:
    open_shop(**opening_facts())
    with pytest.raises(Refusal, match="open already"):
        open_shop(**opening_facts())
    assert Staff.objects.count() == 1


def test_owners_are_told_from_others() -> None:
    owner = open_shop(**opening_facts())
    Staff.objects.create_user("helping-hand")
    assert list(owners()) == [owner]


def test_the_code_lies_in_the_shops_folder_until_it_is_spent() -> None:
    first = code.code()
    assert code.code() == first
    assert code.fits(first)
    assert not code.fits("")
    code.spend()
    assert not (Path(settings.SHOP_DATA) / "opening-code").exists()
    assert not code.fits(first)


@pytest.mark.parametrize(
    "place, currency, paper, volts, hertz, law",
    [
        ("US", "USD", "Letter", 120, 60, "us"),
        ("GB", "GBP", "A4", 230, 50, "uk"),
        ("DE", "EUR", "A4", 230, 50, "eu"),
        ("JP", "JPY", "A4", 100, 50, "general"),
        ("CA", "CAD", "Letter", 120, 60, "general"),
        ("BG", "EUR", "A4", 230, 50, "eu"),
    ],
)
def test_a_country_brings_what_is_usual_there(
    place: str, currency: str, paper: str, volts: int, hertz: int, law: str
) -> None:
    """Currencies: CLDR by way of Babel; the rest from memory, as the module says."""
    customs = country.customs_of(place, dt.date(2026, 5, 1))
    assert (customs.currency, customs.paper_size) == (currency, paper)
    assert (customs.line_voltage, customs.line_frequency, customs.law_profile) == (volts, hertz, law)


@pytest.mark.parametrize(
    "lang, place", [("de_AT.UTF-8", "AT"), ("en_GB", "GB"), ("C.UTF-8", "US"), ("", "US"), ("en", "US")]
)
def test_the_machines_language_names_its_country(
    monkeypatch: pytest.MonkeyPatch, lang: str, place: str
) -> None:
    monkeypatch.delenv("LC_ALL", raising=False)
    monkeypatch.setenv("LANG", lang)
    monkeypatch.setattr("locale.getlocale", lambda: (None, None))
    assert country.country_of_this_machine() == place


def test_the_machines_zone_is_one_that_the_form_takes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TZ", ":Europe/Berlin")
    assert country.zone_of_this_machine() == "Europe/Berlin"


def test_the_country_that_is_chosen_fills_the_form_with_what_is_usual_there(
    client: Client, address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Currency, paper and zone of Germany: CLDR by way of Babel; 230 V 50 Hz: IEC 60038."""
    monkeypatch.setenv("TZ", "UTC")
    form = client.get(address, {"country": "DE"}).context["form"]
    begun = {name: form[name].value() for name in ("currency", "paper_size", "law_profile", "time_zone")}
    assert begun == {"currency": "EUR", "paper_size": "A4", "law_profile": "eu", "time_zone": "Europe/Berlin"}
    assert (form["country"].value(), form["language"].value(), form["line_voltage"].value()) == (
        "DE",
        "en-DE",
        230,
    )


def test_a_country_that_is_none_leaves_what_the_machine_says(client: Client, address: str) -> None:
    form = client.get(address, {"country": "ZZ"}).context["form"]
    assert form["country"].value() == country.country_of_this_machine()


@pytest.mark.parametrize("place, zone", [("GB", "Europe/London"), ("JP", "Asia/Tokyo"), ("US", "")])
def test_a_country_of_one_zone_names_it(monkeypatch: pytest.MonkeyPatch, place: str, zone: str) -> None:
    """Zones: the IANA's database by way of CLDR."""
    monkeypatch.setenv("TZ", "UTC")
    assert country.zone_in(place) == zone


def test_every_country_opens_with_its_prefilled_language_currency_and_a_zone(
    client: Client, address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Countries, currencies and zones: CLDR by way of Babel; 254 places have one."""
    monkeypatch.setenv("TZ", "UTC")
    places = [code for code, _ in country.country_names()]
    assert len(places) == 254
    for place in places:
        begun = first_guess(place)
        zone = begun["time_zone"] or zones_of(place)[0]
        typed = {**TYPED, **begun, "name": "Night Bench", "address": "4 Ferry Lane", "time_zone": zone}
        form = OpeningForm(typed)
        assert form.is_valid(), (place, form.errors)
        assert spelling_of(begun["language"]), place


def spelling_of(language: object) -> str:
    """A sum as that language writes it."""
    with writing_in(str(language)):
        return spelling.money(123_456, "EUR")


def test_a_shop_of_the_states_chooses_among_their_zones_and_not_utc(
    client: Client, address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The IANA's zones of the United States; the machine that serves stands in UTC."""
    monkeypatch.setenv("TZ", "UTC")
    form = client.get(address, {"country": "US"}).context["form"]
    assert form["time_zone"].value() == ""
    (_, own) = form.fields["time_zone"].choices[1]
    assert {"America/Los_Angeles", "America/New_York", "Pacific/Honolulu"} <= {name for name, _ in own}
    assert not any(name.startswith("Europe/") for name, _ in own)
    answer = client.post(address, {**TYPED, "country": "US", "time_zone": ""})
    assert "Choose the time zone of the shop." in answer.content.decode()
    monkeypatch.setenv("TZ", "America/Denver")
    form = client.get(address, {"country": "US"}).context["form"]
    assert form.fields["time_zone"].choices[1][1][0][0] == form["time_zone"].value() == "America/Denver"
