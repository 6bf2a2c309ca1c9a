"""What every command of a shop that is there does first: it keeps to that shop's time zone and ways of writing."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.core.management import BaseCommand, CommandError
from django.db import DatabaseError, connection

from shop.frame.customs import customs_of
from shop.frame.faults import fault_in
from shop.frame.models import ShopProfile
from shop.frame.profile import kept, the_profile
from shop.keeping.contents import KEPT
from shop.keeping.shelf import BACKUPS, way_back
from shop.opening.moved import must_not_have_moved


class ShopCommand(BaseCommand):
    """A command that runs by the shop's customs, as its pages do.

    One that needs a book says so in a sentence where there is none, and makes none.
    """

    needs_book = True
    takes_old_book = False
    """Whether it looks at a book that was moved elsewhere, too; any other refuses it."""

    def execute(self, *args: object, **options: object) -> str | None:
        """Run it by the customs of the profile; by those of a shop without one where the book can't be read."""
        if self.needs_book and not _has_book():
            raise CommandError(_no_book())
        if self.needs_book and not self.takes_old_book:
            must_not_have_moved()
        with said_in_a_sentence(), kept(), customs_of(_profile()):
            return super().execute(*args, **options)


@contextmanager
def said_in_a_sentence() -> Iterator[None]:
    """Say a fault of the machine in a sentence instead of a trace, with what the system calls it."""
    try:
        yield
    except (OSError, DatabaseError, sqlite3.Error) as error:
        fault = fault_in(error)
        if fault is None:
            raise
        raise CommandError(f"{fault.title}. {fault.sentence} ({error})") from error


def _has_book() -> bool:
    name = connection.settings_dict["NAME"]
    return connection.vendor != "sqlite" or Path(str(name)).exists()


def _no_book() -> str:
    """A folder that holds papers or backups had a book once."""
    folder = Path(settings.SHOP_DATA)
    if any((folder / name).exists() for name in (KEPT, BACKUPS)):
        return f"There is no book in {folder} any more, though there are papers or backups. {way_back()}"
    return f"There is no shop in {folder} yet: open it first, with  python3 manage.py open."


def _profile() -> ShopProfile:
    if not _has_book():
        return ShopProfile()
    try:
        return the_profile()
    except DatabaseError:
        # what is wrong with the book, the command itself will find
        return ShopProfile()
