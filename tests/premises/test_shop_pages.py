"""The owner's pages: the profile, terms, numbers and staff; what is wrong gets one sentence and changes nothing."""

from __future__ import annotations

import datetime as dt
import html
import uuid
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from shop.frame import clock
from shop.frame.models import JournalEntry, NumberSeries, Role, ShopProfile, Staff
from shop.frame.refusal import Refusal
from shop.premises.actions import (
    ProfileFacts,
    add_staff,
    add_terms,
    change_profile,
    retire_staff,
    withdraw_terms,
)
from shop.premises.forms.people import DoorRulesForm
from shop.premises.forms.shop import ProfileForm
from shop.premises.models import Terms
from shop.premises.queries import terms_on
from shop.premises.second_step.actions import COLUMNS
from shop.press.letterhead import the_logo
from tests.factories.premises import StaffFactory
from tests.premises.test_pictures import picture, upload

pytestmark = pytest.mark.django_db

PASSWORD = "four words in a row"


@pytest.fixture
def owner() -> Staff:
    return StaffFactory(username="ottoline")


@pytest.fixture
def at_home(client: Client, owner: Staff, shop: ShopProfile) -> Client:
    """The owner's browser."""
    client.force_login(owner)
    return client


def typed(shop: ShopProfile, **changes: Any) -> dict[str, Any]:
    return {**ProfileForm.facts_of(shop), "once": str(uuid.uuid4()), **changes}


# --- profile --------------------------------------------------------------------------------------------------


def test_the_profile_is_changed_and_the_journal_names_the_fields_not_the_values(
    at_home: Client, shop: ShopProfile
) -> None:
    answer = at_home.post(reverse("premises:profile"), typed(shop, phone="(555) 555-0177", payment_days="30"))
    assert answer.status_code == 303
    shop.refresh_from_db()
    assert (shop.phone, shop.payment_days) == ("(555) 555-0177", 30)
    entry = JournalEntry.objects.get()
    assert (entry.verb, entry.data) == ("profile.changed", {"fields": ["payment_days", "phone"]})


def test_the_form_and_the_action_know_every_field_of_the_profile() -> None:
    at_the_door = {*DoorRulesForm.base_fields, *COLUMNS.values()} - {"once"}
    at_the_outbox = {"letters_wait"}
    changed_elsewhere = {"id", "updated_at", *at_the_door, *at_the_outbox}
    fields = {field.name for field in ShopProfile._meta.concrete_fields} - changed_elsewhere
    assert set(ProfileForm.base_fields) - {"once"} == fields
    assert set(ProfileFacts.__annotations__) == fields
    assert {name for _title, names in ProfileForm.groups for name in names} == fields


WRONG = {
    "name": ["", "   ", "x" * 121, "a\0b"],
    "address": ["", "\n".join("1234567"[n % 7] for n in range(9)), "x" * 61, "x" * 10_000_000],
    "country": ["", "Germany", "XQ", "D1", "..", "U"],
    "email": ["nobody", "a@b@c", "a b@shop.example"],
    "web_address": [
        "javascript:alert(1)",
        "ftp://shop.example",
        "not an address",
        "https://",
        "https://a:99999",
        "https://u:p@shop.example",
        "https://shop.example/?x=1",
        "https://-.example-",
        "https://shop.example/\u200b",
    ],
    "currency": ["", "XXX", "usd", "1e309"],
    "language": ["", "klingonese", "en_US_POSIX_long", "1"],
    "time_zone": ["", "Mars/Olympus", "../../etc/passwd", "GMT+25"],
    "paper_size": ["", "A3"],
    "measures": ["cubits"],
    "line_voltage": ["", "0", "-120", "9999", "1e309", "120V", "٣", "120.5"],
    "line_frequency": ["15", "sixty"],
    "law_profile": ["moon"],
    "warranty_days": ["-1", "1e9", "99999999999999999999"],
    "payment_days": ["-14", "400"],
    "phone": ["5" * 41],
    "tax_number": ["x" * 41],
}


@pytest.mark.parametrize(
    "field, value",
    [(field, value) for field, values in WRONG.items() for value in values],
    ids=lambda value: str(value)[:24],
)
def test_each_mistake_in_the_profile_gets_one_sentence_keeps_what_was_typed_and_changes_nothing(
    at_home: Client, shop: ShopProfile, field: str, value: str
) -> None:
    before = ShopProfile.objects.values().get()
    answer = at_home.post(
        reverse("premises:profile"), typed(shop, **{field: value, "owner_name": "Typed In Vain"})
    )
    assert answer.status_code == 422
    errors = answer.context["form"].errors
    assert list(errors) == [field]
    assert len(errors[field]) == 1
    page = answer.content.decode()
    assert html.escape(errors[field][0]) in page
    assert "Typed In Vain" in page
    assert ShopProfile.objects.values().get() == before
    assert not JournalEntry.objects.exists()


@pytest.mark.parametrize(
    "field, value, kept",
    [
        ("web_address", "halftone.example", "https://halftone.example"),
        ("web_address", "http://192.168.1.20:8000/", "http://192.168.1.20:8000"),
        ("web_address", "http://shop-pc:8000", "http://shop-pc:8000"),
        ("web_address", "http://[2001:db8::7]:8000/shop/", "http://[2001:db8::7]:8000/shop"),
        ("web_address", "http://shop-pc.local:8000", "http://shop-pc.local:8000"),
        ("country", "de", "DE"),
        ("address", "  1 A Street \r\n\r\n Town  ", "1 A Street\nTown"),
        ("language", "en-GB", "en-GB"),
        ("time_zone", "Europe/Berlin", "Europe/Berlin"),
    ],
)
def test_what_is_clear_is_put_into_shape(
    at_home: Client, shop: ShopProfile, field: str, value: str, kept: str
) -> None:
    assert at_home.post(reverse("premises:profile"), typed(shop, **{field: value})).status_code == 303
    shop.refresh_from_db()
    assert getattr(shop, field) == kept


def test_the_same_form_sent_twice_is_taken_once(at_home: Client, shop: ShopProfile) -> None:
    form = typed(shop, phone="(555) 555-0177")
    assert at_home.post(reverse("premises:profile"), form).status_code == 303
    assert at_home.post(reverse("premises:profile"), {**form, "phone": "(555) 555-0199"}).status_code == 303
    shop.refresh_from_db()
    assert shop.phone == "(555) 555-0177"
    assert JournalEntry.objects.count() == 1


def test_whoever_is_no_owner_is_shown_their_own_account_instead(client: Client, shop: ShopProfile) -> None:
    client.force_login(StaffFactory(roles=["counter"]))
    assert client.get(reverse("premises:profile"))["Location"] == reverse("premises:password")
    assert client.post(reverse("premises:profile"), typed(shop, name="Mine now")).status_code == 302
    assert ShopProfile.objects.get().name == "Halftone Bench"


def test_the_logo_is_put_on_papers_and_taken_off_again(at_home: Client, shop: ShopProfile) -> None:
    at_home.post(reverse("premises:change_logo"), {"logo": upload(picture((600, 200)), "logo.jpg")})
    logo = the_logo()
    assert logo is not None
    assert (
        f"/premises/pictures/{logo.pk}/thumbnail/"
        in at_home.get(reverse("premises:profile")).content.decode()
    )
    at_home.post(reverse("premises:remove_logo"))
    assert the_logo() is None


@pytest.mark.parametrize(
    "sent, sentence", [({}, "Choose a picture first."), ({"logo": b"no picture"}, "is not a picture")]
)
def test_a_logo_that_is_none_is_refused_at_its_field(
    at_home: Client, shop: ShopProfile, sent: dict[str, bytes], sentence: str
) -> None:
    files = {name: upload(data, "logo.jpg") for name, data in sent.items()}
    answer = at_home.post(reverse("premises:change_logo"), files)
    assert answer.status_code == 422
    assert sentence in answer.context["logo_form"].errors["logo"][0]
    assert sentence in answer.content.decode()


def test_the_profiles_time_zone_and_ways_of_writing_hold_on_every_page(at_home: Client, owner: Staff) -> None:
    with time_machine.travel("2026-11-25T23:30:00Z", tick=False):
        change_profile(by=owner, time_zone="Europe/Berlin", language="de-DE", name="Werkstatt")
        page = at_home.get(reverse("premises:journal")).content.decode()
    assert "26.11.2026, 00:30" in page
    # the screens themselves speak English, and say so to screen readers
    assert '<html lang="en"' in page


def test_one_query_reads_the_profile_for_the_whole_page(
    at_home: Client, django_assert_max_num_queries: Any
) -> None:
    with django_assert_max_num_queries(24) as seen:
        at_home.get(reverse("premises:profile"))
    assert sum("frame_shopprofile" in query["sql"] for query in seen.captured_queries) == 1


# --- terms ----------------------------------------------------------------------------------------------------


def test_the_terms_of_any_day_can_be_told(owner: Staff) -> None:
    for day, text in ((1, "first"), (10, "second")):
        add_terms(from_date=dt.date(2026, 3, day), text=text, by=owner)
    assert terms_on(dt.date(2026, 2, 28)) is None
    assert [terms_on(dt.date(2026, 3, day)).text for day in (1, 9, 10, 31)] == [
        "first",
        "first",
        "second",
        "second",
    ]


def test_terms_that_hold_stay_and_terms_to_come_can_be_taken_back(at_home: Client, owner: Staff) -> None:
    today = clock.today()
    holding = add_terms(from_date=today, text="now", by=owner)
    coming = add_terms(from_date=today + dt.timedelta(days=9), text="later", by=owner)
    at_home.post(reverse("premises:withdraw_terms", args=[coming.pk]))
    at_home.post(reverse("premises:withdraw_terms", args=[holding.pk]))
    assert [terms.text for terms in Terms.objects.all()] == ["now"]
    with pytest.raises(Refusal, match="hold already"):
        withdraw_terms(terms=holding, by=owner)


@pytest.mark.parametrize("date, text, field", [
    ("2265-01-01", "x", "from_date"),
    ("1999-01-01", "x", "from_date"),
    ("2026-02-30", "x", "from_date"),
    ("yesterday", "x", "from_date"),
    ("", "x", "from_date"),
    ("today", "", "text"),
    ("today", "x" * 20_001, "text"),
])  # fmt: skip
def test_terms_that_will_not_do_get_one_sentence(at_home: Client, date: str, text: str, field: str) -> None:
    day = clock.today().isoformat() if date == "today" else date
    answer = at_home.post(reverse("premises:terms"), {"from_date": day, "text": text})
    assert answer.status_code == 422
    assert {name: len(errors) for name, errors in answer.context["form"].errors.items()} == {field: 1}
    assert not Terms.objects.exists()


def test_two_terms_from_one_day_are_one_too_many(at_home: Client) -> None:
    form = {"from_date": clock.today().isoformat(), "text": "We keep a unit ninety days."}
    assert at_home.post(reverse("premises:terms"), form).status_code == 303
    again = at_home.post(reverse("premises:terms"), form)
    assert again.status_code == 422
    assert "choose another day" in again.context["form"].errors["from_date"][0]


# --- numbers --------------------------------------------------------------------------------------------------


def test_a_series_is_set_ahead_on_its_page_and_refused_backwards(at_home: Client) -> None:
    year = clock.today().year
    NumberSeries.objects.create(name="invoice", year=year, next_value=13)
    form = {"series": "invoice", "year": year, "value": "57"}
    assert at_home.post(reverse("premises:set_number"), form).status_code == 303
    back = at_home.post(reverse("premises:set_number"), {**form, "value": "12"})
    assert back.status_code == 422
    assert "Number 56 is taken already" in html.unescape(back.content.decode())
    assert NumberSeries.objects.get().next_value == 57


@pytest.mark.parametrize("value", ["", "0", "-3", "1e309", "4k7x", "10000000", "12.5"])
def test_what_is_no_next_number_is_refused_and_kept(at_home: Client, value: str) -> None:
    year = clock.today().year
    NumberSeries.objects.create(name="invoice", year=year, next_value=13)
    answer = at_home.post(reverse("premises:set_number"), {"series": "invoice", "year": year, "value": value})
    assert answer.status_code == 422
    assert len(answer.context["refused"].errors["value"]) == 1
    assert f'value="{value}"' in answer.content.decode() or not value
    assert NumberSeries.objects.get().next_value == 13


# --- people ---------------------------------------------------------------------------------------------------

NEW = {
    "first_name": "Pell",
    "last_name": "Varga",
    "username": "pell",
    "employee_number": "07",
    "email": "",
    "roles": ["counter"],
    "password": PASSWORD,
    "again": PASSWORD,
}


def test_somebody_new_can_sign_in_and_do_their_work_and_nothing_else(at_home: Client) -> None:
    assert at_home.post(reverse("premises:add_staff"), NEW).status_code == 303
    pell = Staff.objects.get(username="pell")
    assert (pell.signature, pell.roles) == ("Pell Varga (07)", frozenset({"counter"}))
    door = Client()
    assert (
        door.post(reverse("premises:sign_in"), {"username": "pell", "password": PASSWORD}).status_code == 302
    )
    assert door.get(reverse("premises:outbox")).status_code == 200
    for closed in ("staff", "add_staff", "terms", "numbers", "journal"):
        assert door.get(reverse(f"premises:{closed}")).status_code == 403, closed


@pytest.mark.parametrize("changes, field", [
    ({"username": ""}, "username"),
    ({"username": "ottoline"}, "username"),
    ({"username": "OTTOLINE"}, "username"),
    ({"username": "two words"}, "username"),
    ({"roles": []}, "roles"),
    ({"roles": ["king"]}, "roles"),
    ({"email": "nobody"}, "email"),
    ({"last_name": ""}, "last_name"),
    ({"password": "short", "again": "short"}, "password"),
    ({"again": "four other words here"}, "again"),
])  # fmt: skip
def test_an_account_that_will_not_do_is_not_made(
    at_home: Client, changes: dict[str, Any], field: str
) -> None:
    answer = at_home.post(reverse("premises:add_staff"), {**NEW, **changes})
    assert answer.status_code == 422
    assert {name: len(errors) for name, errors in answer.context["form"].errors.items()} == {field: 1}
    assert Staff.objects.count() == 1
    assert PASSWORD not in answer.content.decode()


def test_closing_an_account_signs_out_and_keeps_the_name(at_home: Client, owner: Staff) -> None:
    pell = add_staff(username="pell", password=PASSWORD, roles=["bench"], last_name="Varga", by=owner)
    theirs = Client()
    theirs.force_login(pell)
    at_home.post(reverse("premises:retire_staff", args=[pell.pk]))
    assert theirs.get(reverse("premises:password")).status_code == 302
    assert "closed" in at_home.get(reverse("premises:staff")).content.decode()
    at_home.post(reverse("premises:bring_back_staff", args=[pell.pk]))
    assert Staff.objects.get(pk=pell.pk).is_active


def test_the_shop_never_loses_its_last_owner(at_home: Client, owner: Staff) -> None:
    at_home.post(reverse("premises:retire_staff", args=[owner.pk]))
    facts = {"first_name": "O", "last_name": "B", "employee_number": "", "email": "", "roles": ["bench"]}
    answer = at_home.post(reverse("premises:change_staff", args=[owner.pk]), facts)
    assert answer.status_code == 422
    assert "needs an owner" in answer.context["form"].errors["roles"][0]
    assert set(Staff.objects.get(pk=owner.pk).groups.values_list("name", flat=True)) == {Role.OWNER}
    add_staff(username="second", password=PASSWORD, roles=[Role.OWNER], last_name="S", by=owner)
    retire_staff(staff=owner, by=owner)
    assert list(Staff.objects.filter(is_active=True).values_list("username", flat=True)) == ["second"]


def test_a_new_password_from_the_owner_holds_and_signs_out(at_home: Client, owner: Staff) -> None:
    pell = add_staff(username="pell", password=PASSWORD, roles=["bench"], last_name="Varga", by=owner)
    theirs = Client()
    theirs.force_login(pell)
    new = "quite another five words"
    wrong = at_home.post(reverse("premises:give_password", args=[pell.pk]), {"password": new, "again": "no"})
    assert wrong.status_code == 422
    at_home.post(reverse("premises:give_password", args=[pell.pk]), {"password": new, "again": new})
    assert Staff.objects.get(pk=pell.pk).check_password(new)
    assert theirs.get(reverse("premises:password")).status_code == 302


# --- every page -----------------------------------------------------------------------------------------------

PAGES = ("profile", "terms", "numbers", "staff", "add_staff", "outbox", "journal", "health", "password")


@pytest.mark.parametrize("name", PAGES)
def test_every_page_stands_with_few_queries_and_nothing_inline(
    at_home: Client, django_assert_max_num_queries: Any, name: str
) -> None:
    with django_assert_max_num_queries(24):
        answer = at_home.get(reverse(f"premises:{name}"))
    page = answer.content.decode()
    assert answer.status_code == 200
    assert page.count("<h1") == 1
    assert " style=" not in page
    assert "<script>" not in page


@pytest.mark.parametrize(
    "name", ["change_logo", "remove_logo", "set_number", "verify_journal", "send_outbox", "sign_out"]
)
def test_what_changes_something_can_not_be_a_link(at_home: Client, name: str) -> None:
    assert at_home.get(reverse(f"premises:{name}")).status_code == 405


def test_health_tells_a_new_shop_what_is_still_missing(
    at_home: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = at_home.get(reverse("premises:health"))
    signs = {sign.title: sign for sign in page.context["signs"]}
    assert signs["The book"].state == signs["The journal"].state == signs["Papers"].state == "good"
    assert signs["The backup"].state == "bad"
    assert signs["The nightly check"].state == "near"
    monkeypatch.setattr("shop.press.libraries.missing_libraries", lambda: ["libpango-1.0-0"])
    assert "libpango-1.0-0" in at_home.get(reverse("premises:health")).content.decode()
