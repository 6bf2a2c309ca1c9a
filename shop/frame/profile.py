"""The shop's profile as everything else asks for it: one row, read once in a request."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from shop.frame.models import ShopProfile

UNNAMED = "Mendwright"
"""What the shop is called before it has a profile."""

_kept: ContextVar[list[ShopProfile] | None] = ContextVar("kept_profile", default=None)


def the_profile() -> ShopProfile:
    """The shop's profile; an unsaved one with the program's name (`pk` set, `_state.adding` true) before there is one.

    Inside `kept()` it is read once, until an action changes it; elsewhere every call asks the database, so that no process ever
    works with the profile of yesterday.
    """
    kept = _kept.get()
    if kept:
        return kept[0]
    profile = ShopProfile.objects.first() or ShopProfile(name=UNNAMED)
    if kept is not None:
        kept.append(profile)
    return profile


def is_open() -> bool:
    """True once the shop has a profile."""
    return not the_profile()._state.adding


def forget() -> None:
    """Have the next call read the row again; the action that changes the profile calls it."""
    if kept := _kept.get():
        kept.clear()


@contextmanager
def kept() -> Iterator[None]:
    """Keep what is read of the profile until the end of this request or command."""
    token = _kept.set([])
    try:
        yield
    finally:
        _kept.reset(token)
