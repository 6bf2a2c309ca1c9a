"""Keys to the calendar: a secret of 192 bits that only the address holds, its digest here, and patience with wrong ones."""

from __future__ import annotations

import hashlib
import secrets

from django.http import HttpRequest
from django.utils.crypto import salted_hmac

from shop.planner.models import FeedKey
from shop.premises.signing_in import Counter, client_address, count_wrong, seconds_to_wait

SECRET_BYTES = 24
FREE_TRIES = 10


def make_secret() -> str:
    """A new secret, as it stands in the address."""
    return secrets.token_urlsafe(SECRET_BYTES)


def digest_of(secret: str) -> str:
    """What is kept of a secret."""
    return hashlib.sha256(secret.encode("ascii", "replace")).hexdigest()


def key_of(secret: str) -> FeedKey | None:
    """The key that an address opens with; None for a guessed one and for one that was withdrawn."""
    return FeedKey.objects.filter(digest=digest_of(secret), withdrawn_at__isnull=True).first()


def must_wait(request: HttpRequest) -> bool:
    """Whether whoever asks has tried too many wrong keys."""
    return seconds_to_wait([_counter(request)]) > 0


def count_wrong_key(request: HttpRequest) -> None:
    """Count a key that opens nothing."""
    count_wrong([_counter(request)])


def _counter(request: HttpRequest) -> Counter:
    key = salted_hmac("shop.planner.keys", client_address(request), algorithm="sha256").hexdigest()
    return Counter(key, FREE_TRIES)
