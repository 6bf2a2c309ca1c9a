"""The whole book in one zip file: a JSON Lines file for each table with its schema, every picture, file and paper, and a list of
what is in it with hashes. Nothing in it needs this program to be read.

    README.txt      what is what, for whoever opens the file
    manifest.json   format, day, counts of rows, hashes of all tables and files
    schema.json     JSON Schema by table
    tables/NAME.jsonl
    files/PATH      pictures, files and papers as they are kept
"""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from django.core.files.storage import default_storage
from django.db import DEFAULT_DB_ALIAS, models

from shop.frame import clock
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.once import keyless
from shop.records.taking_out.picture import picture_of_the_book
from shop.records.taking_out.rows import SECRET, plain_row, schema_of, tables

FORMAT = "mendwright-book"
VERSION = 3
AT_ONCE = 2000
README = """A whole book of Mendwright: everything that a repair shop has written down.

schema.json    what the columns of each table hold, as JSON Schema
tables/        one file for each table: JSON Lines in UTF-8, one row a line, one value for each column
files/         photographs, files and issued papers under the names by which the rows know them
manifest.json  format and version, when it was taken out, how many rows each table has, and SHA-256 of each table
               ("hashes") and of each file ("files")

Rows know each other by id: counter.job has unit_id, which is the id of a row of counter.unit. Money is in whole minor units of
its currency, moments are in UTC with their offset (ISO 8601). The journal (frame.journalentry) tells who did what and when.
Passwords are blank unless they were asked for.

In it is what people wrote down, issued and decided, the queue as somebody put it (planner.queueplace), keys to the calendar
(planner.feedkey) and reminders dealt with (planner.reminded) among it. Not in it is what the program works out by itself, the
search and the dates of open jobs, and what is of use on one machine only: who is signed in, long work that waits, and the second
step at sign-in. Its secrets would open accounts, so each person sets it up again in the shop that took the book in.

It holds personal data of customers: keep it as you keep the shop's books. An empty shop takes it in by

    python3 manage.py import_book FILE
"""
Say = Callable[[str, int, int], None]
"""Told a table's name, how many tables are written, and of how many."""


@keyless("read")
def take_out(
    path: Path, *, by: Staff | None, with_passwords: bool = False, say: Say | None = None
) -> dict[str, Any]:
    """Write everything to `path` and return the manifest. All tables are read from one picture; nobody waits for it."""
    with acting(by=by) as act:
        act.record("book.taken_out")
    return write_book(path, with_passwords=with_passwords, say=say)


def write_book(
    path: Path, *, with_passwords: bool = True, moving: bool = False, say: Say | None = None
) -> dict[str, Any]:
    """Write the file alone, nothing into the journal. `moving`: every table, and no files, which stay where they are."""
    manifest: dict[str, Any] = {
        "format": FORMAT,
        "version": VERSION,
        "taken_out_at": clock.now().isoformat(),
        "tables": {},
        "hashes": {},
        "files": {},
        "with_passwords": with_passwords,
    }
    with (
        zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as book,
        picture_of_the_book() as using,
    ):
        models_ = list(tables(moving=moving))
        book.writestr("README.txt", README)
        _write_json(book, "schema.json", {model._meta.label_lower: schema_of(model) for model in models_})
        names: set[str] = set()
        for at, model in enumerate(models_, start=1):
            label = model._meta.label_lower
            count, digest = _write_table(book, model, names, using=using, with_passwords=with_passwords)
            manifest["tables"][label], manifest["hashes"][label] = count, digest
            if say is not None:
                say(label, at, len(models_))
        for name in [] if moving else sorted(names):
            if digest := _write_file(book, name):
                manifest["files"][name] = digest
        _write_json(book, "manifest.json", manifest)
    return manifest


def _write_table(
    book: zipfile.ZipFile, model: type[models.Model], names: set[str], *, using: str, with_passwords: bool
) -> tuple[int, str]:
    """Write the rows of one table; how many they are, and the hash of what was written."""
    label = model._meta.label_lower
    files = [f.attname for f in model._meta.concrete_fields if isinstance(f, models.FileField)]
    hidden = [] if with_passwords else [column for table, column in SECRET if table == label]
    count, digest = 0, hashlib.sha256()
    with book.open(f"tables/{label}.jsonl", "w", force_zip64=True) as table:
        for row in _rows(model, using):
            values = row | dict.fromkeys(hidden, "")
            names.update(values[name] for name in files if values[name])
            line = _line(model, values)
            table.write(line)
            digest.update(line)
            count += 1
    return count, digest.hexdigest()


def figures_of(model: type[models.Model]) -> tuple[int, str]:
    """How many rows a table of the shop's own book has, and the hash that it would be taken out with, passwords and all."""
    count, digest = 0, hashlib.sha256()
    for row in _rows(model, DEFAULT_DB_ALIAS):
        digest.update(_line(model, row))
        count += 1
    return count, digest.hexdigest()


def _line(model: type[models.Model], row: dict[str, Any]) -> bytes:
    return plain_row(model, row).encode("utf-8") + b"\n"


def _rows(model: type[models.Model], using: str) -> Iterator[dict[str, Any]]:
    columns = [f.attname for f in model._meta.concrete_fields]
    rows = model._base_manager.using(using).order_by("pk").values_list(*columns)
    for row in rows.iterator(chunk_size=AT_ONCE):
        yield dict(zip(columns, row, strict=True))


def _write_file(book: zipfile.ZipFile, name: str) -> str:
    """Put one kept file in, a piece at a time; an empty answer when it is no longer there."""
    if not default_storage.exists(name):
        return ""
    digest = hashlib.sha256()
    with default_storage.open(name, "rb") as kept, book.open(f"files/{name}", "w", force_zip64=True) as into:
        while piece := kept.read(1 << 20):
            digest.update(piece)
            into.write(piece)
    return digest.hexdigest()


def _write_json(book: zipfile.ZipFile, name: str, content: Any) -> None:
    book.writestr(name, json.dumps(content, indent=2, ensure_ascii=False, sort_keys=True) + "\n")
