"""Who may open which door: one table for the whole house. A door that is not in it, or is guarded otherwise, fails a test.

What a room's doors have in common stands in `ROOMS`; whatever differs is named in `OTHERWISE`.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.decorators import login_not_required
from django.test import Client
from django.urls import URLPattern

from shop.frame.doors import for_roles
from shop.frame.models import Role
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.house.demo_pages import every_door, some_address

pytestmark = pytest.mark.django_db

COUNTER, BENCH, OWNER = Role.COUNTER.value, Role.BENCH.value, Role.OWNER.value
Guard = frozenset[str]
STAFF: Guard = frozenset({"everybody who works here"})
PUBLIC: Guard = frozenset({"whoever comes along"})


def by(*roles: str) -> Guard:
    """Those roles, and owners."""
    return frozenset(roles)


ROOMS: dict[str, Guard] = {
    "premises": by(OWNER),
    "counter": by(COUNTER),
    "stockroom": by(COUNTER, BENCH),
    "bench": by(BENCH),
    "office": by(COUNTER),
    "dispatch": by(COUNTER, BENCH),
    "planner": by(COUNTER, BENCH),
    "window": by(COUNTER, BENCH),
    "records": by(OWNER),
}

OTHERWISE: dict[Guard, str] = {
    # the customer's page opens with the secret in its link, the opening page with the code from the terminal
    PUBLIC: """
        premises:sign_in premises:sign_in_code premises:sign_out opening:opening
        planner:feed records:healthz window:open window:answer window:say_word window:paper window:picture
        window:withdraw_contract
    """,
    # one's own account and light; what is kept, and what is known of a job, is for all who work here
    STAFF: """
        premises:theme premises:password premises:second_step premises:set_up_second_step premises:new_spare_codes
        premises:drop_second_step premises:profile premises:health premises:paper premises:picture premises:file
        premises:tasks premises:stop_task premises:try_task_again premises:note_told premises:end_sessions
        records:first_screen records:news_seen records:jobs records:job_card records:like_it records:models records:model
        records:across records:figures
        records:search records:save_search records:forget_search records:synonyms records:change_synonym
    """,
    by(COUNTER): """
        planner:reminders planner:send_reminder planner:leave_reminder
        premises:outbox premises:letter premises:send_outbox premises:try_again premises:set_aside
    """,
    by(COUNTER, BENCH): """
        counter:put_right counter:tag bench:tag office:preview_report
        records:note_comeback records:withdraw_comeback records:describe_model
    """,
    by(OWNER): """
        planner:keys planner:make_key planner:withdraw_key
        stockroom:prices stockroom:withdraw_price_rule
        office:figures office:figures_csv office:papers_zip office:rules office:rates office:flat_prices
        office:change_flat_price office:retire_flat_price office:taxes office:start_with office:end_rules
        dispatch:carriers dispatch:carrier dispatch:change_carrier dispatch:add_rule dispatch:withdraw_rule
    """,
}

EXPECTED: dict[str, Guard] = {name: guard for guard, names in OTHERWISE.items() for name in names.split()}
DOORS = dict(every_door())


def expected(name: str) -> Guard | None:
    return EXPECTED.get(name) or ROOMS.get(name.partition(":")[0])


def guard_of(view: Callable[..., Any]) -> Guard:
    if not getattr(view, "login_required", True):
        return PUBLIC
    return frozenset(getattr(view, "roles", STAFF))


def answer(client: Client, name: str) -> Any:
    """What a door says to a visitor who brings nothing: to a GET, or to a POST where it takes no GET."""
    address = some_address(name)
    found = client.get(address)
    return client.post(address) if found.status_code == 405 else found


def turned_away(found: Any) -> bool:
    """Whether the answer is a 403 or the way to the sign-in page."""
    return found.status_code == 403 or found.get("Location", "").startswith("/premises/sign-in/")


def test_every_door_is_guarded_as_the_table_says() -> None:
    wrong = {
        name: (sorted(guard_of(door.callback)), sorted(expected(name) or []))
        for name, door in DOORS.items()
        if guard_of(door.callback) != expected(name)
    }
    assert wrong == {}


def test_the_table_names_no_door_that_is_gone() -> None:
    assert EXPECTED.keys() - DOORS.keys() == set()
    assert len(DOORS) > 200


def test_a_door_without_a_guard_is_found_out() -> None:
    """The known-bad samples: what a new view looks like before anybody thought of who may open it."""

    def view(request: Any) -> None: ...

    assert guard_of(view) == STAFF != expected("stockroom:a_new_door")
    assert guard_of(login_not_required(view)) == PUBLIC != expected("records:a_new_door")
    assert expected("a_new_room:a_new_door") is None


def test_nobody_comes_in_without_signing_in(client: Client) -> None:
    inside = {}
    for name in DOORS:
        found = answer(client, name)
        if expected(name) != PUBLIC and found.get("Location", "").partition("?")[0] != "/premises/sign-in/":
            inside[name] = found.status_code
    assert inside == {}


@pytest.mark.parametrize("role", [None, COUNTER, BENCH])
def test_whoever_has_not_the_role_is_turned_away(client: Client, role: str | None) -> None:
    client.force_login(StaffFactory(roles=[role] if role else []))
    shut = [
        name for name in DOORS if expected(name) not in {STAFF, PUBLIC} and role not in (expected(name) or [])
    ]
    assert {name: code for name in shut if (code := answer(client, name).status_code) != 403} == {}
    assert len(shut) > 40


@pytest.mark.parametrize("role", [COUNTER, BENCH, OWNER])
def test_whoever_has_the_role_is_let_in(client: Client, role: str) -> None:
    """One door of each kind is enough: the guard is the same for all of a kind."""
    ShopProfileFactory()
    client.force_login(StaffFactory(roles=[role]))
    kinds: dict[Guard, str] = {}
    for name in DOORS:
        guard = expected(name)
        if guard is not None and (guard == STAFF or role == OWNER or role in guard):
            kinds.setdefault(guard, name)
    assert len(kinds) >= 3
    assert [name for name in kinds.values() if turned_away(answer(client, name))] == []


def test_a_guard_tells_whom_it_lets_in() -> None:
    def view(request: Any) -> None: ...

    guarded: Any = for_roles(COUNTER, BENCH)(view)  # type: ignore[arg-type]
    assert guarded.roles == by(COUNTER, BENCH)
    assert isinstance(next(iter(DOORS.values())), URLPattern)
