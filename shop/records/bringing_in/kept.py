"""A list as the shop keeps it: one plain table in a file, read from any place on; its headings; and what is blanked in it.

A kept file that can no longer be read stops nothing else: whoever forgets a customer drops it, for it may name them.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import logging
import tempfile
import uuid
from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import closing
from functools import partial
from itertools import dropwhile, islice, zip_longest
from typing import IO

from django.core.files.base import File
from django.db import transaction

from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.records.bringing_in.apart import Table, table_of
from shop.records.bringing_in.columns import matched
from shop.records.bringing_in.limits import LONGEST_CELL
from shop.records.models import Batch, BroughtRow, Library

LEAST_HEADINGS = 2
"""A list has a column of days and one of complaints at least."""

HEADINGS_AMONG = 12
"""The headings stand in one of so many first rows."""

LONGEST_HEADING = 80
FORGOTTEN_ROW = "Its customer was forgotten."
NO_LONGER_READ = "The file of this list can’t be read any more."

csv.field_size_limit(8 * LONGEST_CELL)
_log = logging.getLogger(__name__)

KeptRow = tuple[int, list[str]]
"""A row's number in the sheet, and its cells."""


class Unkept(Refusal):
    """The file of a list is gone, or holds something else than was written."""

    def __init__(self) -> None:
        super().__init__(NO_LONGER_READ)


def start_batch(
    *,
    name: str,
    file: IO[bytes],
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Batch:
    """Keep a CSV or XLSX file, and match its columns as well as can be. Nothing is brought in yet."""
    with table_of(file) as table:
        batch = Batch(name=name[:200], by=by, notices=list(table.notices))
        head_of(table, batch)
        with acting(by=by, at=at, once=once_key) as act:
            batch.made_at = act.at
            batch.file.save(f"{uuid.uuid4()}.csv", File(table.file), save=False)
            batch.save(force_insert=True)
            act.record("batch.started", subject=batch, rows=batch.rows)
    return batch


def head_of(table: Table, one: Batch | Library) -> None:
    """Tell where a list that was read has its headings and what they likely mean; the table stands at its start then."""
    first = list(islice(_rows_in(table.file), HEADINGS_AMONG))
    _head_by(one, first, _likely_header(first), total=table.rows)
    table.file.seek(0)


def choose_header(*, batch: Batch, row: int, by: Staff | None, once_key: uuid.UUID | None = None) -> Batch:
    """Take another row of the sheet for the headings, and match the columns anew."""
    with acting(by=by, once=once_key) as act:
        batch.refresh_from_db(from_queryset=Batch.objects.select_for_update())
        if batch.state not in {Batch.State.MATCHING, Batch.State.UNDONE}:
            raise Refusal("This file is being imported already.")
        first = first_rows(batch)
        numbers = [number for number, _ in first]
        if row not in numbers:
            raise Refusal(f"The headings stand in one of the first {HEADINGS_AMONG} rows with words.")
        above = numbers.index(batch.header_row) + 1
        _head_by(batch, first, row, total=batch.rows + above)
        batch.outcome_words = {}
        batch.save(update_fields=["header", "header_row", "columns", "rows", "outcome_words"])
        act.record("batch.matched", subject=batch)
    return batch


def _likely_header(first: Sequence[KeptRow]) -> int:
    """The first row that is no title: one with two cells at least."""
    told = dropwhile(lambda row: sum(bool(cell.strip()) for cell in row[1]) < LEAST_HEADINGS, first)
    number, _ = next(iter(told), (0, []))
    if not number:
        raise Refusal(
            "This file has no row below its header. A list has a row of headings, with two of them at least.",
            field="file",
        )
    return number


def _head_by(batch: Batch | Library, first: Sequence[KeptRow], header_row: int, *, total: int) -> None:
    above = sum(number <= header_row for number, _ in first)
    if total <= above:
        raise Refusal("This file has no row below its header.", field="file")
    header = dict(first)[header_row]
    widest = max(len(cells) for number, cells in first if number >= header_row)
    batch.header = [_heading(cell) for cell in [*header, *[""] * (widest - len(header))]]
    batch.header_row, batch.rows = header_row, total - above
    batch.columns = matched(batch.header)


def _heading(cell: str) -> str:
    return " ".join("".join(c for c in cell if c.isprintable() or c.isspace()).split())[:LONGEST_HEADING]


# --- rows ------------------------------------------------------------------------------------------------------


def kept_rows(batch: Batch) -> Iterator[KeptRow]:
    """The rows below the headings with their numbers in the sheet, one at a time. Raises Unkept."""
    return (row for row, _ in rows_from(batch, 0))


def rows_from(batch: Batch | Library, place: int) -> Iterator[tuple[KeptRow, int]]:
    """The rows from a place in the file on, each with the place where the next begins. Raises Unkept."""
    with _opened(batch) as file:
        file.seek(place)
        for row in _rows_in(file):
            if row[0] > batch.header_row:
                yield row, file.tell()


def first_rows(batch: Batch) -> list[KeptRow]:
    """The first rows of the sheet that say something, those above the headings too. Raises Unkept."""
    with _opened(batch) as file:
        return list(islice(_rows_in(file), HEADINGS_AMONG))


def _opened(batch: Batch | Library) -> closing[IO[bytes]]:
    try:
        return closing(batch.file.storage.open(batch.file.name or "", "rb"))
    except (OSError, ValueError) as error:
        raise Unkept from error


def _rows_in(file: IO[bytes]) -> Iterator[KeptRow]:
    """The rows of an open file; it stands where the next begins, since no line is read ahead."""
    lines = iter(file.readline, b"")
    try:
        for number, *cells in csv.reader(line.decode("utf-8") for line in lines):
            yield int(number), cells
    except (csv.Error, ValueError, OSError) as error:
        raise Unkept from error


def throw_away(*, batch: Batch, by: Staff | None, once_key: uuid.UUID | None = None) -> None:
    """Delete a list of which nothing was ever brought in, with its file."""
    with acting(by=by, once=once_key) as act:
        batch = Batch.objects.select_for_update().get(pk=batch.pk)
        if batch.state != Batch.State.MATCHING or batch.outcomes.exists():
            raise Refusal("Jobs came from this list; it can be taken back, and stays as their source.")
        act.record("batch.thrown_away", rows=batch.rows)
        batch.delete()
        if name := batch.file.name:
            transaction.on_commit(partial(batch.file.storage.delete, name))


# --- one person in the lists -------------------------------------------------------------------------------------


def told_of(jobs: Collection[int]) -> Iterator[dict[str, object]]:
    """The rows of kept lists that these jobs came from, by their headings: more may stand there than was brought in."""
    became = _rows_that_became(jobs)
    for batch in Batch.objects.filter(pk__in=became):
        for number, cells in readable_rows(batch):
            if number in became[batch.pk]:
                yield {"list": batch.name, "row": number, "cells": list(zip_longest(batch.header, cells))}


def _rows_that_became(jobs: Collection[int]) -> dict[int, set[int]]:
    became: dict[int, set[int]] = defaultdict(set)
    for pk, number in BroughtRow.objects.filter(job__in=jobs).values_list("batch_id", "number"):
        became[pk].add(number)
    return became


def readable_rows(batch: Batch) -> Iterator[KeptRow]:
    """The rows of a kept list as far as they can be read."""
    try:
        yield from kept_rows(batch)
    except Unkept:
        _log.warning("The file of list %s can't be read.", batch.pk)


def blank_rows(
    jobs: Sequence[int],
    *,
    says: Callable[[Sequence[str]], bool],
    chosen: Collection[tuple[int, int]] = (),
    without: Callable[[str], str] = str,
) -> None:
    """Empty the rows of kept lists that these jobs came from, and those that became no job and of which `says` holds.

    Their customer is being forgotten. Of the rows `chosen`, by list and number, each cell is kept as `without` leaves it.
    """
    became = _rows_that_became(jobs)
    for batch in Batch.objects.all():
        others = set(
            batch.outcomes.filter(job__isnull=False).exclude(job__in=jobs).values_list("number", flat=True)
        )
        shortened = {number for pk, number in chosen if pk == batch.pk}
        try:
            gone = became[batch.pk] | {
                number for number, cells in kept_rows(batch) if number not in others and says(cells)
            }
            if gone or shortened:
                _blank(batch, gone, shortened - gone, without)
        except Unkept:
            _drop_file(batch)


def _blank(
    batch: Batch, gone: Collection[int], shortened: Collection[int], without: Callable[[str], str]
) -> None:
    """Keep the file of a batch without what these rows said, and nothing of what was said about them."""
    before = batch.file.name
    with tempfile.TemporaryFile() as kept, _opened(batch) as file:
        text = io.TextIOWrapper(kept, encoding="utf-8", newline="", write_through=True)
        writer, left = csv.writer(text), batch.done
        batch.place = 0
        for number, cells in _rows_in(file):
            told = [""] * len(cells) if number in gone else cells
            writer.writerow([number, *(map(without, told) if number in shortened else told)])
            if number > batch.header_row and left:
                left -= 1
                batch.place = kept.tell()
        text.detach()
        kept.seek(0)
        batch.file.save(f"{uuid.uuid4()}.csv", File(kept), save=False)
    batch.save(update_fields=["file", "place"])
    batch.outcomes.filter(number__in=gone).exclude(sentence="").update(sentence=FORGOTTEN_ROW)
    if before:
        transaction.on_commit(partial(batch.file.storage.delete, before))


def _drop_file(batch: Batch) -> None:
    """Part with a file that can't be read: whom it names can't be told."""
    if batch.file.name:
        transaction.on_commit(partial(batch.file.storage.delete, batch.file.name))
