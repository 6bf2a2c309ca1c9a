"""What the records have done by the worker: the search made anew, lists brought in, and the whole book taken out."""

from __future__ import annotations

import contextlib
import datetime as dt
import uuid
from pathlib import Path

from django.conf import settings
from django.db import transaction
from django.urls import reverse

from shop.counter.models import Job
from shop.frame import clock
from shop.frame.models import Staff
from shop.frame.spelling import file_size
from shop.keeping.models import Task
from shop.keeping.night import Night
from shop.keeping.table_figures import inform_the_planner
from shop.keeping.tasks import Kind, Result, Work, ask, hang_up
from shop.records.bringing_in import batches
from shop.records.library import taking_in
from shop.records.models import Batch, Library
from shop.records.searching import upkeep
from shop.records.searching.rows import VERSION
from shop.records.taking_out.book import take_out

BUILD_SEARCH, TAKE_OUT = "records.build_search", "records.take_out"
TAKEN_OUT_LIVES = dt.timedelta(days=2)


def hang_up_all() -> None:
    """Hang up the kinds."""
    hang_up(Kind(batches.BRING_IN, "List import", bring_in, of="rows", resumes=True))
    hang_up(Kind(taking_in.READ_LIBRARY, "Read others’ records", read_library, of="rows", resumes=True))
    hang_up(Kind(BUILD_SEARCH, "Rebuild the search", build_search, of="jobs", resumes=True))
    hang_up(Kind(TAKE_OUT, "Export the whole book", take_book_out, of="tables"))


# --- the search ---------------------------------------------------------------------------------------------


def ask_to_build_search() -> Task:
    """Have the search made anew; until it is, the old one answers."""
    return ask(BUILD_SEARCH, by=None, same=BUILD_SEARCH)


def build_search(work: Work) -> Result:
    """Make the rows of all jobs anew in place of the old ones, or build them where they were never whole."""
    total = Job.objects.count()
    if upkeep.answers():
        place = work.place if work.place.get("version") == VERSION else {}
        after, done = place.get("after", 0), place.get("done", 0)
        while after is not None:
            with transaction.atomic():
                after = upkeep.renew(after=after)
                done = min(done + upkeep.RENEWED_AT_ONCE, total)
                work.reached({"version": VERSION, "after": after, "done": done}, done=done, total=total)
    else:
        for done in upkeep.build_whole():
            work.say(min(done, total), total)
    inform_the_planner()
    return Result(f"The search holds {total:,} jobs.", reverse("records:search"), "Search")


# --- in -----------------------------------------------------------------------------------------------------


def bring_in(work: Work) -> Result:
    """Bring the rows of a list in, some hundreds in each transaction; the list itself knows where it goes on."""
    batch = Batch.objects.filter(pk=work.about["batch"]).first()
    if batch is None:
        return Result("The list was discarded.")
    while batch.state == Batch.State.RUNNING:
        with transaction.atomic():
            batch = batches.go_on(batch=batch, by=work.by)
            work.reached({"row": batch.done}, done=batch.done, total=batch.rows)
    inform_the_planner()
    jobs = batch.outcomes.filter(job__isnull=False, again=False).count()
    address = reverse("records:batch", args=[batch.pk])
    return Result(f"{batch.rows:,} rows: {jobs:,} became jobs.", address, "See the imported jobs")


def read_library(work: Work) -> Result:
    """Read others' records, a thousand rows in each transaction; the library itself knows where it goes on."""
    library = Library.objects.filter(pk=work.about["library"]).first()
    if library is None:
        return Result("The library was discarded.")
    while library.state == Library.State.READING:
        with transaction.atomic():
            library = taking_in.go_on(library=library)
            work.reached({"row": library.done}, done=library.done, total=library.rows)
    inform_the_planner()
    address = reverse("records:library", args=[library.pk])
    return Result(f"{library.kept:,} of {library.rows:,} records can be asked.", address, "See the library")


# --- out ----------------------------------------------------------------------------------------------------


def ask_to_take_out(*, by: Staff, once_key: uuid.UUID | None = None) -> Task:
    """Have the whole book written into a file."""
    return ask(TAKE_OUT, by=by, same=f"{TAKE_OUT} {by.pk}", once_key=once_key)


def taken_out(task: Task) -> Path:
    """The file that a task wrote."""
    return Path(settings.SHOP_DATA) / "taken-out" / f"book-{task.pk}.zip"


def take_book_out(work: Work) -> Result:
    """Write the whole book into a file, which has its name when it is whole: a broken one is written anew."""
    path = taken_out(work.task)
    path.parent.mkdir(mode=0o700, exist_ok=True)
    draft = path.with_suffix(".part")
    draft.unlink(missing_ok=True)
    take_out(draft, by=work.by, say=lambda table, at, of: work.say(at, of, table))
    draft.replace(path)
    address = reverse("records:fetch_book", args=[work.task.pk])
    return Result(
        f"{file_size(path.stat().st_size)}, to be downloaded for two days.", address, "Download the file"
    )


def clear_taken_out(night: Night) -> None:
    """Delete books that were taken out days ago: they hold everything that the shop knows."""
    gone = 0
    for path in (Path(settings.SHOP_DATA) / "taken-out").glob("book-*"):
        with contextlib.suppress(FileNotFoundError):
            if clock.now() - dt.datetime.fromtimestamp(path.stat().st_mtime, tz=dt.UTC) > TAKEN_OUT_LIVES:
                path.unlink()
                gone += 1
    night.note(gone, "An exported book was cleared away.", "{} exported books were cleared away.")
