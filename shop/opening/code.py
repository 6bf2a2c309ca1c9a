"""The one-time code in the address of the opening page: only who started the shop on this machine has it."""

from __future__ import annotations

import secrets
from pathlib import Path

from django.conf import settings

from shop.bootstrap.machine import kept_secret


def _place() -> Path:
    return Path(settings.SHOP_DATA) / "opening-code"


def code() -> str:
    """Return the code, made on first use and kept until the shop is open."""
    return kept_secret(_place(), strength=12)


def fits(offered: str) -> bool:
    """True for the code that is waiting; always False once the shop is open."""
    place = _place()
    return place.exists() and secrets.compare_digest(offered.encode(), kept_secret(place).encode())


def spend() -> None:
    """Make the code worthless."""
    _place().unlink(missing_ok=True)
