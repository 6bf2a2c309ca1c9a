"""Keys to the customer's page: a secret that only the link holds, its digest here, and patience with wrong ones.

A secret has 192 bits, so nobody guesses one; whoever tries many is made to wait, and the right key opens all the same.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import secrets

from django.http import HttpRequest
from django.utils.crypto import salted_hmac

from shop.counter.models import Job
from shop.counter.stages import ENDED
from shop.frame import clock
from shop.premises.signing_in import Counter, client_address, count_wrong, seconds_to_wait
from shop.window.models import WindowKey

SECRET_BYTES = 24
OPEN_AFTER_THE_END = dt.timedelta(days=90)
"""How long the page of a job that has ended can still be opened."""

FREE_TRIES = 10
_SALT = "shop.window.keys"


def make_secret() -> str:
    """A new secret, as it stands in the link: 32 characters."""
    return secrets.token_urlsafe(SECRET_BYTES)


def digest_of(secret: str) -> str:
    """What is kept of a secret."""
    return hashlib.sha256(secret.encode("ascii", "replace")).hexdigest()


def key_of(secret: str) -> WindowKey | None:
    """The key that a link opens with; None when there is none, it was withdrawn, or the job ended long ago."""
    keys = WindowKey.objects.filter(digest=digest_of(secret), withdrawn_at__isnull=True)
    key = keys.select_related("job__customer", "job__unit__model__maker").first()
    return key if key is not None and is_open(key.job) else None


def is_open(job: Job) -> bool:
    """Whether the page of this job can be opened at all."""
    if job.customer.forgotten_at is not None:
        return False
    return job.stage not in ENDED or job.ended_at is None or job.ended_at > clock.now() - OPEN_AFTER_THE_END


def must_wait(request: HttpRequest) -> bool:
    """Whether whoever asks has tried so many wrong keys that the next wrong one is not even looked at."""
    return seconds_to_wait([_counter(request)]) > 0


def count_wrong_key(request: HttpRequest) -> None:
    """Count a key that opens nothing."""
    count_wrong([_counter(request)])


def _counter(request: HttpRequest) -> Counter:
    key = salted_hmac(_SALT, client_address(request), algorithm="sha256").hexdigest()
    return Counter(key, FREE_TRIES)
