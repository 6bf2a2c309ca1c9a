"""The empty book that every test process begins with: made by the migrations once, then copied.

Running all migrations takes some twelve seconds, a copy a blink. The template is known by a hash of all that a book's shape
hangs on (models, guards, migrations, what makes the full-text index), so that a change of any of them makes another.
"""

from __future__ import annotations

import fcntl
import hashlib
import shutil
import tempfile
from pathlib import Path

import django
from django.conf import settings
from django.db.backends.base.base import BaseDatabaseWrapper

SHAPED_BY = ("models.py", "models/*.py", "migrations/*.py", "guards.py", "guards/*.py", "apps.py")
KEPT = 3
"""So many templates are kept: those of other branches, worked on by turns."""


def shape() -> str:
    """A hash of all that says what an empty book looks like."""
    found = hashlib.sha256(django.__version__.encode())
    rooms = Path(settings.BASE_DIR) / "shop"
    files = {path for pattern in SHAPED_BY for path in rooms.glob(f"*/{pattern}")}
    files |= {path for pattern in SHAPED_BY for path in rooms.glob(f"*/*/{pattern}")}
    files |= {rooms / "records" / "searching" / "index_tables.py", *(rooms / "frame").glob("*.py")}
    for path in sorted(files):
        found.update(f"{path.relative_to(rooms)}\0".encode())
        found.update(path.read_bytes())
    return found.hexdigest()[:20]


class FirstBook:
    """The template of this shape, on the database that the tests run on: made by who comes first, copied by all others."""

    def __init__(self, connection: BaseDatabaseWrapper) -> None:
        self.connection = connection
        self.folder = Path(tempfile.gettempdir()) / "mendwright-first-books"
        self.folder.mkdir(mode=0o700, exist_ok=True)
        self.name = f"{connection.vendor}-{shape()}"
        self.copied = False

    def begin(self) -> None:
        """Copy the template; where there is none yet, hold the door shut until this process has made it."""
        self.door = (self.folder / f"{self.name}.lock").open("w")
        fcntl.flock(self.door, fcntl.LOCK_EX)
        self.copied = self._copy_file() if self.connection.vendor == "sqlite" else self._copy_database()
        if self.copied:
            self.door.close()

    def end(self) -> None:
        """Keep the book that the migrations have just made as the template, and open the door."""
        if self.copied:
            return
        if self.connection.vendor == "sqlite":
            self._keep_file()
        else:
            self._keep_database()
        self.door.close()

    # --- SQLite: a file -------------------------------------------------------------------------------------

    def _test_name(self) -> str:
        return str(self.connection.creation._get_test_db_name())  # type: ignore[attr-defined]

    def _copy_file(self) -> bool:
        template = self.folder / f"{self.name}.sqlite3"
        if not template.exists():
            return False
        shutil.copy(template, self._test_name())
        return True

    def _keep_file(self) -> None:
        self.connection.close()
        draft = self.folder / f"{self.name}.draft"
        shutil.copy(self._test_name(), draft)
        draft.replace(self.folder / f"{self.name}.sqlite3")
        older = sorted(self.folder.glob("*.sqlite3"), key=lambda path: path.stat().st_mtime)[:-KEPT]
        for path in older:
            path.unlink(missing_ok=True)

    # --- PostgreSQL: a database of the same server ----------------------------------------------------------

    def _template(self) -> str:
        return f"first_book_{self.name.partition('-')[2]}"

    def _run(self, *statements: str) -> None:
        with self.connection.creation._nodb_cursor() as cursor:  # type: ignore[attr-defined]
            for statement in statements:
                cursor.execute(statement)

    def _copy_database(self) -> bool:
        with self.connection.creation._nodb_cursor() as cursor:  # type: ignore[attr-defined]
            cursor.execute("SELECT 1 FROM pg_database WHERE datname = %s", [self._template()])
            if cursor.fetchone() is None:
                return False
        name = self._test_name()
        self._run(
            f'DROP DATABASE IF EXISTS "{name}"', f'CREATE DATABASE "{name}" TEMPLATE "{self._template()}"'
        )
        return True

    def _keep_database(self) -> None:
        self.connection.close()
        self._run(f'CREATE DATABASE "{self._template()}" TEMPLATE "{self.connection.settings_dict["NAME"]}"')
