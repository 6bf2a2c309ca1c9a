"""Signing in when somebody guesses from the same address or the clock ran ahead, and how long one stays signed in."""

from __future__ import annotations

import datetime as dt
import logging
from typing import Any

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse
from django_otp.oath import totp
from django_otp.plugins.otp_totp.models import TOTPDevice

from shop.frame.models import JournalEntry, Role, ShopProfile, Staff
from shop.front_door.security import LineFormatter
from shop.keeping.night import Night
from shop.premises import sessions
from shop.premises.models import SignInTry
from shop.premises.passwords import WordsOfTheHouse
from shop.premises.second_step import actions as second_step
from shop.premises.signing_in import (
    DEVICE_COOKIE,
    FREE_TRIES_AFTER_WAITING,
    MOST_NAMES,
    SLIP_COOKIE,
    forget_old_tries,
)
from tests.factories.premises import ShopProfileFactory, StaffFactory

pytestmark = pytest.mark.django_db

SIGN_IN = "/premises/sign-in/"
RIGHT = "four words in a row"
NOW = dt.datetime(2026, 11, 25, 10, tzinfo=dt.UTC)


def person(username: str, *roles: str) -> Staff:
    staff = StaffFactory(username=username, roles=roles or ["owner"])
    staff.set_password(RIGHT)
    staff.save()
    return staff


@pytest.fixture
def ottoline() -> Staff:
    ShopProfileFactory()
    return person("ottoline")


def knock(client: Client, password: str = RIGHT, name: str = "ottoline", **more: Any) -> Any:
    return client.post(SIGN_IN, {"username": name, "password": password, **more})


# --- a clock that ran ahead ---------------------------------------------------------------------------------------


def test_wrong_passwords_of_a_clock_that_ran_a_year_ahead_cost_a_minute(ottoline: Staff) -> None:
    with time_machine.travel(NOW + dt.timedelta(days=366), tick=False):
        for _ in range(30):
            knock(Client(), "wrong")
    with time_machine.travel(NOW, tick=False) as now:
        assert int(knock(Client()).get("Retry-After", "0")) <= 60
        now.shift(dt.timedelta(seconds=61))
        assert knock(Client()).status_code == 302


def test_the_night_forgets_what_a_clock_wrote_that_ran_ahead(ottoline: Staff) -> None:
    with time_machine.travel(NOW + dt.timedelta(days=366), tick=False):
        knock(Client(), "wrong")
    forget_old_tries(Night(NOW))
    assert not SignInTry.objects.exists()


def test_a_code_that_was_given_while_the_clock_ran_ahead_does_not_keep_out_those_of_today(
    ottoline: Staff,
) -> None:
    app = TOTPDevice.objects.create(user=ottoline, name="app", key="ab" * 20)
    with time_machine.travel(NOW + dt.timedelta(days=366), tick=False):
        assert second_step.give_code(staff=ottoline, code=f"{totp(app.bin_key):06}")
    with time_machine.travel(NOW, tick=False):
        code = f"{totp(app.bin_key):06}"
        assert second_step.give_code(staff=ottoline, code=code)
        assert not second_step.give_code(staff=ottoline, code=code)


# --- a guesser at the same address ---------------------------------------------------------------------------------


def test_an_owner_on_a_new_device_behind_a_guessers_address_is_let_in_within_a_minute(
    ottoline: Staff,
) -> None:
    new = Client()
    with time_machine.travel(NOW, tick=False) as now:
        for _ in range(600):
            knock(Client(), "a guess")
            now.shift(dt.timedelta(seconds=1))
        told = knock(new)
        assert told.status_code == 429
        for _ in range(int(told["Retry-After"])):
            # whenever somebody may try, the guesser has been there first
            knock(Client(), "a guess")
            now.shift(dt.timedelta(seconds=1))
            knock(Client(), "a guess")
        assert int(told["Retry-After"]) <= 60
        assert knock(new).status_code == 302


def test_a_purse_full_of_slips_is_no_way_round_the_wait(ottoline: Staff) -> None:
    with time_machine.travel(NOW, tick=False) as now:
        purse = [Client() for _ in range(FREE_TRIES_AFTER_WAITING + 40)]
        for client in purse:
            for _ in range(4):
                knock(client, "a guess")
        now.shift(dt.timedelta(seconds=60))
        looked_at = [knock(client, "a guess").status_code for client in purse]
        again = [knock(client, "a guess").status_code for client in purse]
    assert looked_at.count(422) <= FREE_TRIES_AFTER_WAITING + 2
    assert set(again) == {429}


@pytest.mark.parametrize("cookie", ["", "nonsense", "WzEsICJ4Il0:1abcde:AAAA"])
def test_a_slip_that_was_made_up_or_is_not_due_counts_for_nothing(ottoline: Staff, cookie: str) -> None:
    with time_machine.travel(NOW, tick=False):
        for _ in range(3):
            knock(Client(), "a guess")
        client = Client()
        client.cookies[SLIP_COOKIE] = cookie
        assert knock(client).status_code == 429
        # nor does a right one before its time
        assert knock(client).status_code == 429


# --- a device that several people use ------------------------------------------------------------------------------


def test_a_tablet_is_known_by_the_names_of_all_who_signed_in_there(ottoline: Staff) -> None:
    person("pell", "bench")
    tablet, stranger = Client(), Client()
    for name in ("ottoline", "pell"):
        assert knock(tablet, name=name).status_code == 302
        tablet.post(reverse("premises:sign_out"))
    with time_machine.travel(dt.datetime.now(dt.UTC) + dt.timedelta(minutes=1), tick=False):
        for name in ("ottoline", "pell"):
            for _ in range(4):
                knock(stranger, "wrong", name)
            assert knock(stranger, name=name).status_code == 429
            assert knock(tablet, name=name).status_code == 302
            tablet.post(reverse("premises:sign_out"))


def test_of_too_many_names_the_one_goes_that_was_not_there_for_longest(ottoline: Staff) -> None:
    tablet = Client()
    names = [person(f"helper{n}", "bench").username for n in range(MOST_NAMES)]
    for name in ["ottoline", *names]:
        knock(tablet, name=name)
        tablet.post(reverse("premises:sign_out"))
    assert len(tablet.cookies[DEVICE_COOKIE].value) < 1_000
    SignInTry.objects.all().delete()
    knock(tablet, "wrong")
    assert SignInTry.objects.count() == 2
    SignInTry.objects.all().delete()
    knock(tablet, "wrong", names[-1])
    assert SignInTry.objects.count() == 1


# --- where to go on ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "elsewhere",
    ["foo", "foo/bar", "records:first_screen", "//evil.example", "/\\evil.example", "javascript:1", "/\r\nX: y",
     "https:evil.example", "///evil.example", "/" + "x" * 5000, "http://testserver@evil.example/", "%0a", " "],
)  # fmt: skip
def test_an_address_that_is_none_of_ours_leads_to_the_first_screen(ottoline: Staff, elsewhere: str) -> None:
    client = Client()
    assert client.get(SIGN_IN, {"next": elsewhere}).status_code == 200
    answer = knock(client, next=elsewhere)
    assert (answer.status_code, answer["Location"]) == (302, "/")
    assert client.get(SIGN_IN, {"next": elsewhere})["Location"] == "/"
    assert client.post(reverse("premises:theme"), {"theme": "dark", "back": elsewhere})["Location"] == "/"


# --- one's own password, and who may make an owner -----------------------------------------------------------------


def test_ones_own_password_is_not_given_on_the_staff_page(ottoline: Staff) -> None:
    client = Client()
    client.force_login(ottoline)
    new = {"password": "quite another five words", "again": "quite another five words"}
    answer = client.post(reverse("premises:give_password", args=[ottoline.pk]), new)
    assert answer["Location"] == reverse("premises:password")
    ottoline.refresh_from_db()
    assert ottoline.check_password(RIGHT)
    assert (
        "Set this password" not in client.get(reverse("premises:member", args=[ottoline.pk])).content.decode()
    )


@pytest.mark.parametrize("own, status", [("", 422), ("wrong", 422), (RIGHT, 303)])
def test_whoever_makes_an_owner_or_takes_an_owners_account_over_gives_their_own_password(
    ottoline: Staff, own: str, status: int
) -> None:
    client = Client()
    client.force_login(ottoline)
    pell, other = person("pell", "bench"), person("quill", "owner")
    facts = {"last_name": "Pell", "roles": ["owner"], "own": own}
    new = {"password": "quite another five words", "again": "quite another five words", "own": own}
    made = client.post(reverse("premises:change_staff", args=[pell.pk]), facts)
    added = client.post(reverse("premises:add_staff"), {**facts, **new, "username": "newest"})
    given = client.post(reverse("premises:give_password", args=[other.pk]), new)
    assert [made.status_code, added.status_code, given.status_code] == [status] * 3
    if status == 422:
        assert all(answer.context["form"].errors["own"] for answer in (made, added))
    assert Staff.objects.get(pk=pell.pk).is_owner is (status == 303)
    assert Staff.objects.filter(username="newest").exists() is (status == 303)


def test_nobody_is_asked_for_a_password_to_change_what_makes_no_owner(ottoline: Staff) -> None:
    client = Client()
    client.force_login(ottoline)
    pell = person("pell", "bench")
    facts = {"last_name": "Pell", "roles": ["bench", "counter"]}
    assert client.post(reverse("premises:change_staff", args=[pell.pk]), facts).status_code == 303
    own = {"last_name": "Quill", "roles": ["owner"]}
    assert client.post(reverse("premises:change_staff", args=[ottoline.pk]), own).status_code == 303


@pytest.mark.parametrize(
    "password, is_taken",
    [
        *(
            ("Wintervale1975", False),
            ("MENDWRIGHT!!", False),
            ("repair-bench-2026", False),
            ("Wintervale Audio 1", False),
        ),
        *(
            ("four words in a row", True),
            ("the bench is green today", True),
            ("Wintervale heron swims at noon", True),
        ),
    ],
)
def test_the_shops_own_words_make_no_password(password: str, is_taken: bool) -> None:
    ShopProfileFactory(name="Wintervale Audio")
    try:
        WordsOfTheHouse().validate(password)
    except ValidationError:
        assert not is_taken
    else:
        assert is_taken


# --- sessions -----------------------------------------------------------------------------------------------------

INSIDE = "/premises/account/"
TABLET = "Mozilla/5.0 (Linux; Android 13) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/130.0 Safari/537.36"


def test_somebody_sees_where_they_are_signed_in_and_ends_one_or_all(ottoline: Staff) -> None:
    here, tablet, third = Client(), Client(headers={"user-agent": TABLET}), Client()
    for client in (here, tablet, third):
        knock(client)
    shown = here.get(INSIDE).content.decode()
    assert shown.count("Sign out there") == 2
    assert "Chrome on Android" in shown
    assert here.session.session_key not in shown
    assert tablet.session.session_key not in shown
    there = next(one for one in sessions.of(ottoline, here=None) if "Android" in one.device)
    here.post(reverse("premises:end_sessions"), {"which": there.name})
    assert [client.get(INSIDE).status_code for client in (here, tablet, third)] == [200, 302, 200]
    here.post(reverse("premises:end_sessions"), {"which": "all"})
    assert [client.get(INSIDE).status_code for client in (here, third)] == [200, 302]
    assert JournalEntry.objects.filter(verb="staff.sessions_ended").count() == 2


def test_nobody_ends_the_session_of_somebody_else(ottoline: Staff) -> None:
    pell, mine = Client(), Client()
    person("pell", "bench")
    knock(mine)
    knock(pell, name="pell")
    theirs = sessions.of(ottoline, here=None)[0].name
    pell.post(reverse("premises:end_sessions"), {"which": theirs})
    assert pell.post(reverse("premises:end_sessions_of", args=[ottoline.pk])).status_code == 403
    assert mine.get(INSIDE).status_code == 200


def test_an_owner_signs_somebody_out_everywhere(ottoline: Staff) -> None:
    pell, owner = Client(), Client()
    member = person("pell", "bench")
    knock(pell, name="pell")
    knock(owner)
    owner.post(reverse("premises:end_sessions_of", args=[member.pk]))
    assert pell.get(INSIDE).status_code == 302
    owner.post(reverse("premises:end_sessions_of", args=[ottoline.pk]))
    assert owner.get(INSIDE).status_code == 200


@pytest.mark.parametrize(
    "roles, hours", [(["bench"], 16), (["counter"], 3), (["bench", "counter"], 16), (["owner"], 2)]
)
def test_a_session_ends_after_the_hours_of_its_role(roles: list[str], hours: int) -> None:
    ShopProfileFactory(idle_hours_owner=2, idle_hours_counter=3, idle_hours_bench=16)
    person("pell", *roles)
    client = Client()
    with time_machine.travel(NOW, tick=False) as now:
        knock(client, name="pell")
        now.shift(dt.timedelta(hours=hours, minutes=-1))
        assert client.get(INSIDE).status_code == 200
        now.shift(dt.timedelta(hours=hours, minutes=-1))
        assert client.get(INSIDE).status_code == 200
        now.shift(dt.timedelta(hours=hours, minutes=6))
        assert client.get(INSIDE).status_code == 302


def test_no_session_lasts_longer_than_two_weeks(ottoline: Staff) -> None:
    client = Client()
    with time_machine.travel(NOW, tick=False) as now:
        knock(client)
        for _ in range(33):
            now.shift(dt.timedelta(hours=10))
            assert client.get(INSIDE).status_code == 200
        now.shift(dt.timedelta(hours=10))
        assert client.get(INSIDE).status_code == 302


def test_a_clock_that_was_put_back_ends_no_session_and_lengthens_none(ottoline: Staff) -> None:
    client = Client()
    with time_machine.travel(NOW + dt.timedelta(days=366), tick=False):
        knock(client)
    with time_machine.travel(NOW, tick=False) as now:
        assert client.get(INSIDE).status_code == 200
        now.shift(dt.timedelta(hours=15))
        assert client.get(INSIDE).status_code == 302


def test_the_bench_is_never_asked_more_often_than_twice_a_day(ottoline: Staff) -> None:
    client = Client()
    client.force_login(ottoline)
    rules = {"idle_hours_owner": 4, "idle_hours_counter": 4, "idle_hours_bench": 11, "kept_hours": 48}
    refused = client.post(reverse("premises:set_door_rules"), rules)
    assert refused.status_code == 422
    assert refused.context["door_form"].errors.keys() == {"idle_hours_bench"}
    assert (
        client.post(reverse("premises:set_door_rules"), {**rules, "idle_hours_bench": 12}).status_code == 303
    )
    assert ShopProfile.objects.get().idle_hours_bench == 12


# --- the second step, by role ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("role", ["counter", "bench"])
def test_the_second_step_can_be_required_of_each_role(ottoline: Staff, role: str) -> None:
    TOTPDevice.objects.create(user=ottoline, name="app", key="ab" * 20)
    second_step.require_of(Role(role), required=True, by=ottoline)
    person("pell", role)
    client = Client()
    knock(client, name="pell")
    assert client.get(INSIDE)["Location"] == reverse("premises:set_up_second_step")
    other = person("quill", "bench" if role == "counter" else "counter")
    client = Client()
    client.force_login(other)
    assert client.get(INSIDE).status_code == 200


# --- events --------------------------------------------------------------------------------------------------------


def test_what_happens_at_the_door_stands_in_the_log(ottoline: Staff, caplog: Any) -> None:
    client = Client()
    with caplog.at_level(logging.INFO, "shop.door"):
        for _ in range(4):
            knock(client, "a guess")
        knock(Client(), "x", name="correct horse battery")
    told = [record.getMessage() for record in caplog.records if record.name == "shop.door"]
    assert told[:3] == ["wrong password: ottoline, from 127.0.0.1"] * 3
    assert told[3].startswith("too many wrong passwords: a try 2 s early")
    # many a password was typed where the name belongs
    assert told[4] == "wrong password: no such name, from 127.0.0.1"


@pytest.mark.parametrize(
    "forged", ["a\nERROR shop: forged", "a\r\x1b[2Kb", "a\u2028b\u202ec", "a\x85b", "%0aERROR"]
)
def test_no_line_of_the_log_can_be_forged(forged: str) -> None:
    record = logging.LogRecord("shop.door", logging.WARNING, "", 1, "from %s", (forged,), None)
    record.exc_info = (ValueError, ValueError(forged), None)
    first, *trace = LineFormatter("{name}: {message}", style="{").format(record).split("\n")
    assert first.isprintable()
    assert len(first.splitlines()) == 1
    assert all(line.startswith("  | ") and line.isprintable() for line in trace)
