"""What the shop looks after by itself every night: whether its books are sound, and what may be cleared away.

The book's file is checked on a copy, so that nobody has to wait. The journal's chain is walked, held against what is known of it
outside (`witness.py`), and every seal in it against its row. Files that no row speaks of (an act was rolled back) go after a day.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import logging
import sqlite3
import tempfile
import time
from collections.abc import Iterator, Sequence
from itertools import islice
from pathlib import Path
from typing import TypeVar

from django.conf import settings
from django.contrib.sessions.models import Session
from django.core.files.storage import default_storage
from django.db import DatabaseError, connection
from django.db.models import Exists, Model, OuterRef, QuerySet
from django.db.models.fields.files import FieldFile

from shop.frame import clock, guard_check
from shop.frame.faults import fault_in
from shop.frame.former import names_ever
from shop.frame.journal import verify
from shop.frame.models import JournalEntry, JournalHead, OnceKey
from shop.frame.seal_check import differences
from shop.keeping import copying
from shop.keeping.models import IssuedPaper, NightlyReport, Picture, StoredFile, Task
from shop.keeping.night import Chore, Night
from shop.keeping.queries import unwritten
from shop.keeping.retention import end_retention
from shop.keeping.shelf import way_back
from shop.keeping.table_figures import inform_the_planner
from shop.keeping.witness import Witness, contradictions

log = logging.getLogger(__name__)

FOLDERS = ("papers", "pictures", "files")
ORPHANS_LIVE = dt.timedelta(days=1)
KEYS_LIVE = dt.timedelta(days=90)
REPORTS_LIVE = dt.timedelta(days=400)
TASKS_LIVE = dt.timedelta(days=90)
ROUNDS_OF_PICTURES = 30
"""Pictures are many and large: each night a thirtieth of them is read whole, the others are only looked for."""
CHUNK = 500
MOST_NAMED = 50
"""A report is read by a person: of what differs from its seals so many rows are named."""
Row = TypeVar("Row", bound=Model)


_chores_above: list[Chore] = []


def every_night(chore: Chore) -> None:
    """Have a room above do something of its own each night, after the checks; it calls this in its `apps.py`."""
    if chore not in _chores_above:
        _chores_above.append(chore)


_checks_above: list[Chore] = []


def also_check(check: Chore) -> None:
    """Have a room above look at something of its own each night and when somebody asks; it writes nothing."""
    if check not in _checks_above:
        _checks_above.append(check)


def watch_over(*, at: dt.datetime | None = None, witnesses: Sequence[Witness] = ()) -> NightlyReport:
    """Do all of it and write the report; safe to run more than once a night. `witnesses`: backups that lay elsewhere."""
    began = time.monotonic()
    night = Night(at or clock.now(), witnesses=witnesses)
    tasks = [*_checks(), end_retention, clear_orphans, clear_traces, inform, *_chores_above]
    for task in tasks:
        _tried(task, night)
    return _report(night, began)


def findings(*, at: dt.datetime | None = None) -> list[str]:
    """Only look, and say what is wrong: what `manage.py doctor` asks for. Nothing is written."""
    night = Night(at or clock.now())
    for check in _checks():
        before = len(night.faults)
        _tried(check, night)
        found = night.faults[before:]
        night.faults[before:] = [one if "manage.py" in one else f"{one} {_step(check)}" for one in found]
    return night.faults


def _step(check: Chore) -> str:
    """What mends what a check found, where its sentence does not say so itself."""
    if check in {check_papers, check_pictures}:
        return f"{way_back()} Then copy that one file from there."
    if check in {check_chain, check_seals, check_guards}:
        return f"Find out who had access. {way_back()}"
    return way_back()


def _checks() -> list[Chore]:
    found = [check_book, check_guards, check_chain, check_seals, check_papers, check_pictures]
    return [*found, *_checks_above]


def _tried(chore: Chore, night: Night) -> None:
    """Do one chore; whatever it runs into is a finding, and stops no other."""
    try:
        chore(night)
    except Exception as error:  # a book may be damaged in ways that nobody thought of
        # into the log alone: whoever runs the doctor reads sentences
        log.warning("The chore %s broke off", chore.__name__, exc_info=True)
        told = broke_off(chore.__name__.replace("_", " "), error)
        why = told.partition("” broke off")[2]
        # a book that is none breaks off every chore for one reason, which is told once
        if not any(one.endswith(why) for one in night.faults):
            night.faults.append(told)


def broke_off(what: str, error: Exception) -> str:
    """A sentence for what could not be looked at, with the way back where the book itself is at fault."""
    words = " ".join(str(error).split())[:200] or type(error).__name__
    if isinstance(error, DatabaseError | sqlite3.Error):
        return f"“{what}” broke off, because the book can’t be read there: {words}. {way_back()}"
    if fault := fault_in(error):
        return f"“{what}” broke off: {words}. {fault.sentence}"
    return f"“{what}” broke off: {words}. The log in the shop’s folder says more."


def _report(night: Night, began: float) -> NightlyReport:
    """Write the report into the book; what the book does not take is kept beside it, so that no old report speaks for it."""
    report = NightlyReport(at=night.at, faults=night.faults, notes=night.notes)
    try:
        head = JournalHead.objects.filter(pk=1).first() or JournalHead()
        report.entries, report.digest = head.sequence, head.digest
        report.milliseconds = int((time.monotonic() - began) * 1000)
        report.save(force_insert=True)
    except DatabaseError as error:
        report.faults.append(broke_off("write the report", error))
        unwritten().write_text(report.faults[0], encoding="utf-8")
    else:
        unwritten().unlink(missing_ok=True)
    return report


# --- is it sound? -------------------------------------------------------------------------------------------


def check_book(night: Night) -> None:
    """Have SQLite check a copy of the book, page by page and key by key."""
    if connection.vendor != "sqlite":
        night.notes.append("The book is kept by a PostgreSQL server, which looks after its own files.")
        return
    with tempfile.TemporaryDirectory(prefix="nightly-", dir=settings.SHOP_DATA) as folder:
        copy = Path(folder) / "book.sqlite3"
        copying.copy_book(copy)
        night.faults += copying.faults_in(copy)


def check_guards(night: Night) -> None:
    """Look whether every guard of the book stands as it is declared, and nothing beside it."""
    for table in guard_check.missing(connection):
        night.faults.append(
            f"The guard of {table} is gone or was changed: “manage.py migrate” puts it up again; find out who had access."
        )
    for table, name in guard_check.strange(connection):
        night.faults.append(f"A trigger that is none of the shop’s stands on {table}: {name}.")


def check_chain(night: Night) -> None:
    """Walk the journal from its first entry to its last, and ask what is known of it elsewhere."""
    night.faults += [fault.sentence for fault in verify()]
    night.faults += contradictions(night.witnesses)


def check_seals(night: Night) -> None:
    """Hold what was sealed against the rows, and name what differs."""
    found = differences()
    night.faults += [one.sentence for one in islice(found, MOST_NAMED)]
    if next(found, None) is not None:
        night.faults.append("More rows than these are not what was sealed.")


def check_papers(night: Night) -> None:
    """Hold every issued paper against its hash, and ask the journal about those that have no file any more."""
    for paper in _in_chunks(IssuedPaper.objects.filter(deleted_at=None)):
        _compare(night, f"The paper “{paper.title}”", paper.file, paper.sha256)
    told = JournalEntry.objects.filter(
        verb="paper.deleted",
        subject_type__in=names_ever(IssuedPaper._meta.label_lower),
        subject_id=OuterRef("pk"),
    )
    for paper in _in_chunks(IssuedPaper.objects.exclude(deleted_at=None).filter(~Exists(told))):
        night.faults.append(f"The paper “{paper.title}” was deleted, and the journal knows nothing of it.")


def check_pictures(night: Night) -> None:
    """Look for every picture and file, and hold a part of them against their hashes."""
    turn = clock.day_of(night.at).toordinal() % ROUNDS_OF_PICTURES
    for picture in _in_chunks(Picture.objects.all()):
        whole = picture.pk % ROUNDS_OF_PICTURES == turn
        if lacks_a_copy(picture):
            night.faults.append(
                f"A small copy of picture {picture.pk} is missing or empty: “manage.py doctor --fix” makes another."
            )
        _compare(night, f"Picture {picture.pk}", picture.file, picture.sha256 if whole else "")
    for kept in _in_chunks(StoredFile.objects.all()):
        whole = kept.pk % ROUNDS_OF_PICTURES == turn
        _compare(night, f"The file “{kept.name}”", kept.file, kept.sha256 if whole else "", kept.size)


def lacks_a_copy(picture: Picture) -> bool:
    """Whether one of the smaller copies of a picture is gone or empty; a small picture has no medium one."""
    copies = [copy for copy in (picture.medium, picture.thumbnail) if copy.name]
    return not picture.thumbnail.name or any(not _size_of(copy) for copy in copies)


def _size_of(file: FieldFile) -> int:
    try:
        return int(file.size)
    except OSError:
        return 0


def _compare(night: Night, name: str, file: FieldFile, sha256: str, size: int = 0) -> None:
    """Note a fault when a stored file is missing, empty or of another size, or is not what was stored where a hash is given."""
    try:
        if not sha256:
            if not default_storage.exists(file.name or ""):
                night.faults.append(f"{name} is missing from the shop’s data.")
            elif not file.size or (size and file.size != size):
                night.faults.append(f"{name} is not as long as what was stored.")
            return
        with file.open("rb") as opened:
            if hashlib.file_digest(opened, "sha256").hexdigest() != sha256:
                night.faults.append(f"{name} is not what was stored.")
    except (OSError, ValueError):
        night.faults.append(f"{name} is missing from the shop’s data.")


def _in_chunks(rows: QuerySet[Row]) -> Iterator[Row]:
    """All rows in short queries, so that nobody waits for a long one."""
    last = 0
    while found := list(rows.filter(pk__gt=last).order_by("pk")[:CHUNK]):
        yield from found
        last = found[-1].pk


# --- what may go --------------------------------------------------------------------------------------------


def clear_orphans(night: Night) -> None:
    """Delete files that no row speaks of, once they are a day old: an act in the making may still be writing its row."""
    gone = 0
    for path in orphans(night.at):
        path.unlink()
        gone += 1
    night.note(gone, "One file without a row was cleared away.", "{} files without rows were cleared away.")


def orphans(at: dt.datetime) -> Iterator[Path]:
    """Files older than a day that no row speaks of."""
    known = _known_names()
    for folder in FOLDERS:
        for path in (Path(settings.MEDIA_ROOT) / folder).rglob("*"):
            if not path.is_file() or path.relative_to(settings.MEDIA_ROOT).as_posix() in known:
                continue
            if at - dt.datetime.fromtimestamp(path.stat().st_mtime, tz=dt.UTC) > ORPHANS_LIVE:
                yield path


def _known_names() -> set[str]:
    names = set(IssuedPaper.objects.exclude(file="").values_list("file", flat=True))
    for sizes in Picture.objects.values_list("file", "medium", "thumbnail"):
        names.update(sizes)
    names.update(StoredFile.objects.values_list("file", flat=True))
    return names


def clear_traces(night: Night) -> None:
    """Forget what is needed no longer: taken forms' keys, sessions that ended, old reports, tasks long over."""
    OnceKey.objects.filter(taken_at__lt=night.at - KEYS_LIVE).delete()
    NightlyReport.objects.filter(at__lt=night.at - REPORTS_LIVE).delete()
    Task.objects.filter(ended_at__lt=night.at - TASKS_LIVE).delete()
    Session.objects.filter(expire_date__lt=night.at).delete()


def inform(_night: Night) -> None:
    """Tell the database's planner how many rows there are of what."""
    inform_the_planner()
