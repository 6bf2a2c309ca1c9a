"""The journal: every action is one transaction that ends by writing down who did what, when.

An action opens an act and records its entries in it:

    with acting(by=staff) as act:
        job = Job.objects.create(...)
        act.record("job.booked_in", subject=job, jobs=[job.pk], stage=job.stage)

`once` is the key of the form that asks, or of the bench's entry: the act claims it first of all, so that a second sending raises
`AlreadyTaken` before anything is done, and notes what was made when its block ends.

Actions that call other actions join the same act: one transaction, one act id, and the journal's head is locked once, last of all
locks, when the outermost act closes. Then the listeners (records registers the one that refreshes search rows) are told once
which jobs were touched, still inside the transaction.

Rows that must stay as they were written are sealed by the act, `act.seal(payment, *allocations)`: the entry that it records
next (or last) keeps a digest of each of their columns (`shop/frame/seals.py`).

An entry holds ids, stage names, sums and hashes: plain numbers, short codes and dates. `record` refuses anything that looks like
free text, so that a person can be forgotten while the chain still holds.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import re
import uuid
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from typing import Any

from django.db import models, transaction

from shop.frame import clock, seals
from shop.frame.models import JournalEntry, JournalHead, JournalTouch, Staff
from shop.frame.once import Result, claim, settle

Listener = Callable[[frozenset[int]], None]

_CODE = re.compile(r"[\w.:+/#-]{0,64}", re.ASCII)
_listeners: list[Listener] = []
_current: ContextVar[Act | None] = ContextVar("current_act", default=None)


@dataclass(slots=True)
class _Draft:
    verb: str
    subject_type: str
    subject_id: int | None
    jobs: tuple[int, ...]
    data: dict[str, Any]


@dataclass(frozen=True, slots=True)
class _ToSeal:
    """A row that is sealed by the draft of that place, or by the last one where none comes after."""

    place: int
    table: str
    row: int


@dataclass(slots=True)
class Act:
    """One thing a person does. `by` is None where the shop's own clock acts (a nightly task) or a customer does."""

    by: Staff | None
    at: dt.datetime
    id: uuid.UUID = field(default_factory=uuid.uuid4)
    _drafts: list[_Draft] = field(default_factory=list)
    _sealed: list[_ToSeal] = field(default_factory=list)
    _made: Result | None = None

    @property
    def day(self) -> dt.date:
        """The shop's calendar day on which it is done: what numbers, papers, prices and terms go by."""
        return clock.day_of(self.at)

    def record(
        self, verb: str, *, subject: models.Model | None = None, jobs: Iterable[int] = (), **data: object
    ) -> None:
        """Write one entry when the act closes. `data` values: int, bool, None, short codes, dates, or flat lists of these."""
        self._drafts.append(
            _Draft(
                verb=verb,
                subject_type=subject._meta.label_lower if subject is not None else "",
                subject_id=subject.pk if subject is not None else None,
                jobs=tuple(sorted(set(jobs))),
                data={key: _plain(key, value) for key, value in data.items()},
            )
        )

    def seal(self, *rows: models.Model) -> None:
        """Seal rows with the entry that is recorded next, as they stand in the book when the act closes."""
        self._sealed += [_ToSeal(len(self._drafts), row._meta.label_lower, row.pk) for row in rows]

    def erase(self, row: models.Model, *, jobs: Iterable[int] = ()) -> None:
        """Empty the personal columns of a sealed row together with their salt, and write down that it was done."""
        columns = seals.erasable(type(row))
        if not columns:
            raise ValueError(f"{row._meta.label_lower} has no personal columns that are sealed.")
        emptied = {column.name: seals.empty_value(column) for column in columns}
        type(row)._base_manager.filter(pk=row.pk).update(**emptied)
        self.record("person.erased", subject=row, jobs=jobs)

    def made(self, result: models.Model) -> None:
        """Say what this block made, where that isn't what its last entry speaks of: a repeat of its form is answered with it."""
        self._made = (result._meta.label_lower, result.pk)


def listen(listener: Listener) -> None:
    """Have `listener(job ids)` called once at the end of every outermost act, inside its transaction."""
    if listener not in _listeners:
        _listeners.append(listener)


@contextmanager
def acting(
    *, by: Staff | None, at: dt.datetime | None = None, once: uuid.UUID | None = None
) -> Iterator[Act]:
    """Open an act, or join the one that is open. The outermost closes it: entries, then listeners, then commit.

    `once` is claimed before the block runs, where the caller has a key (commands and fixtures have none). Raises `AlreadyTaken`
    for one that was claimed before.
    """
    outer = _current.get()
    if outer is not None:
        written, sealed = len(outer._drafts), len(outer._sealed)
        try:
            with transaction.atomic(), _taken_once(outer, once):
                yield outer
        except BaseException:
            del outer._drafts[written:], outer._sealed[sealed:]
            raise
        return
    act = Act(by=by, at=at or clock.now())
    token = _current.set(act)
    try:
        with transaction.atomic():
            with _taken_once(act, once):
                yield act
            _close(act)
    finally:
        _current.reset(token)


@contextmanager
def _taken_once(act: Act, key: uuid.UUID | None) -> Iterator[None]:
    """Claim `key`, run the block, and note on the key what came of it."""
    if key is not None:
        claim(key)
    written, outer_made = len(act._drafts), act._made
    act._made = None
    try:
        yield
        if key is not None:
            _settle(act, key, act._drafts[written:])
    finally:
        act._made = outer_made


def _settle(act: Act, key: uuid.UUID, drafts: list[_Draft]) -> None:
    """What the block says it made, else what its last entry speaks of, is what a repeat is answered with."""
    spoken_of = [(one.subject_type, one.subject_id) for one in drafts if one.subject_id is not None]
    settle(
        key,
        verb=drafts[-1].verb if drafts else "",
        made=act._made or (spoken_of[-1] if spoken_of else None),
    )


def digest_of(
    *,
    sequence: int,
    at: dt.datetime,
    act: uuid.UUID,
    staff_id: int | None,
    verb: str,
    subject: tuple[str, int | None],
    jobs: Iterable[int],
    data: dict[str, object],
    previous: str,
) -> str:
    """SHA-256 over the canonical JSON of everything an entry says, and of the digest before it."""
    content = [
        sequence,
        at.astimezone(dt.UTC).isoformat(timespec="microseconds"),
        str(act),
        staff_id,
        verb,
        *subject,
        sorted(jobs),
        data,
        previous,
    ]
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode("ascii")).hexdigest()


@dataclass(frozen=True, slots=True)
class ChainFault:
    """Where the journal's chain does not hold, and how."""

    sequence: int
    sentence: str


def verify(*, chunk: int = 2000) -> list[ChainFault]:
    """Walk the whole chain and name every entry that does not hold. An empty list means that it holds."""
    head = _head()
    return _faults(_walk(head.sequence, chunk), head, previous="", expected=1)


def verify_end(*, last: int = 200) -> list[ChainFault]:
    """Look at the last entries of the chain only: quick, for a page."""
    head = _head()
    newest = JournalEntry.objects.filter(sequence__lte=head.sequence).order_by("-sequence")
    entries = list(reversed(newest.prefetch_related("touches")[: last + 1]))
    if len(entries) > last:
        before = entries.pop(0)
        return _faults(entries, head, previous=before.digest, expected=before.sequence + 1)
    return _faults(entries, head, previous="", expected=1)


def end_of_chain() -> tuple[int, str]:
    """The journal's newest entry and its digest: what is told of it outside can't be made otherwise afterwards."""
    head = _head()
    return head.sequence, head.digest


def _walk(last: int, chunk: int) -> Iterator[JournalEntry]:
    """Every entry up to `last`, in short queries: one long one would keep SQLite's writers waiting."""
    entries = JournalEntry.objects.filter(sequence__lte=last).order_by("sequence").prefetch_related("touches")
    sequence = 0
    while found := list(entries.filter(sequence__gt=sequence)[:chunk]):
        yield from found
        sequence = found[-1].sequence


def _head() -> JournalHead:
    return JournalHead.objects.filter(pk=1).first() or JournalHead()


def _faults(
    entries: Iterable[JournalEntry], head: JournalHead, *, previous: str, expected: int
) -> list[ChainFault]:
    """What is wrong with `entries`, which end where `head` says; it was read first, as others may be writing."""
    faults: list[ChainFault] = []
    for entry in entries:
        if entry.sequence != expected:
            faults.append(ChainFault(expected, f"Entry {expected} is missing."))
            expected = entry.sequence
        if entry.previous != previous:
            faults.append(
                ChainFault(entry.sequence, f"Entry {entry.sequence} does not follow the one before it.")
            )
        if entry.digest != _digest_of(entry):
            faults.append(
                ChainFault(entry.sequence, f"Entry {entry.sequence} was changed after it was written.")
            )
        previous, expected = entry.digest, expected + 1
    if head.sequence != expected - 1 or head.digest != previous:
        faults.append(ChainFault(head.sequence, "The end of the journal is missing."))
    beyond = JournalEntry.objects.filter(sequence__gt=head.sequence).order_by("sequence").first()
    if beyond is not None and _head().sequence == head.sequence:
        faults.append(
            ChainFault(beyond.sequence, f"Entry {beyond.sequence} stands beyond the journal’s end.")
        )
    return faults


def _digest_of(entry: JournalEntry) -> str:
    return digest_of(
        sequence=entry.sequence,
        at=entry.at,
        act=entry.act,
        staff_id=entry.staff_id,
        verb=entry.verb,
        subject=(entry.subject_type, entry.subject_id),
        jobs=[touch.job_id for touch in entry.touches.all()],
        data=entry.data,
        previous=entry.previous,
    )


def _close(act: Act) -> None:
    if not act._drafts:
        if act._sealed:
            raise ValueError("An act that seals rows records what it did.")
        return
    _put_seals(act)
    JournalHead.objects.get_or_create(pk=1)
    head = JournalHead.objects.select_for_update().get(pk=1)
    entries = list(_entries_of(act, head))
    touches = [
        JournalTouch(entry_id=entry.sequence, job_id=job)
        for entry, draft in zip(entries, act._drafts, strict=True)
        for job in draft.jobs
    ]
    JournalEntry.objects.bulk_create(entries)
    JournalTouch.objects.bulk_create(touches)
    last = entries[-1]
    JournalHead.objects.filter(pk=1).update(sequence=last.sequence, digest=last.digest)
    touched = frozenset(touch.job_id for touch in touches)
    act._drafts.clear()
    act._sealed.clear()
    if touched:
        for listener in _listeners:
            listener(touched)


def _put_seals(act: Act) -> None:
    """Give each draft the seals of the rows that it speaks for."""
    last = len(act._drafts) - 1
    rows: dict[int, list[tuple[str, int]]] = defaultdict(list)
    for one in act._sealed:
        rows[min(one.place, last)].append((one.table, one.row))
    for place, some in rows.items():
        act._drafts[place].data[seals.SEALS] = seals.write(some)


def _entries_of(act: Act, head: JournalHead) -> Iterator[JournalEntry]:
    """What the act wrote down, each entry chained to the one before it, the first to the journal's head."""
    sequence, previous = head.sequence, head.digest
    staff_id = act.by.pk if act.by is not None else None
    for draft in act._drafts:
        sequence += 1
        digest = digest_of(
            sequence=sequence,
            at=act.at,
            act=act.id,
            staff_id=staff_id,
            verb=draft.verb,
            subject=(draft.subject_type, draft.subject_id),
            jobs=draft.jobs,
            data=draft.data,
            previous=previous,
        )
        yield JournalEntry(
            sequence=sequence,
            at=act.at,
            act=act.id,
            staff_id=staff_id,
            verb=draft.verb,
            subject_type=draft.subject_type,
            subject_id=draft.subject_id,
            data=draft.data,
            previous=previous,
            digest=digest,
        )
        previous = digest


def _plain(key: str, value: object) -> Any:
    if value is None or isinstance(value, bool | int):
        return value
    if isinstance(value, dt.datetime | dt.date):
        return value.isoformat()
    if isinstance(value, uuid.UUID):
        return str(value)
    if isinstance(value, str) and _CODE.fullmatch(value):
        return str(value)
    if isinstance(value, list | tuple):
        return [_plain(key, item) for item in value]
    raise ValueError(f"The journal holds ids, codes and sums only; {key}={value!r} is neither.")
