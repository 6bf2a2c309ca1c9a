"""Who is signed in where: what a session says of itself, how long it lasts untouched, and ending others.

A session ends after as many hours without a touch as the shop's profile says for the roles of whoever it belongs to (of
several roles the longest: a tablet at the bench is not to ask for a password in the middle of a repair), and after two weeks
whatever is done with it. When it was touched last is written down every few minutes, not with each page.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from django.contrib.auth import HASH_SESSION_KEY, SESSION_KEY, logout
from django.contrib.sessions.models import Session
from django.http import HttpRequest, HttpResponseBase
from django.utils.crypto import constant_time_compare, salted_hmac

from shop.frame import clock
from shop.frame.models import Role, ShopProfile, Staff
from shop.frame.profile import the_profile
from shop.premises import events

SINCE, SEEN, DEVICE = "signed-in-since", "seen", "device"
NOTED_EVERY = 300.0
LONGEST = dt.timedelta(days=14)
SALT = "shop.premises.sessions"

_BROWSERS = ("Firefox", "Edg", "SamsungBrowser", "Chrome", "Safari")
_SYSTEMS = ("Android", "iPad", "iPhone", "Windows", "Macintosh", "Linux")
_CALLED = {"Edg": "Edge", "SamsungBrowser": "Samsung’s browser", "Macintosh": "Mac"}


@dataclass(frozen=True, slots=True)
class SignedIn:
    """One session of somebody, as its list shows it; `name` says which one it is and opens nothing."""

    name: str
    device: str
    since: dt.datetime | None
    seen: dt.datetime | None
    is_here: bool


def begin(sender: object, request: HttpRequest, **_about: object) -> None:
    """Note in a session that has just begun when and on what; whoever signs in is announced here."""
    now = clock.now().timestamp()
    request.session[SINCE] = request.session[SEEN] = now
    request.session[DEVICE] = device_called(request.headers.get("User-Agent", ""))


def device_called(agent: str) -> str:
    """A browser as a person calls it, by what it says of itself: “Firefox on Android”."""
    browser = next((one for one in _BROWSERS if re.search(rf"\b{one}", agent)), "")
    system = next((one for one in _SYSTEMS if one in agent), "")
    words = [_CALLED.get(word, word) for word in (browser or "A browser", system) if word]
    return " on ".join(words)


def of(staff: Staff, *, here: str | None) -> list[SignedIn]:
    """The sessions in which somebody is signed in now, the one touched last first."""
    found = [
        SignedIn(
            name=_name(session.session_key),
            device=str(data.get(DEVICE, "A browser")),
            since=_moment(data.get(SINCE)),
            seen=_moment(data.get(SEEN)),
            is_here=session.session_key == here,
        )
        for session, data in _live(staff)
    ]
    return sorted(found, key=lambda one: (not one.is_here, -(one.seen.timestamp() if one.seen else 0)))


def end(staff: Staff, *, here: str | None, which: str) -> int:
    """End one session of somebody by its `name`, or with “all” every one but `here`; returns how many ended."""
    keys = [
        session.session_key
        for session, _ in _live(staff)
        if session.session_key != here
        and (which == "all" or constant_time_compare(_name(session.session_key), which))
    ]
    Session.objects.filter(session_key__in=keys).delete()
    return len(keys)


def idle_hours(shop: ShopProfile, staff: Staff) -> int:
    """After how many hours without a touch a session of somebody ends."""
    hours = {
        Role.OWNER: shop.idle_hours_owner,
        Role.COUNTER: shop.idle_hours_counter,
        Role.BENCH: shop.idle_hours_bench,
    }
    theirs = [hours[role] for role in hours if role in staff.roles]
    return max(theirs, default=shop.idle_hours_owner)


class IdleMiddleware:
    """Ends a session that nobody touched for too long, before a page is shown in it."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        if request.session.get(SESSION_KEY) and isinstance(request.user, Staff):
            if why := _is_over(request, request.user):
                events.ended(request.user, why)
                logout(request)
            else:
                _note_touch(request)
        return self.get_response(request)


def _is_over(request: HttpRequest, staff: Staff) -> str:
    now = clock.now().timestamp()
    # what a clock wrote that ran ahead is no promise to stay longer
    seen = min(float(request.session.get(SEEN, now)), now)
    since = min(float(request.session.get(SINCE, now)), now)
    if now - since > LONGEST.total_seconds():
        return "after two weeks"
    hours = idle_hours(the_profile(), staff)
    return f"untouched for {hours} hours" if now - seen > hours * 3600 else ""


def _note_touch(request: HttpRequest) -> None:
    now = clock.now().timestamp()
    if abs(now - float(request.session.get(SEEN, 0))) > NOTED_EVERY:
        request.session[SEEN] = now
        request.session.setdefault(SINCE, now)


def _live(staff: Staff) -> Iterator[tuple[Session, dict[str, object]]]:
    for session in Session.objects.filter(expire_date__gt=clock.now()):
        data = session.get_decoded()
        theirs = str(data.get(SESSION_KEY, "")) == str(staff.pk)
        if theirs and constant_time_compare(str(data.get(HASH_SESSION_KEY)), staff.get_session_auth_hash()):
            yield session, data


def _name(session_key: str) -> str:
    return salted_hmac(SALT, session_key, algorithm="sha256").hexdigest()[:24]


def _moment(stamp: object) -> dt.datetime | None:
    return dt.datetime.fromtimestamp(float(stamp), dt.UTC) if isinstance(stamp, int | float) else None
