"""Signing in: wrong passwords cost time, and nobody is ever locked out.

That a device known from before is counted by itself follows OWASP's note on device cookies (from memory).
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from shop.frame import clock
from shop.frame.models import JournalEntry, Staff
from shop.frame.refusal import Refusal
from shop.keeping.night import Night
from shop.premises import actions
from shop.premises.models import SignInTry
from shop.premises.signing_in import DEVICE_COOKIE, forget_old_tries, wait_after
from tests.factories.premises import StaffFactory

pytestmark = pytest.mark.django_db

SIGN_IN = "/premises/sign-in/"
RIGHT = "four words in a row"


@pytest.fixture
def ottoline() -> Staff:
    staff = StaffFactory(username="ottoline", roles=["bench"])
    staff.set_password(RIGHT)
    staff.save()
    return staff


def knock(client: Client, password: str, name: str = "ottoline", **more: Any) -> Any:
    return client.post(SIGN_IN, {"username": name, "password": password}, **more)


def test_the_right_password_opens_the_door_that_was_asked_for(client: Client, ottoline: Staff) -> None:
    asked = client.get(reverse("premises:health"))
    assert asked["Location"] == f"{SIGN_IN}?next=/premises/health/"
    answer = client.post(
        asked["Location"], {"username": "ottoline", "password": RIGHT, "next": "/premises/health/"}
    )
    assert answer["Location"] == "/premises/health/"
    assert client.get("/premises/health/").status_code == 200


@pytest.mark.parametrize(
    "elsewhere", ["https://evil.example/", "//evil.example", "javascript:alert(1)", "\\\\evil"]
)
def test_signing_in_never_leads_out_of_the_house(client: Client, ottoline: Staff, elsewhere: str) -> None:
    answer = client.post(SIGN_IN, {"username": "ottoline", "password": RIGHT, "next": elsewhere})
    assert answer.status_code == 302
    assert "evil" not in answer["Location"]
    assert "javascript" not in answer["Location"]


def test_signing_in_over_https_never_leads_on_to_http(client: Client, ottoline: Staff) -> None:
    typed = {"username": "ottoline", "password": RIGHT, "next": "http://testserver/premises/health/"}
    assert client.post(SIGN_IN, typed, secure=True)["Location"] != typed["next"]


def test_a_wrong_password_is_told_nothing_about_the_name(client: Client, ottoline: Staff) -> None:
    known = knock(client, "wrong")
    unknown = knock(client, "wrong", name="nobody")
    assert known.status_code == unknown.status_code == 422
    assert known.context["form"].non_field_errors() == unknown.context["form"].non_field_errors()
    assert b"ottoline" in known.content
    assert b"wrong" not in known.content


def test_the_wait_grows_and_stops_growing() -> None:
    assert [wait_after(failures) for failures in range(12)] == [0, 0, 0, 2, 4, 8, 16, 32, 60, 60, 60, 60]
    assert wait_after(30_000) == 60


def test_wrong_passwords_make_the_next_try_wait_and_then_the_right_one_still_opens(
    client: Client, ottoline: Staff
) -> None:
    with time_machine.travel("2026-11-25T10:00:00Z", tick=False) as clock:
        for _ in range(2):
            assert b"can be made" not in knock(client, "wrong").content
        assert b"The next try can be made in 2 seconds." in knock(client, "wrong").content
        early = knock(client, RIGHT)
        assert early.status_code == 429
        assert early["Retry-After"] == "2"
        assert b"Wait 2 seconds" in early.content
        clock.shift(dt.timedelta(seconds=1.2))
        assert knock(client, RIGHT)["Retry-After"] == "1"
        clock.shift(dt.timedelta(seconds=0.8))
        assert knock(client, RIGHT).status_code == 302
    # the name is forgiven; what the address owes stays, so that it can't be cleared by signing in oneself
    assert list(SignInTry.objects.values_list("failures", flat=True)) == [3]


def test_a_try_that_must_wait_is_not_counted(client: Client, ottoline: Staff) -> None:
    with time_machine.travel("2026-11-25T10:00:00Z", tick=False):
        for _ in range(40):
            knock(client, "wrong")
    assert max(SignInTry.objects.values_list("failures", flat=True)) == 3


def test_tries_that_come_at_once_are_counted_like_tries_in_a_row(
    client: Client, ottoline: Staff, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked_at = []

    def meanwhile(request: Any, **typed: str) -> None:
        # while this password is being looked at, the next one comes
        looked_at.append(typed["password"])
        if len(looked_at) < 10:
            knock(Client(), f"wrong {len(looked_at)}")

    monkeypatch.setattr("shop.premises.views.doors.authenticate", meanwhile)
    with time_machine.travel("2026-11-25T10:00:00Z", tick=False):
        knock(client, "wrong 0")
    assert looked_at == ["wrong 0", "wrong 1", "wrong 2"]


def test_however_often_somebody_tried_a_minute_later_the_owner_gets_in(
    client: Client, ottoline: Staff
) -> None:
    with time_machine.travel("2026-11-25T10:00:00Z", tick=False) as clock:
        for _ in range(60):
            knock(client, "wrong")
            clock.shift(dt.timedelta(seconds=61))
        assert knock(client, RIGHT).status_code == 302


def test_a_device_that_was_let_in_before_does_not_wait_for_a_strangers_tries(ottoline: Staff) -> None:
    tablet, stranger = Client(), Client()
    assert knock(tablet, RIGHT).status_code == 302
    tablet.post(reverse("premises:sign_out"))
    with time_machine.travel("2026-11-25T10:00:00Z", tick=False):
        for _ in range(4):
            knock(stranger, "wrong")
        assert knock(stranger, RIGHT).status_code == 429
    # a new cookie would be made out now; the one of this moment is checked against this clock
    assert knock(tablet, RIGHT).status_code == 302


def test_a_device_cookie_that_was_tampered_with_or_is_somebody_elses_counts_for_nothing(
    ottoline: Staff,
) -> None:
    StaffFactory(username="pell").set_password(RIGHT)
    tablet = Client()
    knock(tablet, RIGHT)
    good = tablet.cookies[DEVICE_COOKIE].value
    for cookie, name in ((good[:-2] + "xx", "ottoline"), ("nonsense", "ottoline"), (good, "pell")):
        SignInTry.objects.all().delete()
        client = Client()
        client.cookies[DEVICE_COOKIE] = cookie
        knock(client, "wrong", name=name)
        assert SignInTry.objects.count() == 2  # by name and address, and by address: as any stranger


def test_one_address_that_tries_many_names_waits_too(client: Client) -> None:
    with time_machine.travel("2026-11-25T10:00:00Z", tick=False):
        answers = [knock(client, "wrong", name=f"name{n}").status_code for n in range(22)]
    assert answers[:20] == [422] * 20
    assert answers[20:] == [429] * 2


def test_the_network_half_of_an_ipv6_address_counts(client: Client, ottoline: Staff) -> None:
    with time_machine.travel("2026-11-25T10:00:00Z", tick=False):
        for n in range(3):
            knock(client, "wrong", REMOTE_ADDR=f"2001:db8:0:1::{n + 1}")
        assert knock(client, "wrong", REMOTE_ADDR="2001:db8:0:1::99").status_code == 429
        assert knock(client, "wrong", REMOTE_ADDR="2001:db8:0:2::99").status_code == 422


def test_tries_are_kept_without_names_and_forgotten_after_a_day(client: Client, ottoline: Staff) -> None:
    knock(client, "wrong")
    assert all(
        len(key) == 64 and "ottoline" not in key for key in SignInTry.objects.values_list("key", flat=True)
    )
    with time_machine.travel(dt.datetime.now(dt.UTC) + dt.timedelta(days=1, minutes=1)):
        forget_old_tries(Night(clock.now()))
    assert not SignInTry.objects.exists()


@pytest.mark.parametrize(
    "data", [{}, {"username": "ottoline"}, {"password": "x"}, {"username": "x" * 200, "password": "y"}]
)
def test_half_a_form_is_answered_with_what_is_missing(client: Client, data: dict[str, str]) -> None:
    answer = client.post(SIGN_IN, data)
    assert answer.status_code == 422
    assert answer.context["form"].errors
    assert not SignInTry.objects.exists()


def test_signing_out_needs_a_button_not_a_link(client: Client, ottoline: Staff) -> None:
    client.force_login(ottoline)
    assert client.get(reverse("premises:sign_out")).status_code == 405
    assert client.post(reverse("premises:sign_out")).status_code == 302
    assert client.get(reverse("premises:health")).status_code == 302


# --- one's own password ---------------------------------------------------------------------------------------


def change(client: Client, old: str, new: str, again: str | None = None) -> Any:
    return client.post(reverse("premises:password"), {"old": old, "password": new, "again": again or new})


def test_a_new_password_holds_at_once_and_signs_other_devices_out(ottoline: Staff) -> None:
    here, elsewhere = Client(), Client()
    here.force_login(ottoline)
    elsewhere.force_login(ottoline)
    assert change(here, RIGHT, "quite another five words").status_code == 303
    assert here.get(reverse("premises:password")).status_code == 200
    assert elsewhere.get(reverse("premises:password")).status_code == 302
    ottoline.refresh_from_db()
    assert ottoline.check_password("quite another five words")
    assert JournalEntry.objects.get().verb == "staff.password_changed"


@pytest.mark.parametrize(
    "old, new, again, field",
    [
        ("not it", "quite another five words", None, "old"),
        (RIGHT, "quite another five words", "quite another six words", "again"),
        (RIGHT, "short", None, "password"),
        (RIGHT, "password123", None, "password"),
        (RIGHT, "20261125202611", None, "password"),
        (RIGHT, "x" * 2000, None, "password"),
    ],
)
def test_a_password_that_will_not_do_changes_nothing(
    client: Client, ottoline: Staff, old: str, new: str, again: str | None, field: str
) -> None:
    client.force_login(ottoline)
    answer = change(client, old, new, again)
    assert answer.status_code == 422
    assert len(answer.context["form"].errors[field]) == 1
    ottoline.refresh_from_db()
    assert ottoline.check_password(RIGHT)
    assert not JournalEntry.objects.exists()


def test_guessing_the_password_from_a_tablet_that_was_left_alone_makes_the_next_guess_wait(
    client: Client, ottoline: Staff
) -> None:
    client.force_login(ottoline)
    with time_machine.travel("2026-11-25T10:00:00Z", tick=False) as clock:
        for _ in range(3):
            assert "not your password" in str(
                change(client, "a guess", "quite another five words").context["form"].errors["old"]
            )
        early = change(client, RIGHT, "quite another five words")
        assert "Wait 2 seconds" in str(early.context["form"].errors["old"])
        clock.shift(2)
        assert change(client, RIGHT, "quite another five words").status_code == 303
    assert not SignInTry.objects.exists()


@pytest.mark.parametrize("roles", [[], ()])
def test_nobody_has_an_account_without_a_place_to_work_at(ottoline: Staff, roles: Any) -> None:
    """Doors that are open to everybody who works here are open to every account."""
    with pytest.raises(Refusal, match="at least one place"):
        actions.add_staff(username="pell", password=RIGHT, roles=roles, by=ottoline)
    assert Staff.objects.count() == 1
