"""Signing in with the wrong password makes the next try wait, a little longer each time; nobody is ever locked out.

Tries are counted by name and address together, and more leniently by address alone. A device on which somebody has
signed in before carries a signed cookie with the names of those, and is counted by itself, so that a stranger who tries
passwords from the same network can't make the shop's own tablet wait. Waiting tries are not counted and not looked at.

A device that is new and has to wait gets a slip with the moment from which it may try, a minute later at most: then it is let
try whatever somebody else at the same address has tried meanwhile. So many slips are good at one address before their holders
wait like everybody (`FREE_TRIES_AFTER_WAITING`), so that a purse full of them is no way round the wait.

A moment that lies ahead was written by a clock that ran ahead; it counts as now.

Names and addresses are kept only as keyed hashes, for a day.
"""

from __future__ import annotations

import datetime as dt
import ipaddress
from dataclasses import dataclass

from django.conf import settings
from django.core import signing
from django.db import connection, transaction
from django.db.models import F, Q
from django.http import HttpRequest, HttpResponse
from django.utils.crypto import get_random_string, salted_hmac

from shop.frame import clock
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.keeping.night import Night
from shop.premises.models import SignInTry

LONGEST_WAIT = 60
LONGEST_WAIT_FOR_A_CODE = 900
"""A code of six digits is guessed sooner than a password: three of a million are right at any moment, and 96 tries a day are
left to whoever knows the password and has not the phone."""
FREE_TRIES = 3
FREE_TRIES_OF_AN_ADDRESS = 20
FORGOTTEN_AFTER = dt.timedelta(days=1)
FREE_TRIES_AFTER_WAITING = 60
DEVICE_COOKIE = f"{settings.SESSION_COOKIE_NAME}-device"
MOST_NAMES = 6
"""Names that one device is known by: the latest who signed in there."""
SLIP_COOKIE = f"{settings.SESSION_COOKIE_NAME}-waited"
SLIP_LIVES = 3600
"""Seconds for which a slip is good once it may be used."""
DEVICE_AGE = dt.timedelta(days=400)
SALT = "shop.premises.signing_in"


def wait_after(failures: int, free: int = FREE_TRIES, longest: int = LONGEST_WAIT) -> int:
    """Seconds to wait after so many wrong passwords in a row: none for the first ones, then 2, 4, 8, at most `longest`."""
    if failures < free:
        return 0
    return int(min(longest, 2 ** min(failures - free + 1, 10)))


@dataclass(frozen=True, slots=True)
class Counter:
    """One thing that wrong passwords are counted by, and how many cost no wait."""

    key: str
    free: int
    longest: int = LONGEST_WAIT


def counters_for(request: HttpRequest, username: str) -> list[Counter]:
    """What a try to sign in as `username` is counted by."""
    name = username.casefold()
    device = _device_of(request, name)
    if device:
        return [Counter(_hash("device", device), FREE_TRIES)]
    address = client_address(request)
    by_address = [
        Counter(_hash("name", name, address), FREE_TRIES),
        Counter(_hash("address", address), FREE_TRIES_OF_AN_ADDRESS),
    ]
    slip = _slip_of(request)
    if not slip or not seconds_to_wait(by_address):
        return by_address
    return [
        Counter(_hash("slip", slip), 1),
        Counter(_hash("waited", name, address), FREE_TRIES_AFTER_WAITING),
    ]


def code_counters_for(request: HttpRequest, staff: Staff) -> list[Counter]:
    """What a try to give a code of the second step is counted by: the account, from whatever address, or a known device of it."""
    device = _device_of(request, staff.username.casefold())
    return [Counter(_hash("code", str(staff.pk), device), FREE_TRIES, LONGEST_WAIT_FOR_A_CODE)]


def prove(staff: Staff, password: str, *, field: str = "old") -> None:
    """Refuse a password that is not the one of `staff`, at a field; wrong ones make the next try wait, as at the door."""
    counters = [Counter(_hash("own password", str(staff.pk)), FREE_TRIES)]
    if wait := begin_try(counters):
        raise Refusal(f"Too many wrong passwords just now. Wait {wait} seconds, then try again.", field=field)
    if not staff.check_password(password):
        raise Refusal(
            "That is not your password." if password else "Write your own password, too.", field=field
        )
    forgive(counters)


def seconds_to_wait(counters: list[Counter]) -> int:
    """How long the next try must wait, in whole seconds; 0 when it may be made now."""
    by_key = {counter.key: counter for counter in counters}
    now = clock.now()
    waits = [0]
    for tried in SignInTry.objects.filter(key__in=by_key):
        counter = by_key[tried.key]
        if tried.last_at > now:
            SignInTry.objects.filter(pk=tried.pk).update(last_at=now)
            tried.last_at = now
        due = tried.last_at + dt.timedelta(seconds=wait_after(tried.failures, counter.free, counter.longest))
        waits.append(-int((now - due).total_seconds() // 1))
    return max(waits)


def begin_try(counters: list[Counter]) -> int:
    """Begin a try: the seconds that it must wait; where that is 0 it is counted as a wrong one until `forgive` or `not_tried`.

    One transaction: of many that come at once each is counted before the next is let try.
    """
    with transaction.atomic():
        keys = [counter.key for counter in counters]
        for key in sorted(keys):
            SignInTry.objects.get_or_create(key=key)
        # on PostgreSQL those that come meanwhile wait at these rows; on SQLite there is one writing transaction at a time
        rows = SignInTry.objects.filter(key__in=keys).order_by("key")
        list(rows.select_for_update() if connection.features.has_select_for_update else rows)
        if wait := seconds_to_wait(counters):
            return wait
        count_wrong(counters)
    return 0


def not_tried(counters: list[Counter]) -> None:
    """What was sent was no try after all."""
    for counter in counters:
        SignInTry.objects.filter(key=counter.key, failures__gt=0).update(failures=F("failures") - 1)
    SignInTry.objects.filter(key__in=[counter.key for counter in counters], failures=0).delete()


def count_wrong(counters: list[Counter]) -> None:
    """Count a wrong password, or a wrong key."""
    for counter in counters:
        SignInTry.objects.filter(key=counter.key, last_at__lt=clock.now() - FORGOTTEN_AFTER).delete()
        SignInTry.objects.get_or_create(key=counter.key)
        SignInTry.objects.filter(key=counter.key, failures__lt=30_000).update(
            failures=F("failures") + 1, last_at=clock.now()
        )


def forgive(counters: list[Counter]) -> None:
    """The right password was given: what was counted for this name on this device is forgotten, not what the address owes."""
    not_tried(counters)
    SignInTry.objects.filter(
        key__in=[counter.key for counter in counters if counter.free == FREE_TRIES]
    ).delete()


def forget_old_tries(night: Night) -> None:
    """Forget what was counted longer than a day before this night, or by a clock that ran ahead of it."""
    there = Q(last_at__gte=night.at - FORGOTTEN_AFTER, last_at__lte=night.at + FORGOTTEN_AFTER)
    SignInTry.objects.exclude(there).delete()


def remember_device(request: HttpRequest, response: HttpResponse, staff: Staff) -> None:
    """Let this device be counted by itself from now on."""
    name = staff.username.casefold()
    known = _devices_of(request)
    if SLIP_COOKIE in request.COOKIES:
        response.set_cookie(
            SLIP_COOKIE, "", max_age=0, secure=settings.SESSION_COOKIE_SECURE, httponly=True, samesite="Lax"
        )
    # the latest last, whoever it is: of too many names the one goes that has not been here for longest
    known[name] = known.pop(name, "") or get_random_string(22)
    told = signing.dumps(list(known.items())[-MOST_NAMES:], salt=SALT)
    _set_cookie(response, DEVICE_COOKIE, told, int(DEVICE_AGE.total_seconds()))


def hand_slip(request: HttpRequest, response: HttpResponse, wait: int) -> None:
    """Give a device that has to wait a slip with the moment from which it may try, unless it has one."""
    if _due_of(request) is None:
        due = clock.now().timestamp() + min(wait, LONGEST_WAIT)
        told = signing.dumps([due, get_random_string(22)], salt=f"{SALT}.slip")
        _set_cookie(response, SLIP_COOKIE, told, LONGEST_WAIT + SLIP_LIVES)


def _set_cookie(response: HttpResponse, name: str, told: str, seconds: int) -> None:
    response.set_cookie(
        name,
        told,
        max_age=seconds,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )


def client_address(request: HttpRequest) -> str:
    """The address that a request came from; of an IPv6 address the network's half. Behind a proxy, what the proxy says."""
    address = request.META.get("REMOTE_ADDR", "")
    if settings.SECURE_PROXY_SSL_HEADER:
        address = request.headers.get("X-Forwarded-For", address).rpartition(",")[2].strip()
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return str(address)
    return str(ipaddress.ip_network((parsed, 64), strict=False)) if parsed.version == 6 else str(parsed)


def _devices_of(request: HttpRequest) -> dict[str, str]:
    """The names that signed in on this device before, each with what it is counted by."""
    try:
        told = signing.loads(request.COOKIES.get(DEVICE_COOKIE, ""), salt=SALT, max_age=DEVICE_AGE)
        # before a device could have several names, its cookie held one
        pairs = [told] if told and isinstance(told[0], str) else told
        return {str(name): str(device) for name, device in pairs}
    except (signing.BadSignature, ValueError, TypeError, LookupError):
        return {}


def _device_of(request: HttpRequest, name: str) -> str:
    return _devices_of(request).get(name, "")


def _due_of(request: HttpRequest) -> tuple[float, str] | None:
    """From when a device's slip is good, and its own name; None where it has none, or one that is past."""
    try:
        due, name = signing.loads(request.COOKIES.get(SLIP_COOKIE, ""), salt=f"{SALT}.slip")
        due = float(due)
    except (signing.BadSignature, ValueError, TypeError):
        return None
    ahead = due - clock.now().timestamp()
    return (due, str(name)) if -SLIP_LIVES < ahead <= LONGEST_WAIT else None


def _slip_of(request: HttpRequest) -> str:
    """The name of a slip that is good now."""
    slip = _due_of(request)
    return slip[1] if slip is not None and slip[0] <= clock.now().timestamp() else ""


def _hash(*parts: str) -> str:
    return salted_hmac(SALT, "\0".join(parts), algorithm="sha256").hexdigest()
