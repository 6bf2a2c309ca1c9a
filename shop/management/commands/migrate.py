"""`manage.py migrate`: Django's own, with the guards of the book taken down before and put up again whatever came of it,
and with a net (`opening/updating.py`)."""

from __future__ import annotations

from typing import Any

from django.core.management import CommandError
from django.core.management.commands import migrate
from django.db import DEFAULT_DB_ALIAS, connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper

from shop.frame import guards
from shop.opening import updating
from shop.opening.folder import make_shop
from shop.opening.moved import must_not_have_moved
from shop.opening.older_book import SENTENCE, is_older


class Command(migrate.Command):
    """Change the book's tables, or make them, and the shop's folder. A migration that fails leaves every guard standing."""

    def execute(self, *args: object, **options: object) -> str | None:
        """Make the shop first: Django's checks open its book."""
        make_shop()
        return super().execute(*args, **options)

    def handle(self, *args: object, **options: Any) -> None:
        if options["plan"] or options["check_unapplied"]:
            super().handle(*args, **options)
            return
        must_not_have_moved()
        connection = connections[options["database"]]
        if is_older(connection):
            raise CommandError(SENTENCE)
        if connection.alias != DEFAULT_DB_ALIAS or options["app_label"]:
            self._changed(connection, *args, **options)
            return
        updating.must_not_be_newer()
        updating.update(lambda: self._changed(connection, *args, **options))

    def _changed(self, connection: BaseDatabaseWrapper, *args: object, **options: Any) -> None:
        with transaction.atomic(using=connection.alias):
            guards.take_down(connection)
        try:
            super().handle(*args, **options)
        finally:
            with transaction.atomic(using=connection.alias):
                guards.put_up(connection)
