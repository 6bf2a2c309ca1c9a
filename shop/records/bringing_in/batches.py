"""Bringing a batch in: the file kept as CSV, its columns matched, its rows taken some hundreds at a time; and taking it back.

Each step is one transaction with one journal entry, so that a batch that is broken off goes on where it stopped. A row is known
again by what it says: the same file brought in twice makes nothing twice. A job once written is never deleted from a book;
a batch that is taken back has its jobs called off and out of the search, and bringing the file in again brings the same
jobs back.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import tempfile
import uuid
from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import dropwhile, islice, zip_longest
from typing import IO, Any

from django.core.files.base import File
from django.db import transaction

from shop.counter.models import Job
from shop.counter.stages import Stage
from shop.frame import clock
from shop.frame.journal import Act, acting
from shop.frame.models import Staff
from shop.frame.once import keyless
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.records.bringing_in.columns import COLUMNS, matched, missing
from shop.records.bringing_in.reading import OldJob, Unreadable, digest_of, month_comes_first, read
from shop.records.bringing_in.separated import separated_rows
from shop.records.bringing_in.workbook import workbook_rows
from shop.records.bringing_in.writing import write_jobs
from shop.records.models import Batch, BroughtRow

AT_ONCE = 400
MOST_ROWS = 1_000_000
MOST_COLUMNS = 200
LEAST_HEADINGS = 2
"""A list has a column of days and one of complaints at least."""

MONTH_FIRST = {"US", "PH"}
ROWS_THAT_TELL = 2_000
"""So many rows at the beginning tell how a list writes its dates."""

FORGOTTEN_ROW = "Its customer was forgotten."


def start_batch(
    *,
    name: str,
    file: IO[bytes],
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Batch:
    """Keep a CSV or XLSX file, and match its columns as well as can be. Nothing is brought in yet."""
    filled = (row[:MOST_COLUMNS] for row in _rows_of(name, file) if any(cell.strip() for cell in row))
    told = _from_the_header(filled)
    header = [cell.strip()[:80] for cell in next(told, [])]
    with tempfile.TemporaryFile() as kept:
        rows = _keep(told, kept)
        if not rows:
            raise Refusal("This file has no row below its header.", field="file")
        if rows > MOST_ROWS:
            raise Refusal(f"Up to {MOST_ROWS:,} rows are brought in at a time.", field="file")
        kept.seek(0)
        with acting(by=by, at=at, once=once_key) as act:
            batch = Batch(
                name=name[:200], header=header, columns=matched(header), rows=rows, by=by, made_at=act.at
            )
            batch.file.save(f"{uuid.uuid4()}.csv", File(kept), save=False)
            batch.save(force_insert=True)
            act.record("batch.started", subject=batch, rows=batch.rows)
    return batch


def _keep(rows: Iterable[list[str]], file: IO[bytes]) -> int:
    """Write the rows as CSV, one after the other; how many there are, or one more than are taken at a time."""
    text = io.TextIOWrapper(file, encoding="utf-8", newline="", write_through=True)
    writer, count = csv.writer(text), 0
    for row in islice(rows, MOST_ROWS + 1):
        writer.writerow(row)
        count += 1
    text.detach()
    return count


def _rows_of(name: str, file: IO[bytes]) -> Iterator[list[str]]:
    return workbook_rows(file) if name.lower().endswith((".xlsx", ".xlsm")) else separated_rows(file)


def _from_the_header(rows: Iterable[list[str]]) -> Iterator[list[str]]:
    """The rows from the header on: a title and other single cells above it are no header."""
    return dropwhile(lambda row: sum(bool(cell.strip()) for cell in row) < LEAST_HEADINGS, rows)


def match_columns(
    *,
    batch: Batch,
    columns: Mapping[str, int],
    by: Staff | None,
    begin: bool = True,
    once_key: uuid.UUID | None = None,
) -> Batch:
    """Say which column holds what, and begin, or only look at the rows so. Refuses when day or complaint has no column."""
    if batch.state not in {Batch.State.MATCHING, Batch.State.UNDONE}:
        raise Refusal("This file is being brought in already.")
    if lacking := missing(columns):
        raise Refusal(f"Choose the column of: {', '.join(column.label.lower() for column in lacking)}.")
    known = {column.key for column in COLUMNS}
    chosen = {key: at for key, at in columns.items() if key in known and 0 <= at < len(batch.header)}
    with acting(by=by, once=once_key) as act:
        batch.columns = chosen
        if begin:
            batch.state, batch.done = Batch.State.RUNNING, 0
        batch.save(update_fields=["columns", "state", "done"])
        act.record("batch.matched", subject=batch)
    return batch


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


@dataclass(frozen=True, slots=True)
class Previewed:
    """One row as it would be brought in, or why not."""

    number: int
    cells: list[str]
    job: OldJob | None
    sentence: str = ""


def preview(batch: Batch, columns: Mapping[str, int], *, count: int = 8) -> list[Previewed]:
    """The first rows, read by these columns."""
    first = month_first(batch, columns)
    rows = islice(kept_rows(batch), count)
    return [_previewed(number, cells, columns, month_first=first) for number, cells in rows]


def _previewed(number: int, cells: list[str], columns: Mapping[str, int], *, month_first: bool) -> Previewed:
    try:
        job = read(cells, columns, month_first=month_first, today=clock.today())
        return Previewed(number, cells, job)
    except Unreadable as wrong:
        return Previewed(number, cells, None, str(wrong))


def month_first(batch: Batch, columns: Mapping[str, int]) -> bool:
    """Whether 3/4 is the fourth of March in this list: as its first rows tell, else as the shop's country writes."""
    places = [columns[key] for key in ("came", "ended") if key in columns]
    rows = islice(kept_rows(batch), ROWS_THAT_TELL)
    told = month_comes_first(cells[at].strip() for _, cells in rows for at in places if at < len(cells))
    profile = the_profile()
    here = profile.country in MONTH_FIRST and profile.language.endswith(("-US", "-PH"))
    return here if told is None else told


def kept_rows(batch: Batch, *, after: int = 0) -> Iterator[tuple[int, list[str]]]:
    """The rows of a batch's file beyond the first `after`, with their numbers, one at a time."""
    with batch.file.open("rb") as file, io.TextIOWrapper(file, encoding="utf-8", newline="") as text:
        for number, cells in enumerate(csv.reader(text), start=1):
            if number > after:
                yield number, cells


@keyless("stepwise")
def go_on(*, batch: Batch, by: Staff | None, at_once: int = AT_ONCE) -> Batch:
    """Bring the next rows in. Call again until the batch is done; each call is one transaction."""
    with acting(by=by) as act:
        batch = Batch.objects.select_for_update().get(pk=batch.pk)
        if batch.state != Batch.State.RUNNING:
            return batch
        rows = list(islice(kept_rows(batch, after=batch.done), at_once))
        jobs = _bring_in(act, batch, rows)
        batch.done += len(rows)
        if batch.done >= batch.rows or not rows:
            batch.state = Batch.State.DONE
        batch.save(update_fields=["done", "state"])
        act.record("jobs.brought_in", subject=batch, jobs=[job.pk for job in jobs], rows=len(jobs))
    return batch


def bring_all_in(*, batch: Batch, by: Staff | None, say: Callable[[int, int], None] | None = None) -> Batch:
    """Go on until the batch is done."""
    while batch.state == Batch.State.RUNNING:
        batch = go_on(batch=batch, by=by)
        if say is not None:
            say(batch.done, batch.rows)
    return batch


def take_back(*, batch: Batch, by: Staff | None, once_key: uuid.UUID | None = None) -> int:
    """Take a batch back: its jobs are called off and leave the search. Refuses when somebody has worked on one of them since."""
    if batch.state == Batch.State.UNDONE:
        return 0
    with acting(by=by, once=once_key) as act:
        mine = batch.outcomes.filter(job__isnull=False, again=False, taken_back_at__isnull=True)
        moved = mine.exclude(job__stage=Stage.GONE_HOME).first()
        if moved is not None:
            raise Refusal(f"Row {moved.number} became a job that has changed since; nothing was taken back.")
        jobs = list(mine.values_list("job_id", flat=True))
        Job.objects.filter(pk__in=mine.values("job_id")).update(stage=Stage.CALLED_OFF, stage_since=act.at)
        mine.update(taken_back_at=act.at)
        batch.state = Batch.State.UNDONE
        batch.save(update_fields=["state"])
        for start in range(0, len(jobs), 5000):
            some = jobs[start : start + 5000]
            act.record("jobs.taken_back_out", subject=batch, jobs=some, rows=len(some))
    return len(jobs)


def told_of(jobs: Collection[int]) -> Iterator[dict[str, object]]:
    """The rows of kept lists that these jobs came from, by their headings: more may stand there than was brought in."""
    became = _rows_that_became(jobs)
    for batch in _still_kept(Batch.objects.filter(pk__in=became)):
        for number, cells in kept_rows(batch):
            if number in became[batch.pk]:
                yield {"list": batch.name, "row": number, "cells": list(zip_longest(batch.header, cells))}


def _rows_that_became(jobs: Collection[int]) -> dict[int, set[int]]:
    became: dict[int, set[int]] = defaultdict(set)
    for pk, number in BroughtRow.objects.filter(job__in=jobs).values_list("batch_id", "number"):
        became[pk].add(number)
    return became


def _still_kept(some: Iterable[Batch]) -> Iterator[Batch]:
    return (batch for batch in some if batch.file.storage.exists(batch.file.name or ""))


def blank_rows(jobs: Sequence[int], *, says: Callable[[Sequence[str]], bool]) -> None:
    """Empty the rows of kept lists that these jobs came from, and those that became no job and of which `says` holds.

    Their customer is being forgotten.
    """
    became = _rows_that_became(jobs)
    for batch in _still_kept(Batch.objects.all()):
        others = set(
            batch.outcomes.filter(job__isnull=False).exclude(job__in=jobs).values_list("number", flat=True)
        )
        gone = became[batch.pk] | {
            number for number, cells in kept_rows(batch) if number not in others and says(cells)
        }
        if gone:
            _blank(batch, gone)


def _blank(batch: Batch, gone: Collection[int]) -> None:
    """Keep the file of a batch without what these rows said, and nothing of what was said about them."""
    before = batch.file.name
    with tempfile.TemporaryFile() as kept:
        _keep(([""] * len(cells) if number in gone else cells for number, cells in kept_rows(batch)), kept)
        kept.seek(0)
        batch.file.save(f"{uuid.uuid4()}.csv", File(kept), save=False)
    batch.save(update_fields=["file"])
    batch.outcomes.filter(number__in=gone).exclude(sentence="").update(sentence=FORGOTTEN_ROW)
    if before:
        transaction.on_commit(partial(batch.file.storage.delete, before))


# --- one step ----------------------------------------------------------------------------------------------------


def _bring_in(act: Act, batch: Batch, rows: Sequence[tuple[int, list[str]]]) -> list[Job]:
    """Account for every row: a new job, one that is here already or comes back, or a sentence why not."""
    repeats = _repeats(batch, rows)
    digests = {number: digest_of(cells, batch.columns, repeat=repeats[number]) for number, cells in rows}
    known = {
        row.digest: row
        for row in BroughtRow.objects.filter(digest__in=digests.values(), job__isnull=False, again=False)
    }
    outcomes: list[BroughtRow] = []
    fresh: list[tuple[int, OldJob]] = []
    back: list[Job] = []
    first = month_first(batch, batch.columns) if rows else False
    for number, cells in rows:
        before = known.get(digests[number])
        if before is not None:
            back += [_revived(before)] if before.taken_back_at is not None else []
            if (before.batch_id, before.number) != (batch.pk, number):
                outcomes.append(_outcome(batch, number, digests[number], job_id=before.job_id, again=True))
            continue
        told = _previewed(number, cells, batch.columns, month_first=first)
        if told.job is None:
            outcomes.append(_outcome(batch, number, digests[number], sentence=told.sentence[:300]))
        else:
            fresh.append((number, told.job))
    jobs = write_jobs(act, [old for _, old in fresh])
    outcomes += [
        _outcome(batch, number, digests[number], job_id=job.pk)
        for (number, _), job in zip(fresh, jobs, strict=True)
    ]
    # a list that was taken back and is brought in by other columns is accounted for anew
    BroughtRow.objects.bulk_create(
        outcomes,
        update_conflicts=True,
        unique_fields=["batch", "number"],
        update_fields=["digest", "job", "again", "sentence", "taken_back_at"],
    )
    return [*jobs, *back]


def _outcome(batch: Batch, number: int, digest: str, **told: Any) -> BroughtRow:
    return BroughtRow(batch=batch, number=number, digest=digest, **told)


def _revived(before: BroughtRow) -> Job:
    """A job that was taken back and is brought in again."""
    job = before.job
    assert job is not None  # noqa: S101  (only rows with a job are looked up)
    Job.objects.filter(pk=job.pk).update(stage=Stage.GONE_HOME, stage_since=job.ended_at or job.stage_since)
    BroughtRow.objects.filter(pk=before.pk).update(taken_back_at=None)
    return job


def _repeats(batch: Batch, rows: Sequence[tuple[int, list[str]]]) -> dict[int, int]:
    """Which of several equal rows of the file each row is: two customers may bring in the same fault on the same day."""
    wanted = {tuple(cells) for _, cells in rows}
    seen: Counter[tuple[str, ...]] = Counter()
    first = rows[0][0] if rows else 0
    for number, cells in kept_rows(batch) if first > 1 else ():
        if number >= first:
            break
        if tuple(cells) in wanted:
            seen[tuple(cells)] += 1
    repeats = {}
    for number, cells in rows:
        repeats[number] = seen[tuple(cells)]
        seen[tuple(cells)] += 1
    return repeats
