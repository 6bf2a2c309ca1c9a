"""Everything can be taken out and brought back equal: every row, every file by its hash, on either database."""

from __future__ import annotations

import hashlib
import io
import json
import os
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import FileSystemStorage, default_storage
from django.core.management import call_command
from django.db import connection, transaction

from shop.frame.guards import lifted
from shop.frame.journal import verify
from shop.frame.models import ShopProfile, Staff
from shop.frame.refusal import Refusal
from shop.keeping.models import Picture
from shop.planner.actions import make_feed_key, move_in_queue
from shop.planner.keys import digest_of
from shop.planner.models import FeedKey
from shop.planner.reading import queue_book
from shop.planner.reckoning import reckon
from shop.records.models import SearchRow, Synonym
from shop.records.searching.answering import Asking, ask
from shop.records.taking_out import book as taking_out
from shop.records.taking_out import bringing_back
from shop.records.taking_out.book import take_out
from shop.records.taking_out.bringing_back import bring_back
from shop.records.taking_out.rows import tables
from shop.scenes.walkthrough import walk_through
from tests.factories.counter import booked_in
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.factories.records import past_job

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgres]


@pytest.fixture(autouse=True)
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of its own for what is kept, so that it can be emptied."""
    folder = tmp_path / "kept"
    monkeypatch.setattr(default_storage, "_wrapped", FileSystemStorage(location=folder))
    return folder


@pytest.fixture(autouse=True)
def _read_where_it_stands(monkeypatch: pytest.MonkeyPatch) -> None:
    """Django lets no test open a database of its own making; the copy that is read elsewhere is tried by other processes."""

    @contextmanager
    def as_it_stands() -> Iterator[str]:
        with transaction.atomic():
            yield "default"

    monkeypatch.setattr(taking_out, "picture_of_the_book", as_it_stands)


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A shop with a job that went the whole way, taken out."""
    walk_through()
    past_job(complaint="Hum µ Ω “quoted”\nsecond line", failed="Relay", mode="dirty", hours=1.5)
    Synonym.objects.create(words="wibbly, wavers", by=Staff.objects.first())
    picture = Picture(sha256="0" * 64, width=1, height=1)
    picture.file.save("pictures/2026/11/one.jpg", ContentFile(b"\xff\xd8 picture"), save=True)
    path = tmp_path / "book.zip"
    take_out(path, by=None, with_passwords=True)
    return path


def contents(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as book:
        return {name: book.read(name) for name in book.namelist()}


def empty_the_shop(kept: Path) -> None:
    """What a new shop is: migrated, with nothing in it."""
    names = [model._meta.db_table for model in tables() if model._meta.label_lower != "auth.group"]
    names += [
        "records_searchwords",
        "records_searchtexts",
        "records_searchrow",
        "records_knownserial",
        "records_term",
        "records_searchstate",
        "planner_jobforecast",
        "planner_forecaststate",
    ]
    with lifted(connection), connection.constraint_checks_disabled(), connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(f"TRUNCATE {', '.join(names)} CASCADE")
        else:
            for name in names:
                cursor.execute(f"DELETE FROM {name}")  # noqa: S608
    for file in [*kept.rglob("*")][::-1]:
        file.unlink() if file.is_file() else file.rmdir()


def test_the_book_brought_back_is_the_book_that_was_taken_out(book: Path, kept: Path, tmp_path: Path) -> None:
    files = {str(file.relative_to(kept)): file.read_bytes() for file in kept.rglob("*") if file.is_file()}
    empty_the_shop(kept)
    assert not ShopProfile.objects.exists()
    bring_back(book)
    assert verify() == []
    assert {
        str(file.relative_to(kept)): file.read_bytes() for file in kept.rglob("*") if file.is_file()
    } == files
    again = tmp_path / "again.zip"
    take_out(again, by=None, with_passwords=True)
    before, after = contents(book), contents(again)
    # taking out is itself written in the journal: one entry and the head differ, nothing else
    journal = {"tables/frame.journalentry.jsonl", "tables/frame.journalhead.jsonl", "manifest.json"}
    assert set(before) == set(after)
    for name in set(before) - journal:
        assert before[name] == after[name], name
    entries = "tables/frame.journalentry.jsonl"
    assert after[entries].startswith(before[entries])
    assert after[entries].count(b"\n") == before[entries].count(b"\n") + 1


def test_the_shop_goes_on_where_it_stood_and_finds_what_it_found(book: Path, kept: Path) -> None:
    empty_the_shop(kept)
    bring_back(book)
    assert SearchRow.objects.count() == 2
    assert len(ask(Asking(text="hum")).hits) == 1
    job = past_job(complaint="the next one")
    assert [hit.job for hit in ask(Asking(text="next one")).hits] == [job]
    StaffFactory()


def test_what_a_person_decided_at_the_planner_goes_along_and_its_dates_do_not(
    kept: Path, tmp_path: Path
) -> None:
    """A book of the format before, which had nothing of the planner's, is read as well: its queue is as it was booked in."""
    ShopProfileFactory()
    first, second, third = booked_in(), booked_in(), booked_in()
    by = first.accepted_by
    move_in_queue(job=third, place=1, by=by)
    key, secret = make_feed_key(label="Phone", names=False, by=by)
    reckon()
    path, before = tmp_path / "book.zip", tmp_path / "format-2.zip"
    take_out(path, by=None)
    inside = contents(path)
    assert {name for name in inside if "/planner." in name} == {
        f"tables/planner.{name}.jsonl" for name in ("queueplace", "feedkey", "reminded")
    }
    assert secret.encode() not in b"".join(inside.values())
    readme = inside["README.txt"].decode()
    assert all(words in readme for words in ("planner.queueplace", "planner.feedkey", "second\nstep"))
    manifest = json.loads(inside["manifest.json"]) | {"version": 2}
    with zipfile.ZipFile(before, "w") as older:
        for name, content in inside.items():
            if "/planner." not in name and name != "manifest.json":
                older.writestr(name, content)
        for what in ("tables", "hashes"):
            manifest[what] = {name: told for name, told in manifest[what].items() if "planner" not in name}
        older.writestr("manifest.json", json.dumps(manifest))
    for file, order in ((path, [third, first, second]), (before, [first, second, third])):
        empty_the_shop(kept)
        said = io.StringIO()
        call_command("import_book", str(file), stdout=said, stderr=io.StringIO())
        assert "The second step at sign-in is not in such a file" in said.getvalue()
        assert [job.pk for job in queue_book().jobs] == [job.pk for job in order]
    assert not FeedKey.objects.exists()
    empty_the_shop(kept)
    bring_back(path)
    assert FeedKey.objects.get(digest=digest_of(secret)).pk == key.pk


TYPES = {
    "string": str,
    "integer": int,
    "number": (int, float),
    "boolean": bool,
    "object": dict,
    "array": list,
    "null": type(None),
}


def faults(told: dict[str, Any], row: dict[str, Any]) -> list[str]:
    """Where a row is not what its schema says: `required`, `type` and `enum` of JSON Schema, which are all that it uses."""
    wrong = [] if set(row) == set(told["required"]) else [f"columns {set(row) ^ set(told['required'])}"]
    for name, value in row.items():
        column = told["properties"][name]
        types = column["type"] if isinstance(column["type"], list) else [column["type"]]
        fits = any(isinstance(value, TYPES[one]) for one in types)
        if not fits or (isinstance(value, bool) and "boolean" not in types):
            wrong.append(f"{name} is {value!r}, not {types}")
        if "enum" in column and value not in column["enum"]:
            wrong.append(f"{name} is {value!r}, not one of {column['enum']}")
    return wrong


def test_every_line_follows_its_schema(book: Path) -> None:
    inside = contents(book)
    schema = json.loads(inside["schema.json"])
    lines = 0
    for label, told in schema.items():
        for line in inside[f"tables/{label}.jsonl"].splitlines():
            assert faults(told, json.loads(line)) == [], label
            lines += 1
    assert lines == sum(json.loads(inside["manifest.json"])["tables"].values()) > 100
    known_bad = json.loads(inside["tables/counter.job.jsonl"].splitlines()[0]) | {"stage": "lost", "id": "7"}
    assert len(faults(schema["counter.job"], known_bad)) == 2


def test_a_book_says_what_is_what_and_every_table_has_its_hash(book: Path) -> None:
    inside = contents(book)
    hashes = json.loads(inside["manifest.json"])["hashes"]
    assert hashes == {
        name[len("tables/") : -len(".jsonl")]: hashlib.sha256(content).hexdigest()
        for name, content in inside.items()
        if name.startswith("tables/")
    }
    told = inside["README.txt"].decode()
    assert all(name in told for name in ("manifest.json", "schema.json", "tables/", "files/", "SHA-256"))


def test_passwords_stay_here_unless_they_are_asked_for(book: Path, tmp_path: Path) -> None:
    plain = tmp_path / "plain.zip"
    take_out(plain, by=None)
    for line in contents(plain)["tables/frame.staff.jsonl"].splitlines():
        assert json.loads(line)["password"] == ""


def test_an_open_shop_a_damaged_book_and_what_is_no_book_are_refused_and_nothing_is_written(
    book: Path, kept: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bringing_back, "LARGEST_MANIFEST", 1 << 20)
    with pytest.raises(Refusal, match="open already"):
        bring_back(book)
    empty_the_shop(kept)
    inside = contents(book)
    picture = next(name for name in inside if name.startswith("files/"))
    staff = "tables/frame.staff.jsonl"
    wrong = {
        "changed file": inside | {picture: b"another picture"},
        "missing row": inside | {"tables/counter.job.jsonl": b""},
        "changed row": inside | {staff: inside[staff].replace(b"true", b"false")},
        "row twice": inside | {staff: inside[staff] * 2},
        "no count": inside
        | {"manifest.json": inside["manifest.json"].replace(b'"counter.job": ', b'"counter.job": -')},
        "long list": inside
        | {"manifest.json": inside["manifest.json"] + b" " * bringing_back.LARGEST_MANIFEST},
        "no JSON": inside | {staff: b"{not json\n"},
        "other format": inside | {"manifest.json": b'{"format": "something else"}'},
        "outside": {
            **inside,
            "manifest.json": json.dumps(
                json.loads(inside["manifest.json"]) | {"files": {"../../etc/x": "0"}}
            ).encode(),
        },
    }
    for name, content in wrong.items():
        path = tmp_path / f"{name}.zip"
        with zipfile.ZipFile(path, "w") as damaged:
            for entry, data in content.items():
                damaged.writestr(entry, data)
        with pytest.raises(Refusal):
            bring_back(path)
        assert not ShopProfile.objects.exists(), name
        assert not [file for file in kept.rglob("*") if file.is_file()], name
    (tmp_path / "no.zip").write_bytes(b"no zip at all")
    with pytest.raises(Refusal):
        bring_back(tmp_path / "no.zip")


def test_the_commands_say_what_they_did(book: Path, kept: Path, tmp_path: Path) -> None:
    out = io.StringIO()
    call_command("export_book", str(tmp_path / "by-command.zip"), stdout=out, stderr=io.StringIO())
    assert "rows and" in out.getvalue()
    call_command("build_search", stdout=out, stderr=io.StringIO())
    assert "The search is whole" in out.getvalue()
    call_command("build_search", again=True, stdout=out, stderr=io.StringIO())
    assert "The search holds 2 jobs." in out.getvalue()


ELSEWHERE = """
import sys
from pathlib import Path
from django.core.management import call_command
call_command("migrate", verbosity=0)
from shop.records.taking_out.book import take_out
from shop.scenes.walkthrough import walk_through
walk_through()
take_out(Path(sys.argv[1]), by=None, with_passwords=True)
"""


@pytest.mark.postgres(only=True)
def test_a_book_kept_on_sqlite_moves_to_postgresql_equal(kept: Path, tmp_path: Path) -> None:
    """The book is made by another process on SQLite, brought back here, and taken out again."""
    path, again = tmp_path / "sqlite.zip", tmp_path / "postgresql.zip"
    left_out = {"DATABASE_URL", "PYTEST_VERSION", "PYTEST_CURRENT_TEST"}
    surroundings = {name: value for name, value in os.environ.items() if name not in left_out}
    surroundings |= {"SHOP_DATA": str(tmp_path / "sqlite-shop"), "DJANGO_SETTINGS_MODULE": "shop.settings"}
    code = f"import django; django.setup(); exec({ELSEWHERE!r})"
    done = subprocess.run(
        [sys.executable, "-c", code, str(path)], env=surroundings, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr[-2000:]
    empty_the_shop(kept)
    bring_back(path)
    assert verify() == []
    take_out(again, by=None, with_passwords=True)
    before, after = contents(path), contents(again)
    journal = {"tables/frame.journalentry.jsonl", "tables/frame.journalhead.jsonl", "manifest.json"}
    assert {
        name
        for name in set(before) | set(after)
        if name not in journal and before.get(name) != after.get(name)
    } == set()
    entries = "tables/frame.journalentry.jsonl"
    assert after[entries].startswith(before[entries])
