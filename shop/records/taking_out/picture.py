"""One picture of the book, to be read for minutes while others go on writing in it.

On PostgreSQL that is a second connection's transaction in which nothing changes (repeatable read). On SQLite a transaction that
reads so long would keep every writer waiting, so the book is copied first, in small steps, and the copy is read.
"""

from __future__ import annotations

import copy
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.db import DEFAULT_DB_ALIAS, connection, connections, transaction

from shop.keeping.copying import copy_book

ALIAS = "picture"


@contextmanager
def picture_of_the_book() -> Iterator[str]:
    """The alias of a database that shows one moment of the book; within a transaction, which does so itself, the usual one."""
    if connection.in_atomic_block:
        yield DEFAULT_DB_ALIAS
        return
    with tempfile.TemporaryDirectory(prefix="picture-", dir=settings.SHOP_DATA) as folder:
        described = copy.deepcopy(connection.settings_dict)
        if connection.vendor == "sqlite":
            described["NAME"] = Path(folder) / "book.sqlite3"
            copy_book(described["NAME"])
        connections.databases[ALIAS] = described
        try:
            with transaction.atomic(using=ALIAS):
                if connection.vendor == "postgresql":
                    with connections[ALIAS].cursor() as cursor:
                        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
                yield ALIAS
        finally:
            connections[ALIAS].close()
            del connections[ALIAS]
            del connections.databases[ALIAS]
