"""Signing in with the wrong password makes the next try wait, a little longer each time; nobody is ever locked out.

Tries are counted by name and address together, and more leniently by address alone. A device on which somebody has
signed in before carries a signed cookie and is counted by itself, so that a stranger who tries passwords from the same
network can't make the shop's own tablet wait. Waiting tries are not counted and not looked at.

Names and addresses are kept only as keyed hashes, for a day.
"""

from __future__ import annotations

import datetime as dt
import ipaddress
from dataclasses import dataclass

from django.conf import settings
from django.core import signing
from django.db.models import F
from django.http import HttpRequest, HttpResponse
from django.utils.crypto import get_random_string, salted_hmac

from shop.premises import clock
from shop.premises.models import SignInTry, Staff

LONGEST_WAIT = 60
FREE_TRIES = 3
FREE_TRIES_OF_AN_ADDRESS = 20
FORGOTTEN_AFTER = dt.timedelta(days=1)
DEVICE_COOKIE = "known-device"
DEVICE_AGE = dt.timedelta(days=400)
SALT = "shop.premises.signing_in"


def wait_after(failures: int, free: int = FREE_TRIES) -> int:
    """Seconds to wait after so many wrong passwords in a row: none for the first ones, then 2, 4, 8, at most 60."""
    if failures < free:
        return 0
    return int(min(LONGEST_WAIT, 2 ** min(failures - free + 1, 10)))


@dataclass(frozen=True, slots=True)
class Counter:
    """One thing that wrong passwords are counted by, and how many cost no wait."""

    key: str
    free: int


def counters_for(request: HttpRequest, username: str) -> list[Counter]:
    """What a try to sign in as `username` is counted by."""
    name = username.casefold()
    device = _device_of(request, name)
    if device:
        return [Counter(_hash("device", device), FREE_TRIES)]
    address = client_address(request)
    return [
        Counter(_hash("name", name, address), FREE_TRIES),
        Counter(_hash("address", address), FREE_TRIES_OF_AN_ADDRESS),
    ]


def seconds_to_wait(counters: list[Counter]) -> int:
    """How long the next try must wait, in whole seconds; 0 when it may be made now."""
    free = {counter.key: counter.free for counter in counters}
    now = clock.now()
    waits = [0]
    for tried in SignInTry.objects.filter(key__in=free):
        due = tried.last_at + dt.timedelta(seconds=wait_after(tried.failures, free[tried.key]))
        waits.append(-int((now - due).total_seconds() // 1))
    return max(waits)


def count_wrong(counters: list[Counter]) -> None:
    """Count a wrong password."""
    for counter in counters:
        SignInTry.objects.filter(key=counter.key, last_at__lt=clock.now() - FORGOTTEN_AFTER).delete()
        SignInTry.objects.get_or_create(key=counter.key)
        SignInTry.objects.filter(key=counter.key, failures__lt=30_000).update(
            failures=F("failures") + 1, last_at=clock.now()
        )


def forgive(counters: list[Counter]) -> None:
    """The right password was given: what was counted for this name on this device is forgotten, not what the address owes."""
    SignInTry.objects.filter(
        key__in=[counter.key for counter in counters if counter.free == FREE_TRIES]
    ).delete()


def forget_old_tries() -> int:
    """Forget what was counted longer than a day ago; return how many."""
    return SignInTry.objects.filter(last_at__lt=clock.now() - FORGOTTEN_AFTER).delete()[0]


def remember_device(request: HttpRequest, response: HttpResponse, staff: Staff) -> None:
    """Let this device be counted by itself from now on."""
    name = staff.username.casefold()
    if not _device_of(request, name):
        response.set_cookie(
            DEVICE_COOKIE,
            signing.dumps([name, get_random_string(22)], salt=SALT),
            max_age=DEVICE_AGE,
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


def _device_of(request: HttpRequest, name: str) -> str:
    try:
        known, device = signing.loads(request.COOKIES.get(DEVICE_COOKIE, ""), salt=SALT, max_age=DEVICE_AGE)
    except (signing.BadSignature, ValueError, TypeError):
        return ""
    return str(device) if known == name else ""


def _hash(*parts: str) -> str:
    return salted_hmac(SALT, "\0".join(parts), algorithm="sha256").hexdigest()
