"""The second step at sign-in: a code from the phone after the password.

Sources: the six last digits of the eight-digit values in RFC 6238, appendix B (SHA-1), by RFC 4226, 5.3 (a shorter code is the
value modulo a smaller power of ten); that a code is taken once only, RFC 6238, 5.2.
"""

from __future__ import annotations

import datetime as dt
import json
import re
import zipfile
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, unquote, urlsplit

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django_otp.oath import totp
from django_otp.plugins.otp_static.models import StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from shop.frame.models import JournalEntry, Role, ShopProfile, Staff
from shop.frame.refusal import Refusal
from shop.premises.models import SignInTry
from shop.premises.second_step import actions
from shop.premises.second_step.queries import is_set_up, key_address, key_in_letters, spare_codes_left
from shop.premises.second_step.session import PATIENCE
from shop.premises.signing_in import DEVICE_COOKIE
from shop.records.taking_out.book import take_out
from tests.factories.premises import ShopProfileFactory, StaffFactory

pytestmark = pytest.mark.django_db

RIGHT = "four words in a row"
KEY = b"12345678901234567890"
"""The key of RFC 6238, appendix B."""
NOON = dt.datetime(2026, 11, 25, 12, tzinfo=dt.UTC)
SIGN_IN, CODE = "/premises/sign-in/", "/premises/sign-in/code/"
INSIDE = "/premises/account/"


@pytest.fixture
def ottoline() -> Staff:
    ShopProfileFactory()
    staff = StaffFactory(username="ottoline")
    staff.set_password(RIGHT)
    staff.save()
    return staff


@pytest.fixture
def spares(ottoline: Staff) -> list[str]:
    """Ottoline has set the second step up, a day ago."""
    with time_machine.travel(NOON - dt.timedelta(days=1), tick=False):
        return actions.set_up(staff=ottoline, key=KEY.hex(), code=now(), password=RIGHT)


def now(*, steps: int = 0) -> str:
    """What an app shows at this moment, or some steps of 30 seconds later."""
    return f"{totp(KEY, drift=steps):06}"


def wrong() -> str:
    """Six digits that no app shows now."""
    near = {now(steps=step) for step in range(-3, 4)}
    return next(code for code in ("000000", "111111", "222222", "333333", "444444") if code not in near)


def give_password(client: Client, **more: Any) -> Any:
    return client.post(SIGN_IN, {"username": "ottoline", "password": RIGHT, **more})


def give(client: Client, code: str) -> Any:
    return client.post(CODE, {"code": code})


def is_in(client: Client) -> bool:
    return client.get(INSIDE).status_code == 200


# --- at the door ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "moment, eight_digits",
    [
        (1111111109, "07081804"),
        (1111111111, "14050471"),
        (1234567890, "89005924"),
        (2000000000, "69279037"),
    ],
)
def test_the_codes_of_the_standard_open_at_their_moments(
    client: Client, ottoline: Staff, moment: int, eight_digits: str
) -> None:
    TOTPDevice.objects.create(user=ottoline, key=KEY.hex())
    with time_machine.travel(dt.datetime.fromtimestamp(moment, dt.UTC), tick=False):
        give_password(client)
        assert give(client, eight_digits[2:]).status_code == 302
        assert is_in(client)


def test_the_password_alone_opens_nothing(client: Client, ottoline: Staff, spares: list[str]) -> None:
    with time_machine.travel(NOON, tick=False):
        answer = give_password(client, next="/premises/staff/")
        assert answer["Location"] == CODE
        assert not is_in(client)
        assert DEVICE_COOKIE not in client.cookies
        assert give(client, f" {now()[:3]} {now()[3:]} ")["Location"] == "/premises/staff/"
        assert is_in(client)
        assert "half-in" not in client.session


def test_a_code_opens_once(ottoline: Staff, spares: list[str]) -> None:
    with time_machine.travel(NOON, tick=False) as clock:
        for code, opens in ((now(), True), (now(), False), (now(steps=-1), False), (now(steps=1), True)):
            client = Client()
            give_password(client)
            assert (give(client, code).status_code == 302) is opens
            clock.shift(4)


def test_the_code_of_the_minute_before_last_is_too_old(
    client: Client, ottoline: Staff, spares: list[str]
) -> None:
    with time_machine.travel(NOON, tick=False):
        give_password(client)
        assert give(client, now(steps=-2)).status_code == 422
        assert give(client, now(steps=-1)).status_code == 302


@pytest.mark.parametrize(
    "code", ["", "12345", "1234567", "abcdef", "12345678901", "\N{ARABIC-INDIC DIGIT ONE}" * 6]
)
def test_what_is_no_code_is_told_so_and_costs_no_try(
    client: Client, ottoline: Staff, spares: list[str], code: str
) -> None:
    give_password(client)
    for _ in range(5):
        answer = give(client, code)
        assert answer.status_code == 422
        assert len(answer.context["form"].errors["code"]) == 1


def test_wrong_codes_make_the_next_try_wait_up_to_a_quarter_of_an_hour(
    client: Client, ottoline: Staff, spares: list[str]
) -> None:
    with time_machine.travel(NOON, tick=False) as clock:
        give_password(client)
        for _ in range(3):
            assert give(client, wrong()).status_code == 422
        assert give(client, now())["Retry-After"] == "2"
        SignInTry.objects.filter(failures=3).update(failures=40)
        assert give(client, now())["Retry-After"] == "900"
        clock.shift(901)
        give_password(client)
        assert give(client, now()).status_code == 302
    assert not SignInTry.objects.exists()


def test_wrong_codes_from_other_addresses_count_together(ottoline: Staff, spares: list[str]) -> None:
    with time_machine.travel(NOON, tick=False):
        for number in range(3):
            client = Client(REMOTE_ADDR=f"192.0.2.{number + 1}")
            give_password(client)
            give(client, wrong())
        client = Client(REMOTE_ADDR="192.0.2.99")
        give_password(client)
        assert give(client, now()).status_code == 429


def test_a_device_that_was_let_in_before_does_not_wait_for_a_strangers_codes(
    ottoline: Staff, spares: list[str]
) -> None:
    tablet, stranger = Client(), Client()
    with time_machine.travel(NOON, tick=False) as clock:
        give_password(tablet)
        give(tablet, now())
        tablet.post(reverse("premises:sign_out"))
        clock.shift(60)
        for _ in range(4):
            give_password(stranger)
            give(stranger, wrong())
        give_password(tablet)
        assert give(tablet, now()).status_code == 302


def test_whoever_dawdles_gives_the_password_again(client: Client, ottoline: Staff, spares: list[str]) -> None:
    with time_machine.travel(NOON, tick=False) as clock:
        give_password(client)
        clock.shift(PATIENCE + 1)
        assert give(client, now())["Location"] == SIGN_IN
        assert not is_in(client)


def test_a_code_without_a_password_is_sent_back_to_the_door(
    client: Client, ottoline: Staff, spares: list[str]
) -> None:
    assert client.get(CODE)["Location"] == SIGN_IN
    assert give(client, now())["Location"] == SIGN_IN


@pytest.mark.parametrize("change", ["password", "closed"])
def test_a_password_changed_or_an_account_closed_in_between_ends_it(
    client: Client, ottoline: Staff, spares: list[str], change: str
) -> None:
    give_password(client)
    ottoline.refresh_from_db()
    ottoline.set_password("quite another five words")
    ottoline.is_active = change != "closed"
    ottoline.save()
    assert give(client, now())["Location"] == SIGN_IN


def test_a_session_planted_before_the_password_is_worth_nothing_after_it(
    client: Client, ottoline: Staff, spares: list[str]
) -> None:
    client.session.save()
    planted = client.session.session_key
    client.cookies["mendwright"] = planted
    give_password(client)
    assert client.cookies["mendwright"].value != planted


def test_a_spare_code_opens_once_and_the_journal_says_so(ottoline: Staff, spares: list[str]) -> None:
    for answer in (302, 422):
        client = Client()
        give_password(client)
        assert give(client, f"{spares[0][:5]} {spares[0][5:]}").status_code == answer
    assert spare_codes_left(ottoline) == 9
    assert JournalEntry.objects.filter(verb="staff.spare_code_used", staff=ottoline).count() == 1


def test_nobodys_spare_code_opens_somebody_elses_account(ottoline: Staff, spares: list[str]) -> None:
    pell = StaffFactory(username="pell")
    TOTPDevice.objects.create(user=pell, key=("f" * 40))
    assert not actions.give_code(staff=pell, code=spares[0])
    assert not actions.give_code(staff=pell, code=now())


# --- setting it up --------------------------------------------------------------------------------------------


def shown_key(client: Client) -> str:
    page = client.get(reverse("premises:set_up_second_step"))
    assert "no-store" in page["Cache-Control"]
    return str(client.session["second-step-key"])


def set_up(client: Client, code: str, password: str = RIGHT) -> Any:
    return client.post(reverse("premises:set_up_second_step"), {"code": code, "old": password})


def test_setting_up_shows_the_key_takes_a_code_and_tells_the_spare_codes_once(
    client: Client, ottoline: Staff
) -> None:
    client.force_login(ottoline)
    elsewhere = Client()
    elsewhere.force_login(ottoline)
    key = shown_key(client)
    assert shown_key(client) == key
    page = client.get(reverse("premises:set_up_second_step")).content.decode()
    assert re.findall(r'class="tape">(\w{4})<', page) == key_in_letters(key).split()
    assert "<svg" in page
    answer = set_up(client, f"{totp(bytes.fromhex(key)):06}")
    codes = [code.replace(" ", "") for code in re.findall(r"\b\d{5} \d{5}\b", answer.content.decode())]
    assert answer.status_code == 200
    assert sorted(codes) == sorted(StaticToken.objects.values_list("token", flat=True))
    assert len(set(codes)) == 10
    assert "no-store" in answer["Cache-Control"]
    assert is_in(client)
    assert not is_in(elsewhere)
    assert client.get(reverse("premises:set_up_second_step")).status_code == 302


@pytest.mark.parametrize("code, password, field", [("right", "not it", "old"), ("wrong", RIGHT, "code")])
def test_a_wrong_code_or_password_sets_nothing_up(
    client: Client, ottoline: Staff, code: str, password: str, field: str
) -> None:
    client.force_login(ottoline)
    key = bytes.fromhex(shown_key(client))
    shown = totp(key) if code == "right" else (totp(key) + 500_000) % 1_000_000
    answer = set_up(client, f"{shown:06}", password)
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [field]
    assert not TOTPDevice.objects.exists()
    assert not JournalEntry.objects.exists()


def test_the_key_in_the_qr_code_is_the_key_in_letters_under_the_shops_name(ottoline: Staff) -> None:
    """Base32 of the key of RFC 6238 (RFC 4648, section 6); the otpauth address as authenticator apps read it, from memory."""
    address = urlsplit(key_address(ottoline, KEY.hex()))
    facts = parse_qs(address.query)
    assert (address.scheme, address.netloc) == ("otpauth", "totp")
    assert unquote(address.path) == "/Halftone Bench:ottoline"
    assert facts == {
        "secret": ["GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ"],
        "issuer": ["Halftone Bench"],
        "digits": ["6"],
    }
    assert key_in_letters(KEY.hex()) == "GEZD GNBV GY3T QOJQ GEZD GNBV GY3T QOJQ"


def test_other_spare_codes_put_those_of_before_out_of_use(
    client: Client, ottoline: Staff, spares: list[str]
) -> None:
    client.force_login(Staff.objects.get(pk=ottoline.pk))
    assert client.post(reverse("premises:new_spare_codes"), {"old": "no"}).status_code == 422
    assert actions.give_code(staff=ottoline, code=spares[0])
    assert client.post(reverse("premises:new_spare_codes"), {"old": RIGHT}).status_code == 200
    assert spare_codes_left(ottoline) == 10
    assert not actions.give_code(staff=ottoline, code=spares[1])


def test_taking_it_off_needs_the_password(client: Client, ottoline: Staff, spares: list[str]) -> None:
    client.force_login(Staff.objects.get(pk=ottoline.pk))
    assert client.post(reverse("premises:drop_second_step"), {"old": "no"}).status_code == 422
    assert is_set_up(ottoline)
    assert client.post(reverse("premises:drop_second_step"), {"old": RIGHT}).status_code == 303
    assert not is_set_up(ottoline)
    assert spare_codes_left(ottoline) == 0
    door = Client()
    give_password(door)
    assert is_in(door)


# --- the lost phone -------------------------------------------------------------------------------------------


def test_another_owner_takes_it_off_and_the_journal_says_who(ottoline: Staff, spares: list[str]) -> None:
    other, counter = StaffFactory(username="pell"), StaffFactory(username="quorra", roles=[Role.COUNTER])
    client = Client()
    client.force_login(counter)
    address = reverse("premises:reset_second_step", args=[ottoline.pk])
    assert client.post(address).status_code == 403
    assert is_set_up(ottoline)
    client.force_login(other)
    assert client.post(address).status_code == 302
    assert not is_set_up(ottoline)
    entry = JournalEntry.objects.get(verb="staff.second_step_reset")
    assert (entry.staff, entry.subject_id) == (other, ottoline.pk)


def test_an_owner_does_not_take_off_their_own_without_the_password(
    client: Client, ottoline: Staff, spares: list[str]
) -> None:
    client.force_login(Staff.objects.get(pk=ottoline.pk))
    client.post(reverse("premises:reset_second_step", args=[ottoline.pk]))
    assert is_set_up(ottoline)


def test_the_machines_own_command_takes_it_off_too(ottoline: Staff, spares: list[str]) -> None:
    with pytest.raises(CommandError, match="Nobody signs in"):
        call_command("reset_second_step", "nobody")
    call_command("reset_second_step", "Ottoline")
    assert not is_set_up(ottoline)
    assert JournalEntry.objects.get(verb="staff.second_step_reset").staff is None
    with pytest.raises(CommandError, match="password alone already"):
        call_command("reset_second_step", "ottoline")


# --- required of owners -----------------------------------------------------------------------------------------


def test_an_owner_who_owes_it_can_do_nothing_but_set_it_up(ottoline: Staff, spares: list[str]) -> None:
    pell = StaffFactory(username="pell")
    pell.set_password(RIGHT)
    pell.save()
    actions.require_of(Role.OWNER, required=True, by=ottoline)
    client = Client()
    client.post(SIGN_IN, {"username": "pell", "password": RIGHT})
    set_up_page = reverse("premises:set_up_second_step")
    for address in ("/", "/premises/staff/", reverse("premises:second_step"), INSIDE):
        assert client.get(address)["Location"] == set_up_page
    assert client.post(reverse("premises:add_staff"), {}).status_code == 302
    assert b"requires it of you" in client.get(set_up_page).content
    assert set_up(client, f"{totp(bytes.fromhex(client.session['second-step-key'])):06}").status_code == 200
    assert is_in(client)
    assert client.post(reverse("premises:drop_second_step"), {"old": RIGHT}).status_code == 422
    assert is_set_up(pell)


def test_those_who_are_no_owners_are_not_asked(ottoline: Staff, spares: list[str]) -> None:
    actions.require_of(Role.OWNER, required=True, by=ottoline)
    client = Client()
    client.force_login(StaffFactory(roles=[Role.BENCH]))
    assert is_in(client)


def test_a_session_without_a_code_ends_where_the_owner_has_the_second_step(
    ottoline: Staff, spares: list[str]
) -> None:
    actions.require_of(Role.OWNER, required=True, by=ottoline)
    client = Client()
    client.force_login(Staff.objects.get(pk=ottoline.pk))
    assert client.get(INSIDE)["Location"] == SIGN_IN
    assert "_auth_user_id" not in client.session


def test_who_requires_it_goes_first(client: Client, ottoline: Staff) -> None:
    client.force_login(ottoline)
    client.post(reverse("premises:require_second_step"), {"required": "yes"})
    assert not ShopProfile.objects.get().owners_need_second_step
    with pytest.raises(Refusal, match="for yourself first"):
        actions.require_of(Role.OWNER, required=True, by=ottoline)


def test_the_page_of_the_staff_shows_who_has_it_and_requires_it_and_leaves_it_open_again(
    client: Client, ottoline: Staff, spares: list[str]
) -> None:
    with time_machine.travel(NOON, tick=False):
        give_password(client)
        give(client, now())
        assert b"two-step</span>" in client.get(reverse("premises:staff")).content
        for required in ("yes", "no"):
            client.post(reverse("premises:require_second_step"), {"required": required})
            assert ShopProfile.objects.get().owners_need_second_step is (required == "yes")
    entries = JournalEntry.objects.filter(verb__startswith="shop.second").order_by("sequence")
    assert [entry.verb for entry in entries] == ["shop.second_step_required", "shop.second_step_left_open"]


# --- what is kept of it ---------------------------------------------------------------------------------------


def test_neither_the_journal_nor_a_book_that_is_taken_out_holds_a_key_or_a_code(
    ottoline: Staff, spares: list[str], tmp_path: Path
) -> None:
    take_out(tmp_path / "book.zip", by=ottoline, with_passwords=True)
    with zipfile.ZipFile(tmp_path / "book.zip") as book:
        everything = b"".join(book.read(name) for name in book.namelist()).decode("utf-8", "replace")
    everything += json.dumps(list(JournalEntry.objects.values_list("data", flat=True)))
    assert "staff.second_step_set_up" in everything
    for secret in (KEY.hex(), key_in_letters(KEY.hex()).replace(" ", ""), *spares):
        assert secret not in everything
