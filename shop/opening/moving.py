"""The shop's book carried into a database of another kind, or another place: copied, compared row by row, and only then named.

Pictures, files and papers stay in the shop's folder. Another process fills the new book, because a program is opened on one
database; the old book is only read. An SQLite book gets its name when it is whole; a PostgreSQL database that could not be filled
is emptied again.
"""

from __future__ import annotations

import contextlib
import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlsplit, urlunsplit

from django.conf import settings
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from shop.frame.journal import end_of_chain
from shop.frame.refusal import Refusal
from shop.keeping.settled import settle
from shop.opening import alone, moved
from shop.opening.updating import must_not_be_newer
from shop.records.taking_out.book import Say, write_book

SECONDS = 10
POSTGRES = ("postgres", "postgresql")
OURS = "SELECT format('%I.%I', schemaname, tablename) FROM pg_tables WHERE schemaname !~ '^(pg_|information_schema$)'"


@dataclass(frozen=True, slots=True)
class Moved:
    """What was moved: rows by table, and how the program is told to use the new book."""

    counts: dict[str, int]
    told: str


def move(to: str, *, say: Say | None = None) -> Moved:
    """Carry the book to `to`: postgres://… or sqlite:PATH. Refuses, with the old book as it was, what does not come out equal."""
    target = _target(to)
    must_not_be_newer()
    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        raise Refusal("This book has not been changed for this program yet: run “manage.py migrate” first.")
    target.must_be_empty()
    alone.take_book()
    try:
        with tempfile.TemporaryDirectory(prefix=".move-", dir=settings.SHOP_DATA) as folder:
            before = end_of_chain()
            file = Path(folder) / "book.zip"
            manifest = write_book(file, moving=True, say=say)
            with target.filled() as address:
                _fill(address, file)
                if end_of_chain() != before:
                    raise Refusal(
                        "Somebody wrote in the book meanwhile: stop whatever works in it, then try again."
                    )
            moved.leave_note(target.known_as)
    finally:
        alone.leave_book()
    return Moved(manifest["tables"], target.told)


def _target(to: str) -> _Sqlite | _Postgres:
    kind, colon, rest = to.partition(":")
    if kind in POSTGRES and rest.startswith("//"):
        return _Postgres(to)
    if kind == "sqlite" and colon and rest.strip("/"):
        # sqlite:PATH, and sqlite:///PATH as DATABASE_URL has it
        return _Sqlite(Path(rest.removeprefix("///")).expanduser().absolute())
    raise Refusal("Say where to: --to postgres://USER@HOST/DATABASE, or --to sqlite:PATH.")


def _fill(address: str, file: Path) -> None:
    """Have another process make the tables there, read the file into them, and compare. Refuses with what it says."""
    variables = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")}
    variables |= {
        "DATABASE_URL": address,
        "SHOP_DATA": str(settings.SHOP_DATA),
        "DJANGO_SETTINGS_MODULE": "shop.settings",
        "PYTHONPATH": str(settings.BASE_DIR),
    }
    done = subprocess.run(  # noqa: S603
        [sys.executable, "-m", "django", "import_book", "--skip-checks", "--moving", str(file)],
        capture_output=True,
        text=True,
        check=False,
        env=variables,
    )
    if done.returncode != 0:
        words = done.stderr.strip().splitlines()
        said = words[-1].removeprefix("CommandError: ") if words else "it ended without a word"
        raise Refusal(f"The new book could not be made: {said} The old one is as it was.")


def _without_secrets(address: str) -> str:
    """An address as it may be shown: the password that stands before the host, or in the query, left out."""
    parts = urlsplit(address)
    user, at, host = parts.netloc.rpartition("@")
    if at and ":" in user:
        user = f"{user.partition(':')[0]}:PASSWORD"
    query = re.sub(r"(?i)\b(\w*passw\w*)=[^&]*", r"\1=PASSWORD", parts.query)
    return urlunsplit(parts._replace(netloc=f"{user}{at}{host}", query=query))


# --- into an SQLite file ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Sqlite:
    path: Path

    @property
    def known_as(self) -> str:
        """What the note in the shop's folder calls it."""
        return moved.file_book(self.path)

    @property
    def told(self) -> str:
        if self.path == Path(settings.SHOP_DATA).absolute() / "shop.sqlite3":
            return "From now on start the shop without DATABASE_URL."
        return f"From now on start the shop with DATABASE_URL=sqlite:///{quote(self.path.as_posix())}"

    def must_be_empty(self) -> None:
        """Refuse a file that is there, the shop's own first of all."""
        if (
            connection.vendor == "sqlite"
            and Path(str(connection.settings_dict["NAME"])).absolute() == self.path
        ):
            raise Refusal("That is the book that the shop uses already.")
        if self.path.exists():
            raise Refusal(f"There is a file {self.path} already: name one that is not there.")
        if not self.path.parent.is_dir():
            raise Refusal(f"There is no folder {self.path.parent}: make it first.")

    @contextlib.contextmanager
    def filled(self) -> Iterator[str]:
        """The address of a draft beside it, which takes the name when nothing went wrong."""
        with tempfile.TemporaryDirectory(prefix=".move-", dir=self.path.parent) as folder:
            draft = Path(folder) / self.path.name
            yield f"sqlite:///{quote(draft.as_posix())}"
            draft.chmod(0o600)
            settle(draft)
            # never over a file that came meanwhile
            os.link(draft, self.path)
            settle(self.path)


# --- into a PostgreSQL database -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Postgres:
    address: str = field(repr=False)

    @property
    def known_as(self) -> str:
        """What the note in the shop's folder calls it."""
        return moved.server_book(self.address)

    @property
    def told(self) -> str:
        return f"From now on start the shop with DATABASE_URL={_without_secrets(self.address)}"

    def must_be_empty(self) -> None:
        """Refuse a database that has tables, the shop's own among them, and a server that does not answer."""
        with self._connected() as open_:
            there = {name for (name,) in open_.execute(OURS)}
            if there and connection.vendor == "postgresql" and self._is_the_shops(open_):
                raise Refusal("That is the book that the shop uses already.")
        if there:
            raise Refusal(
                f"That database has {len(there)} tables already: name an empty one, as createdb makes it."
            )

    @contextlib.contextmanager
    def filled(self) -> Iterator[str]:
        """The address itself; whatever goes wrong, the database is empty again afterwards."""
        try:
            yield self.address
        except BaseException:
            with self._connected() as open_:
                names = [name for (name,) in open_.execute(OURS)]
                if names:
                    open_.execute(f"DROP TABLE {', '.join(names)} CASCADE")
            raise

    def _is_the_shops(self, open_: Any) -> bool:
        """Whether it is the database that the shop has open, by whatever address: a server tells each database's number."""
        asked = "SELECT oid, pg_postmaster_start_time() FROM pg_database WHERE datname = current_database()"
        with connection.cursor() as cursor:
            cursor.execute(asked)
            return bool(cursor.fetchone() == open_.execute(asked).fetchone())

    @contextlib.contextmanager
    def _connected(self) -> Iterator[Any]:
        try:
            import psycopg  # noqa: PLC0415  an extra
        except ImportError as error:
            raise Refusal("For PostgreSQL install the package psycopg (the extra “postgres”).") from error
        try:
            with psycopg.connect(self.address, connect_timeout=SECONDS) as open_:
                yield open_
        except psycopg.Error as error:
            words = " ".join(str(error).split())[:200]
            raise Refusal(f"The PostgreSQL database can’t be reached: {words}") from error
