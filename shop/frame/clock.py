"""The shop's clock: the one place where rooms ask what time it is, so that a demo or a test can hand in another."""

from __future__ import annotations

import datetime as dt

from django.utils import timezone


def now() -> dt.datetime:
    """The present moment, aware, in UTC."""
    return timezone.now()


def today() -> dt.date:
    """Today in the shop's time zone (the profile's, set for each request; the settings' elsewhere)."""
    return timezone.localdate()
