"""The present moment, for columns that begin with it; everything else asks the shop's clock, which knows the shop's days too."""

from __future__ import annotations

import datetime as dt

from django.utils import timezone


def now() -> dt.datetime:
    """The present moment, aware, in UTC."""
    return timezone.now()
