"""Kinds of damage, each done to a copy of one small shop's folder: the doctor names it, says what mends it, and leaves no trace.

What damages a book is done past the program, with Python's own sqlite3 and on the files. Where pages lie and what the header
holds is told by SQLite itself (sqlite_master.rootpage; “Database File Format”, 1.3).
"""

from __future__ import annotations

import contextlib
import datetime as dt
import errno
import hashlib
import os
import random
import re
import shutil
import sqlite3
import zipfile
from collections import namedtuple
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings as shop_settings
from django.core.files.base import ContentFile
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import override_settings

from shop.frame import clock, seals
from shop.frame.guards import lifted
from shop.frame.journal import _digest_of, acting
from shop.frame.models import JournalEntry, JournalHead
from shop.keeping import health, nightly, shelf
from shop.keeping.backup import make_backup
from shop.keeping.models import IssuedPaper, NightlyReport, Picture, StoredFile, Task
from shop.keeping.nightly import watch_over
from shop.keeping.pictures import take_picture
from shop.keeping.tasks import own
from shop.keeping.tasks.asking import ask
from shop.keeping.tasks.claiming import claim
from shop.keeping.tasks.doing import do
from shop.opening import certificates
from shop.scenes.walkthrough import walk_through
from tests.factories.backups import forged
from tests.premises.test_pictures import picture, upload

# ruff: noqa: S608  (the statements are the test's own)

pytestmark = [
    pytest.mark.soak,
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(
        "sqlite" not in shop_settings.DATABASES["default"]["ENGINE"], reason="files of SQLite"
    ),
]

BOOK = "shop.sqlite3"
YEAR = dt.timedelta(days=365)
RESTORE = r"manage\.py restore --into"


@contextlib.contextmanager
def opened(folder: Path) -> Iterator[None]:
    """Have everything asked of the shop in that folder meanwhile."""
    name = connection.settings_dict["NAME"]
    connection.close()
    with override_settings(SHOP_DATA=folder, MEDIA_ROOT=folder / "kept"):
        connection.settings_dict["NAME"] = str(folder / BOOK)
        try:
            yield
        finally:
            connection.close()
            connection.settings_dict["NAME"] = name


@pytest.fixture(scope="module")
def sound(django_db_setup: Any, django_db_blocker: Any, tmp_path_factory: Any) -> Iterator[Path]:
    """A small shop that went the whole way once, with photographs and a file, checked and backed up."""
    folder = tmp_path_factory.mktemp("sound")
    with pytest.MonkeyPatch.context() as patch, django_db_blocker.unblock():
        patch.delenv("SHOP_BACKUPS", raising=False)
        shutil.copyfile(connection.settings_dict["NAME"], folder / BOOK)
        (folder / "secret-key").write_text("x" * 60)
        with opened(folder):
            walk_through()
            for height in (2000, 2001):
                take_picture(upload(picture((3000, height))), by=None)
            kept = StoredFile(
                name="sheet.txt", media_type="text/plain", size=5, sha256=hashlib.sha256(b"sheet").hexdigest()
            )
            kept.file.save("files/sheet.txt", ContentFile(b"sheet"), save=True)
            certificates.ready(folder / "https", ["shop.local"])
            assert watch_over().faults == []
            make_backup()
        yield folder


@dataclass(frozen=True)
class Shop:
    """A copy of that shop, to be damaged."""

    folder: Path
    patch: pytest.MonkeyPatch

    @property
    def book(self) -> Path:
        return self.folder / BOOK

    @property
    def backup(self) -> Path:
        return next(path for path in (self.folder / "backups").iterdir() if path.suffix == ".tar")

    def sql(self, *statements: str, guards: bool = True) -> None:
        """Done with SQLite alone; `guards` puts them back as they were."""
        with contextlib.closing(sqlite3.connect(self.book, isolation_level=None)) as book:
            triggers = book.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
            if guards:
                for name, _sql in triggers:
                    book.execute(f'DROP TRIGGER "{name}"')
            for one in statements:
                book.execute(one)
            there = {name for (name,) in book.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
            for _name, sql in triggers if guards else []:
                if re.search(r'ON "?(\w+)"?', sql)[1] in there:
                    with contextlib.suppress(sqlite3.OperationalError):
                        book.execute(sql)

    def ask(self, question: str) -> Any:
        with contextlib.closing(sqlite3.connect(self.book)) as book:
            return book.execute(question).fetchone()[0]

    def page_of(self, name: str) -> int:
        """Where the pages of a table or index begin, in bytes."""
        return (int(self.ask(f"SELECT rootpage FROM sqlite_master WHERE name = '{name}'")) - 1) * self.ask(
            "PRAGMA page_size"
        )

    def write(self, at: int, content: bytes) -> None:
        with self.book.open("r+b") as file:
            file.seek(at)
            file.write(content)

    def file(self, rows: Any, column: str = "file") -> Path:
        return Path(getattr(rows.latest("pk"), column).path)


Damage = Callable[[Shop], Any]


@dataclass(frozen=True)
class Kind:
    """What is done, what the doctor must say of it, and the step that mends it, in the same line."""

    name: str
    does: Damage
    finds: str
    mends: str


def zeroed(name: str) -> Damage:
    return lambda shop: shop.write(shop.page_of(name), bytes(4096))


def noisy(name: str) -> Damage:
    noise = random.Random(7).randbytes(4000)  # noqa: S311  (noise)
    return lambda shop: shop.write(shop.page_of(name) + 96, noise)


def cut(share: float) -> Damage:
    return lambda shop: os.truncate(shop.book, int(shop.book.stat().st_size * share) // 4096 * 4096)


def sql(*statements: str, guards: bool = True) -> Damage:
    return lambda shop: shop.sql(*statements, guards=guards)


def left_behind(shop: Shop) -> None:
    """A journal of a writing that was broken off, put back after others had written: SQLite rolls those pages back."""
    with contextlib.closing(sqlite3.connect(shop.book, isolation_level=None)) as book:
        book.execute("PRAGMA journal_mode = DELETE")
        book.execute("PRAGMA cache_size = 1")
        book.execute("BEGIN IMMEDIATE")
        book.execute("CREATE TABLE of_no_use AS SELECT * FROM frame_journalentry")
        book.execute("UPDATE frame_journalhead SET digest = digest || ''")
        for name in ("office_payment", "counter_job", "frame_journaltouch"):
            book.execute(f"CREATE TABLE x_{name} AS SELECT * FROM {name}")
        journal = Path(f"{shop.book}-journal").read_bytes()
        book.execute("ROLLBACK")
    with acting(by=None) as act:
        for _ in range(60):
            act.record("test.written")
    connection.close()
    Path(f"{shop.book}-journal").write_bytes(journal)


def rebuilt(shop: Shop) -> None:
    """The last payment halved, sealed anew, and the chain reckoned anew from its middle, the nights' reports too."""
    shop.sql(
        "UPDATE office_payment SET amount_minor = amount_minor / 2 WHERE id = (SELECT MAX(id) FROM office_payment)"
    )
    with lifted(connection):
        first = JournalHead.objects.get().sequence // 2
        previous = JournalEntry.objects.get(sequence=first - 1).digest
        for entry in JournalEntry.objects.filter(sequence__gte=first).order_by("sequence"):
            if rows := [(one.table, one.row) for one in seals.unfold(entry.data.get("seals", []))]:
                entry.data["seals"] = seals.write(rows)
            entry.previous, entry.data["rebuilt"] = previous, 1
            entry.digest = previous = _digest_of(entry)
            entry.save()
        JournalHead.objects.update(digest=previous)
        NightlyReport.objects.update(digest="")


def entry_gone(where: str) -> Damage:
    return sql(
        f"DELETE FROM frame_journaltouch WHERE entry_id = {where}",
        f"DELETE FROM frame_journalentry WHERE sequence = {where}",
    )


def with_its_hash(shop: Shop) -> None:
    shop.file(IssuedPaper.objects).write_bytes(b"%PDF another")
    digest = hashlib.sha256(b"%PDF another").hexdigest()
    shop.sql(
        f"UPDATE keeping_issuedpaper SET sha256 = '{digest}', size = 12 WHERE id = (SELECT MAX(id) FROM keeping_issuedpaper)"
    )


def every_picture(shop: Shop) -> None:
    """Each is read within thirty nights; here in one."""
    shop.patch.setattr(nightly, "ROUNDS_OF_PICTURES", 1)
    path = shop.file(Picture.objects)
    path.write_bytes(bytes(path.stat().st_size))


def emptied(column: str) -> Damage:
    return lambda _shop: [Path(getattr(one, column).path).write_bytes(b"") for one in Picture.objects.all()]


def lost(rows: Callable[[], Any], column: str = "file") -> Damage:
    return lambda shop: shop.file(rows(), column).unlink()


def at(when: dt.timedelta) -> Damage:
    def moved(shop: Shop) -> None:
        now = clock.now() + when
        shop.patch.setattr(clock, "now", lambda: now)

    return moved


def older_backup(age: dt.timedelta) -> Damage:
    def aged(shop: Shop) -> None:
        shop.backup.unlink()
        forged(shop.folder / "backups" / "x", clock.now() - age)

    return aged


def beside(name: str, content: bytes) -> Damage:
    return lambda shop: (shop.folder / "backups" / name).write_bytes(content)


def foreign(shop: Shop) -> None:
    with zipfile.ZipFile(shop.folder / "backups" / "holiday.zip", "w") as made:
        made.writestr("one.txt", "somebody's")


def encrypted(shop: Shop) -> None:
    path = shop.folder / "backups" / "night.tar.age"
    path.write_bytes(shelf.AGE + bytes(5000))
    shelf.write_down(path, made_at=clock.now(), sha256="0" * 64)
    os.truncate(path, 2000)


def without_font(how: Callable[[Path], Any]) -> Damage:
    def gone(shop: Shop) -> None:
        base = shop.folder / "program"
        shutil.copytree(shop_settings.BASE_DIR / "static" / "fonts", base / "static" / "fonts")
        how(base / "static" / "fonts" / health.FONTS[1])
        shop.patch.setattr(shop_settings, "BASE_DIR", base)

    return gone


Usage = namedtuple("Usage", "total used free")


def free(amount: int) -> Damage:
    return lambda shop: shop.patch.setattr(
        shutil, "disk_usage", lambda _path: Usage(10**12, 10**12 - amount, amount)
    )


def not_to_be_written(shop: Shop) -> None:
    """As for anybody but root: root may write everywhere, so the system's answer is given by hand."""

    def refused(*_: Any, **__: Any) -> str:
        raise PermissionError(errno.EACCES, "Permission denied", str(shop.folder))

    shop.patch.setattr("tempfile.mkdtemp", refused)
    shop.patch.setattr(os, "access", lambda *_: False)


def full(kind: str) -> Damage:
    """A task finds the disk full at the first file that it writes."""

    def task(shop: Shop) -> None:
        def no_room(*_: Any, **__: Any) -> str:
            raise OSError(errno.ENOSPC, "No space left on device")

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("tempfile.mkdtemp", no_room)
            asked = ask(kind, by=None)
            for _ in range(20):
                Task.objects.filter(pk=asked.pk).update(due_at=clock.now())
                if (claimed := claim([kind])) is None:
                    break
                do(claimed)

    return task


def a_task_waits(_shop: Shop) -> None:
    ask(own.NIGHT, by=None)
    Task.objects.update(due_at=clock.now() - dt.timedelta(hours=3))


def a_letter_failed(shop: Shop) -> None:
    shop.sql(
        "INSERT INTO keeping_message ('to', subject, body, written_at, tries, last_error) "
        "VALUES ('a@example.org', 's', 'b', '2026-01-01 00:00:00', 3, 'The mail server refused the password: type it again.')"
    )


def invented(shop: Shop) -> None:
    columns = [
        row[1]
        for row in sqlite3.connect(shop.book).execute("PRAGMA table_info(office_payment)")
        if row[1] != "id"
    ]
    names = ", ".join(f'"{name}"' for name in columns)
    shop.sql(f"INSERT INTO office_payment ({names}) SELECT {names} FROM office_payment LIMIT 1")


def drop_trigger(shop: Shop, then: str = "") -> None:
    name = "house_office_payment_no_update"
    shop.sql(f"DROP TRIGGER {name}", *([then] if then else []), guards=False)


def all_triggers(shop: Shop) -> None:
    with contextlib.closing(sqlite3.connect(shop.book)) as book:
        for (name,) in book.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            book.execute(f'DROP TRIGGER "{name}"')


HEADER_OF_FREE_PAGES = 36
PAPERS = IssuedPaper.objects
WEAKER = (
    "CREATE TRIGGER house_office_payment_no_update BEFORE UPDATE OF note ON office_payment "
    "BEGIN SELECT RAISE(ABORT, 'frozen'); END"
)
WHO = "ind out who had access"
NEWEST_PAPER = "WHERE id = (SELECT MAX(id) FROM keeping_issuedpaper)"

KINDS = [
    # the book's file
    Kind(
        "first page zeroed",
        lambda shop: shop.write(0, bytes(4096)),
        "not a database|malformed|damaged|no such table",
        RESTORE,
    ),
    Kind("header written over", lambda shop: shop.write(0, b"nothing"), "not a database", RESTORE),
    Kind("pages of jobs zeroed", zeroed("counter_job"), "damaged|malformed", RESTORE),
    Kind("pages of the journal zeroed", zeroed("frame_journalentry"), "damaged|malformed", RESTORE),
    Kind("pages of papers full of noise", noisy("keeping_issuedpaper"), "damaged|malformed", RESTORE),
    Kind(
        "pages of the list of tables",
        lambda shop: shop.write(108, bytes(3000)),
        "damaged|malformed|no such table",
        RESTORE,
    ),
    Kind("index pages zeroed", zeroed("keeping_paper_kind_number"), "damaged|malformed", RESTORE),
    Kind("index pages full of noise", noisy("keeping_paper_kind_number"), "damaged|malformed", RESTORE),
    Kind(
        "count of free pages wrong",
        lambda shop: shop.write(HEADER_OF_FREE_PAGES, b"\0\0\0\7"),
        "damaged",
        RESTORE,
    ),
    Kind("cut to half", cut(0.5), "damaged|malformed", RESTORE),
    Kind("last page cut off", cut(0.999), "damaged|malformed", RESTORE),
    Kind("emptied", lambda shop: os.truncate(shop.book, 0), "no such table", RESTORE),
    Kind("gone", lambda shop: shop.book.unlink(), "There is no", RESTORE),
    Kind(
        "something else in its place",
        lambda shop: shop.book.write_text("A letter.\n" * 900),
        "not a database",
        RESTORE,
    ),
    Kind("an old journal file left behind", left_behind, "damaged|malformed|journal|[Ee]ntry", RESTORE),
    # tables
    Kind("table of jobs dropped", sql("DROP TABLE counter_job"), "no such table|has no counter_job", RESTORE),
    Kind(
        "table of the journal dropped",
        sql("DROP TABLE frame_journalentry"),
        "no such table|has no frame_journal",
        RESTORE,
    ),
    Kind(
        "table of reports dropped",
        sql("DROP TABLE keeping_nightlyreport"),
        "no such table|has no keeping_n",
        RESTORE,
    ),
    Kind(
        "a column renamed",
        sql("ALTER TABLE planner_queueplace RENAME COLUMN place TO rank"),
        "has no planner_queueplace.place",
        RESTORE,
    ),
    Kind(
        "an index dropped", sql("DROP INDEX keeping_paper_kind_number"), "keeping_paper_kind_number", RESTORE
    ),
    Kind("the list of migrations emptied", sql("DELETE FROM django_migrations"), "migrations", RESTORE),
    Kind(
        "marked as a newer program's",
        sql("PRAGMA user_version = 99000000"),
        r"version 99\.0\.0",
        "Open it with version 99",
    ),
    # rows
    Kind(
        "a payment deleted",
        sql("DELETE FROM office_payment WHERE id = (SELECT MAX(id) FROM office_payment)"),
        r"payment \d+ is gone",
        RESTORE,
    ),
    Kind(
        "a payment halved",
        sql("UPDATE office_payment SET amount_minor = amount_minor / 2"),
        "amount_minor is not what",
        RESTORE,
    ),
    Kind("a payment invented", invented, r"payment \d+ stands in", RESTORE),
    Kind(
        "an invoice changed",
        sql(
            "PRAGMA ignore_check_constraints = ON", "UPDATE office_invoice SET total_minor = total_minor + 1"
        ),
        r"invoice \d+: .*total_minor",
        RESTORE,
    ),
    Kind(
        "a job deleted",
        sql("DELETE FROM counter_job"),
        "points to a row of counter_job that is not there",
        RESTORE,
    ),
    Kind(
        "all staff deleted",
        sql("DELETE FROM frame_staff"),
        "points to a row of frame_staff that is not there",
        RESTORE,
    ),
    Kind("the shop's profile deleted", sql("DELETE FROM frame_shopprofile"), "profile", RESTORE),
    # the journal
    Kind(
        "an entry changed",
        sql("UPDATE frame_journalentry SET verb = 'other' WHERE sequence = 7"),
        "Entry 7 was changed",
        RESTORE,
    ),
    Kind("an entry deleted", entry_gone("7"), "Entry 7 is missing", RESTORE),
    Kind(
        "its end cut off",
        entry_gone("(SELECT MAX(sequence) FROM frame_journalentry)"),
        "end of the journal is missing",
        RESTORE,
    ),
    Kind("its head gone", sql("DELETE FROM frame_journalhead"), "beyond the journal’s end", RESTORE),
    Kind(
        "seals taken out",
        sql("UPDATE frame_journalentry SET data = '{}'"),
        "was changed after it was written",
        RESTORE,
    ),
    Kind("chain rebuilt, reports too", rebuilt, "not what it was by the backup", WHO),
    # guards
    Kind("a guard dropped", drop_trigger, "guard of office_payment is gone", "manage.py migrate"),
    Kind(
        "a guard made weaker",
        lambda shop: drop_trigger(shop, WEAKER),
        "guard of office_payment",
        "manage.py migrate",
    ),
    Kind("every guard dropped", all_triggers, "guard of keeping_issuedpaper is gone", "manage.py migrate"),
    Kind(
        "a stranger's trigger",
        sql("CREATE TRIGGER helpful AFTER INSERT ON office_payment BEGIN SELECT 1; END", guards=False),
        "none of the shop’s stands on office_payment: helpful",
        WHO,
    ),
    # papers, pictures, files
    Kind(
        "a paper changed",
        lambda shop: shop.file(PAPERS).write_bytes(b"%PDF x"),
        "paper .* is not what was stored",
        RESTORE,
    ),
    Kind(
        "a paper emptied",
        lambda shop: shop.file(PAPERS).write_bytes(b""),
        "paper .* is not what was stored",
        RESTORE,
    ),
    Kind("a paper lost", lost(lambda: PAPERS), "paper .* is missing", RESTORE),
    Kind(
        "paper and hash changed together",
        with_its_hash,
        r"issuedpaper \d+: sha256, size are not what",
        RESTORE,
    ),
    Kind(
        "a paper called deleted",
        sql(f"UPDATE keeping_issuedpaper SET file = '', deleted_at = issued_at {NEWEST_PAPER}"),
        "was deleted, and the journal knows nothing",
        RESTORE,
    ),
    Kind(
        "a paper's row deleted",
        sql(f"DELETE FROM keeping_issuedpaper {NEWEST_PAPER}"),
        r"issuedpaper \d+ is gone",
        RESTORE,
    ),
    Kind("a picture lost", lost(lambda: Picture.objects), r"Picture \d+ is missing", RESTORE),
    Kind("a picture emptied", emptied("file"), r"Picture \d+ is not", RESTORE),
    Kind("a picture changed", every_picture, r"Picture \d+ is not what was stored", RESTORE),
    Kind("all thumbnails emptied", emptied("thumbnail"), "small copy of picture", "doctor --fix"),
    Kind(
        "a middle copy lost", lost(lambda: Picture.objects, "medium"), "small copy of picture", "doctor --fix"
    ),
    Kind("a file lost", lost(lambda: StoredFile.objects), "file “sheet.txt” is missing", RESTORE),
    Kind(
        "a file cut", lambda shop: shop.file(StoredFile.objects).write_bytes(b"s"), "not as long as", RESTORE
    ),
    Kind("everything kept is gone", lambda shop: shutil.rmtree(shop.folder / "kept"), "is missing", RESTORE),
    # backups
    Kind(
        "a backup cut",
        lambda shop: os.truncate(shop.backup, shop.backup.stat().st_size // 2),
        "was cut off before its end|There is none",
        "manage.py (backup|restore)",
    ),
    Kind("a backup of 0 bytes", beside("x.tar", b""), "is empty", RESTORE),
    Kind("a foreign file among them", foreign, "no backup of a shop", RESTORE),
    Kind(
        "a backup of a day to come",
        lambda shop: forged(shop.folder / "backups" / "x", clock.now() + YEAR),
        "day to come",
        "delete it",
    ),
    Kind(
        "no backup left",
        lambda shop: shutil.rmtree(shop.folder / "backups"),
        "There is none",
        "manage.py backup",
    ),
    Kind("the last backup is old", older_backup(dt.timedelta(days=20)), "made .*ago", "manage.py"),
    Kind("an encrypted one cut", encrypted, "not as long as it was", RESTORE),
    # the machine
    Kind("clock a year back", at(-YEAR), "newest entry is of", "Set the computer’s clock"),
    Kind("clock a year ahead", at(YEAR), "clock is ahead", "set it"),
    Kind("secret key lost", lambda shop: (shop.folder / "secret-key").unlink(), "secret-key", "backup"),
    Kind(
        "secret key emptied", lambda shop: (shop.folder / "secret-key").write_text(""), "secret-key", "backup"
    ),
    Kind("fonts gone", without_font(Path.unlink), "is missing from the program", "unpack the program again"),
    Kind(
        "a font emptied",
        without_font(lambda path: path.write_bytes(b"")),
        "is missing from the program",
        "unpack the program again",
    ),
    Kind(
        "certificate cut",
        lambda shop: (shop.folder / "https" / "server.pem").write_text("cut"),
        "can’t be read",
        "start the shop again",
    ),
    Kind(
        "folder read-only",
        not_to_be_written,
        "may not write",
        "mounted read-only|belongs to",
    ),
    Kind("little room on the disk", free(10**8), "Room on the disk", "[Mm]ake room"),
    Kind("a letter that can't be sent", a_letter_failed, "could not be sent", "type it again"),
    Kind("a task that nobody does", a_task_waits, "nobody does them", "manage.py work"),
    Kind("disk full in the night's check", full(own.NIGHT), "is full", "[Mm]ake room"),
    Kind("disk full in the backup", full(own.BACKUP), "is full", "[Mm]ake room"),
    Kind("disk full in the restore drill", full(own.DRILL), "is full", "[Mm]ake room"),
]


def doctor() -> str:
    out = StringIO()
    try:
        call_command("doctor", stdout=out)
    except CommandError as error:
        out.write(f"{error}\n")
    return out.getvalue()


def test_the_sound_shop_is_called_sound(sound: Path, django_db_blocker: Any) -> None:
    with django_db_blocker.unblock(), opened(sound):
        assert "All books hold." in doctor()


@pytest.mark.parametrize("kind", KINDS, ids=[kind.name for kind in KINDS])
def test_damage_is_named_with_the_step_that_mends_it(
    sound: Path, tmp_path: Path, kind: Kind, monkeypatch: pytest.MonkeyPatch, django_db_blocker: Any
) -> None:
    monkeypatch.delenv("SHOP_BACKUPS", raising=False)
    folder = tmp_path / "shop"
    shutil.copytree(sound, folder)
    (folder / "backups.json").unlink(missing_ok=True)
    with django_db_blocker.unblock(), opened(folder):
        kind.does(Shop(folder, monkeypatch))
        connection.close()
        said = doctor()
    lines = [
        line for line in said.splitlines() if re.search(kind.finds, line) and not line.startswith("good")
    ]
    assert lines, f"NOT NAMED {said}"
    assert any(re.search(kind.mends, line) for line in lines), "\n".join(lines)


def test_there_are_sixty_kinds() -> None:
    assert len({kind.name for kind in KINDS}) == len(KINDS) >= 60
