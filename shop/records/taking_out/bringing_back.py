"""A book that was taken out, brought back into an empty shop: the same rows, the same files, on either database."""

from __future__ import annotations

import hashlib
import json
import zipfile
import zlib
from collections.abc import Callable, Iterator
from itertools import islice
from pathlib import Path, PurePosixPath
from typing import Any

from django.core.files import File
from django.core.files.storage import default_storage
from django.core.management.color import no_style
from django.db import DatabaseError, connection, models, transaction

from shop.counter.models import Job
from shop.frame.guards import lifted
from shop.frame.models import JournalHead, ShopProfile
from shop.frame.refusal import Refusal
from shop.records.searching import upkeep
from shop.records.taking_out import earlier
from shop.records.taking_out.book import AT_ONCE, FORMAT, VERSION, figures_of
from shop.records.taking_out.formats import Format
from shop.records.taking_out.rows import DECIDED, read_row, tables

Say = Callable[[str, int], None]
"""Told a table's name and how many rows came into it."""

LOCKED = 1
"""The bit of a packed part that is encrypted (PKWARE's APPNOTE, 4.4.4)."""
DAMAGED = (
    *(zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RecursionError),
    *(KeyError, ValueError, TypeError, AttributeError, DatabaseError),
)
"""What reading a file that is no book, a damaged one, or one that was made up, may raise."""

LARGEST_FILE = 2 << 30
LONGEST_LINE = 64 << 20
LARGEST_MANIFEST = 256 << 20
"""Some hundred bytes for each picture, file and paper: those of a million jobs."""


READ: dict[int, Format] = {
    earlier.EARLIER.version: earlier.EARLIER,
    2: Format(2, lacked=frozenset(map(str.lower, DECIDED))),
    VERSION: Format(VERSION),
}
"""How files of each format are read."""


def bring_back(path: Path, *, moving: bool = False, say: Say | None = None) -> dict[str, int]:
    """Read a book into this empty shop and build its search; returns the rows by table. All of it or nothing.

    Files and tables are checked against their hashes before anything is written. Refuses what is no such book, a damaged one,
    or a shop that is not empty. `moving`: one that holds what only the same shop can use, and no files; what came of it is then
    read again and held against the file.
    """
    if ShopProfile.objects.exists() or Job.objects.exists():
        raise Refusal("A book is brought back into an empty shop only; this one is open already.")
    try:
        with zipfile.ZipFile(path) as book:
            if any(part.flag_bits & LOCKED for part in book.infolist()):
                raise Refusal("This file is locked with a password; a book of this program never is.")
            manifest = _manifest(book)
            _check_files(book, manifest["files"])
            _check_tables(book, manifest.get("hashes", {}))
            counts = _read_tables(book, manifest, list(tables(moving=moving)), say)
            if moving:
                _hold_against(manifest)
    except DAMAGED as error:
        raise Refusal(f"This file is no book of this program, or it is damaged: {error}") from error
    upkeep.begin_building()
    for _ in upkeep.build_on():
        pass
    return counts


def _manifest(book: zipfile.ZipFile) -> dict[str, Any]:
    with book.open("manifest.json") as kept:
        told = kept.read(LARGEST_MANIFEST + 1)
    if len(told) > LARGEST_MANIFEST:
        raise Refusal("The list of what is in this book is longer than that of any book.")
    manifest = json.loads(told)
    if not isinstance(manifest, dict) or manifest.get("format") != FORMAT:
        raise Refusal("This file is no book of this program.")
    if manifest.get("version") not in READ:
        readable = ", ".join(map(str, READ))
        raise Refusal(f"This book has format {manifest.get('version')}; this program reads {readable}.")
    return manifest


def _check_files(book: zipfile.ZipFile, files: dict[str, str]) -> None:
    for name, digest in files.items():
        parts = PurePosixPath(name).parts
        if name.startswith("/") or ".." in parts or "\\" in name:
            raise Refusal(f"The book names a file outside its folder: {name}")
        if book.getinfo(f"files/{name}").file_size > LARGEST_FILE:
            raise Refusal(f"The file {name} is larger than any that this shop keeps.")
        if _digest(book, f"files/{name}") != digest:
            raise Refusal(f"The file {name} is not the one that was taken out.")


def _check_tables(book: zipfile.ZipFile, hashes: dict[str, str]) -> None:
    """Books that were taken out before tables had hashes name none."""
    for label, digest in hashes.items():
        if _digest(book, f"tables/{label}.jsonl") != digest:
            raise Refusal(f"The table {label} is not the one that was taken out.")


def _digest(book: zipfile.ZipFile, name: str) -> str:
    told = hashlib.sha256()
    with book.open(name) as kept:
        while piece := kept.read(1 << 20):
            told.update(piece)
    return told.hexdigest()


def _hold_against(manifest: dict[str, Any]) -> None:
    """Read every table as it stands now, and refuse where it has other rows than the file says."""
    differ = [
        model._meta.label_lower
        for model in tables(moving=True)
        if figures_of(model)
        != (manifest["tables"][model._meta.label_lower], manifest["hashes"][model._meta.label_lower])
    ]
    if differ:
        raise Refusal(f"The rows of {', '.join(differ)} did not come out of the new book as they went in.")


def _read_tables(
    book: zipfile.ZipFile, manifest: dict[str, Any], known: list[type[models.Model]], say: Say | None
) -> dict[str, int]:
    form = READ[manifest["version"]]
    expected, there = {form.name(model._meta.label_lower) for model in known}, set(manifest["tables"])
    expected -= form.lacked
    if strange := sorted(there - expected if form.may_lack_tables else there ^ expected):
        raise Refusal(f"The book has other tables than this program: {', '.join(strange)}")
    there_today = [model for model in known if form.name(model._meta.label_lower) in there]
    # The guards of frozen rows are away while rows that are frozen already are written. All of it is one transaction, so
    # nobody else ever sees the book without them; the inner savepoint lets them be put back after an error as well.
    with transaction.atomic(), lifted(connection), transaction.atomic():
        _look_at_references("DEFERRED")
        counts = _fill_tables(book, manifest["tables"], there_today, form, say)
        form.afterwards(book)
        _look_at_references("IMMEDIATE")
        _put_files(book, manifest["files"])
    return counts


def _look_at_references(when: str) -> None:
    """On PostgreSQL, look at foreign keys now or later: rows come table by table, and may point at tables that come after."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(f"SET CONSTRAINTS ALL {when}")


def _fill_tables(
    book: zipfile.ZipFile,
    told: dict[str, int],
    known: list[type[models.Model]],
    form: Format,
    say: Say | None,
) -> dict[str, int]:
    counts: dict[str, int] = {}
    _clear_first_pages()
    for model in known:
        label = model._meta.label_lower
        most = told[form.name(label)]
        counts[label] = _read_table(book, model, form, most=most)
        if counts[label] != most:
            raise Refusal(f"The table {label} has not the {most} rows that were taken out.")
        if say is not None:
            say(label, counts[label])
    _set_sequences(known)
    return counts


def _clear_first_pages() -> None:
    """What migrations write into an empty shop is in the book as well."""
    JournalHead.objects.all().delete()
    for model in tables():
        if model._meta.label_lower == "auth.group":
            model._base_manager.all().delete()


def _read_table(book: zipfile.ZipFile, model: type[models.Model], form: Format, *, most: int) -> int:
    """Read the rows of one table, one more than the list of contents tells at most, and return how many there were."""
    count = 0
    lines = islice(_lines(book, f"tables/{form.name(model._meta.label_lower)}.jsonl"), most + 1)
    while some := list(islice(lines, AT_ONCE)):
        model._base_manager.bulk_create([read_row(model, form.row(model, json.loads(line))) for line in some])
        count += len(some)
    return count


def _lines(book: zipfile.ZipFile, name: str) -> Iterator[str]:
    with book.open(name) as table:
        while line := table.readline(LONGEST_LINE + 1):
            if len(line) > LONGEST_LINE:
                raise Refusal(f"{name} has a line that is longer than any row.")
            yield line.decode("utf-8")


def _put_files(book: zipfile.ZipFile, files: dict[str, str]) -> None:
    """Keep all files under their own names, or none of them."""
    put: list[str] = []
    try:
        for name in files:
            _put_file(book, name, put)
    except BaseException:
        for saved in put:
            default_storage.delete(saved)
        raise


def _put_file(book: zipfile.ZipFile, name: str, put: list[str]) -> None:
    if default_storage.exists(name):
        raise Refusal(f"The file {name} is here already; the folder of this shop is not empty.")
    with book.open(f"files/{name}") as kept:
        put.append(default_storage.save(name, File(kept, name=name)))
    if put[-1] != name:
        raise Refusal(f"The file {name} could not be kept under its own name.")


def _set_sequences(known: list[type[models.Model]]) -> None:
    """Have the database number new rows after those that came with their numbers."""
    statements = connection.ops.sequence_reset_sql(no_style(), known)
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
