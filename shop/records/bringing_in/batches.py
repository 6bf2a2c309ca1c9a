"""Bringing a batch in: columns and words for outcomes matched, rows taken some hundreds at a time; and taking it back.

Each step is one transaction with one journal entry, so that a batch that is broken off goes on where it stopped. A row is known
again by what it says: the same file brought in twice makes nothing twice. A job once written is never deleted from a book;
a batch that is taken back has its jobs called off and out of the search. Bringing the file in again brings the same jobs back,
and by other columns the same jobs are written anew.
"""

from __future__ import annotations

import uuid
from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

from django.db.models import F

from shop.counter.models import Job, Unit
from shop.counter.stages import Stage
from shop.frame import clock
from shop.frame.journal import Act, acting
from shop.frame.models import Staff
from shop.frame.once import keyless
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.keeping.models import Task
from shop.keeping.tasks import ask
from shop.records.bringing_in.columns import COLUMNS, missing
from shop.records.bringing_in.kept import KeptRow, kept_rows, rows_from
from shop.records.bringing_in.outcomes import MEANINGS, USUAL, Word, remember, remembered, words_in
from shop.records.bringing_in.reading import OldJob, Unreadable, digest_of, month_comes_first, read
from shop.records.bringing_in.writing import sweep, write_jobs
from shop.records.models import Batch, BroughtRow

BRING_IN = "records.bring_in"
"""The kind of task."""
AT_ONCE = 400
MONTH_FIRST = {"US", "PH"}
ROWS_THAT_TELL = 2_000
"""So many rows at the beginning tell how a list writes its dates."""

_MEANINGS = {meaning for meaning, _ in MEANINGS}


def match_columns(
    *,
    batch: Batch,
    columns: Mapping[str, int],
    by: Staff | None,
    words: Mapping[str, str] | None = None,
    begin: bool = True,
    once_key: uuid.UUID | None = None,
) -> Batch:
    """Say which column holds what and what words for outcomes mean, and have the worker begin, or only look at the rows so.

    Refuses when day or complaint has no column. What a word means is remembered for later lists.
    """
    if lacking := missing(columns):
        raise Refusal(f"Choose the column of: {', '.join(column.label.lower() for column in lacking)}.")
    known = {column.key for column in COLUMNS}
    with acting(by=by, once=once_key) as act:
        batch.refresh_from_db(from_queryset=Batch.objects.select_for_update())
        if batch.state not in {Batch.State.MATCHING, Batch.State.UNDONE}:
            raise Refusal("This file is being imported already.")
        batch.columns = {
            key: at for key, at in columns.items() if key in known and 0 <= at < len(batch.header)
        }
        if words is not None:
            batch.outcome_words = {word: means for word, means in words.items() if means in _MEANINGS}
        if begin:
            batch.state, batch.done, batch.place = Batch.State.RUNNING, 0, 0
            remember(batch.outcome_words)
        batch.save(update_fields=["columns", "outcome_words", "state", "done", "place"])
        if begin:
            ask_to_bring_in(batch=batch, by=by)
        act.record("batch.matched", subject=batch)
    return batch


@dataclass(frozen=True, slots=True)
class Reading:
    """How the rows of a batch are read: by which columns, in which order of dates, with which meanings of words."""

    columns: Mapping[str, int]
    month_first: bool
    outcomes: Mapping[str, str]


def reading_of(batch: Batch, columns: Mapping[str, int] | None = None) -> Reading:
    """How this batch is read, as far as it is matched, or by these columns. Raises Unkept."""
    meanings = {**USUAL, **remembered(), **batch.outcome_words}
    by = batch.columns if columns is None else columns
    return Reading(by, month_first(batch, by), meanings)


@dataclass(frozen=True, slots=True)
class Previewed:
    """One row as it would be brought in, or why not."""

    number: int
    cells: list[str]
    job: OldJob | None
    sentence: str = ""


def preview(batch: Batch, columns: Mapping[str, int] | None = None, *, count: int = 8) -> list[Previewed]:
    """The first rows, read as the batch is matched now or by these columns. Raises Unkept."""
    reading = reading_of(batch, columns)
    return [_previewed(number, cells, reading) for number, cells in islice(kept_rows(batch), count)]


def outcome_words(batch: Batch) -> list[Word]:
    """The words that the list has for outcomes, with what they mean as far as somebody knows. Raises Unkept."""
    at = batch.columns.get("outcome")
    if at is None:
        return []
    return words_in((cells[at] for _, cells in kept_rows(batch) if at < len(cells)), batch.outcome_words)


def _previewed(number: int, cells: list[str], by: Reading) -> Previewed:
    try:
        job = read(cells, by.columns, month_first=by.month_first, today=clock.today(), outcomes=by.outcomes)
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


def ask_to_bring_in(*, batch: Batch, by: Staff | None, once_key: uuid.UUID | None = None) -> Task:
    """Have the worker bring a list in that is matched, from where it stands; asked twice it is brought in once."""
    same = same_of(batch)
    return ask(BRING_IN, by=by, about={"batch": batch.pk}, title=batch.name, same=same, once_key=once_key)


def same_of(batch: Batch) -> str:
    """By what the tasks about one list are known."""
    return f"{BRING_IN} {batch.pk}"


@keyless("stepwise")
def go_on(*, batch: Batch, by: Staff | None, at_once: int = AT_ONCE) -> Batch:
    """Bring the next rows in. Call again until the batch is done; each call is one transaction."""
    with acting(by=by) as act:
        batch = Batch.objects.select_for_update().get(pk=batch.pk)
        if batch.state != Batch.State.RUNNING:
            return batch
        found = list(islice(rows_from(batch, batch.place), at_once))
        jobs = _bring_in(act, batch, [row for row, _ in found])
        batch.done += len(found)
        if found:
            batch.place = found[-1][1]
        if batch.done >= batch.rows or not found:
            batch.state = Batch.State.DONE
        batch.save(update_fields=["done", "place", "state"])
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
        moved = mine.exclude(job__stage=F("stage")).first()
        if moved is not None:
            raise Refusal(f"Row {moved.number} became a job that has changed since; nothing was taken back.")
        jobs = list(mine.values_list("job_id", flat=True))
        called_off = {
            "stage": Stage.CALLED_OFF,
            "whose_move": Stage.CALLED_OFF.row.whose_move,
            "stage_since": act.at,
        }
        Job.objects.filter(pk__in=mine.values("job_id")).update(**called_off)
        mine.update(taken_back_at=act.at)
        batch.state = Batch.State.UNDONE
        batch.save(update_fields=["state"])
        for start in range(0, len(jobs), 5000):
            some = jobs[start : start + 5000]
            act.record("jobs.taken_back_out", subject=batch, jobs=some, rows=len(some))
    return len(jobs)


# --- one step ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Fresh:
    """A row to be written: as a new job, or over the one that it was before its list was taken back."""

    number: int
    old: OldJob
    over: Job | None


def _bring_in(act: Act, batch: Batch, rows: Sequence[KeptRow]) -> list[Job]:
    """Account for every row: a new job, one that is here already or comes back, or a sentence why not."""
    if not rows:
        return []
    reading, digests = reading_of(batch), _digests(batch, rows)
    known = _known_by_digest(digests.values())
    taken_back = _taken_back(batch, [number for number, _ in rows])
    outcomes: list[BroughtRow] = []
    fresh: list[_Fresh] = []
    back: list[Job] = []
    for number, cells in rows:
        before, mine = known.get(digests[number]), taken_back.get(number)
        here = None if before is None else (before.batch_id, before.number) == (batch.pk, number)
        told = _previewed(number, cells, reading)
        if before is not None and (before.taken_back_at is None or _says_the_same(before, told.job)):
            back += [_revived(before)] if before.taken_back_at is not None else []
            if not here:
                outcomes.append(_outcome(batch, number, digests[number], job_id=before.job_id, again=True))
        elif told.job is None:
            # a job that was taken back stays that row's, should its columns be put right once more
            kept = {"job_id": mine.job_id, "taken_back_at": mine.taken_back_at} if mine is not None else {}
            outcomes.append(_outcome(batch, number, digests[number], sentence=told.sentence[:300], **kept))
        else:
            over = before or mine
            fresh.append(_Fresh(number, told.job, over.job if over is not None else None))
    jobs = _written(act, fresh)
    outcomes += [
        _outcome(batch, one.number, digests[one.number], job_id=job.pk, **_told_of_its_source(one.old))
        for one, job in zip(fresh, jobs, strict=True)
    ]
    _keep(batch, outcomes)
    return [*jobs, *back]


def _known_by_digest(digests: Collection[str]) -> dict[str, BroughtRow]:
    known = BroughtRow.objects.filter(digest__in=digests, job__isnull=False, again=False)
    return {row.digest: row for row in known.select_related("job")}


def _taken_back(batch: Batch, numbers: Sequence[int]) -> dict[int, BroughtRow]:
    """Rows of this batch whose jobs were taken back, by their numbers."""
    rows = batch.outcomes.filter(
        number__in=numbers, job__isnull=False, again=False, taken_back_at__isnull=False
    )
    return {row.number: row for row in rows.select_related("job")}


def _written(act: Act, fresh: Sequence[_Fresh]) -> list[Job]:
    """The jobs of these rows; what they were written over leaves nothing behind that nobody speaks of."""
    before = [one.over for one in fresh if one.over is not None]
    customers = {job.customer_id for job in before}
    units = {job.unit_id for job in before}
    models = set(Unit.objects.filter(pk__in=units).values_list("model_id", flat=True))
    jobs = write_jobs(act, [one.old for one in fresh], [one.over for one in fresh])
    if before:
        sweep(units, customers, models)
    return jobs


def _told_of_its_source(old: OldJob) -> dict[str, str]:
    return {
        "stage": old.stage,
        "provider": old.provider,
        "their_number": old.number,
        "category": old.category,
        "barrier": old.barrier,
        "country": old.country,
    }


def _keep(batch: Batch, outcomes: Sequence[BroughtRow]) -> None:
    """Write what became of rows; a list that was taken back and is brought in by other columns is accounted for anew."""
    # one row's new digest may be what another was known by before
    batch.outcomes.filter(number__in=[one.number for one in outcomes]).update(again=True)
    BroughtRow.objects.bulk_create(
        outcomes,
        update_conflicts=True,
        unique_fields=["batch", "number"],
        update_fields=[
            *("digest", "job", "again", "sentence", "taken_back_at"),
            *("stage", "provider", "their_number", "category", "barrier", "country"),
        ],
    )


def _outcome(batch: Batch, number: int, digest: str, **told: object) -> BroughtRow:
    return BroughtRow(batch=batch, number=number, digest=digest, **told)


def _says_the_same(before: BroughtRow, old: OldJob | None) -> bool:
    """Whether a row that was taken back is read as it was: its words for the outcome may mean something else by now."""
    job = before.job
    return old is not None and job is not None and (before.stage, job.outcome) == (old.stage, old.outcome)


def _revived(before: BroughtRow) -> Job:
    """A job that was taken back and is brought in again."""
    job = before.job
    assert job is not None  # noqa: S101  (only rows with a job are looked up)
    since = job.ended_at or job.booked_in_at or job.announced_at or job.stage_since
    Job.objects.filter(pk=job.pk).update(
        stage=before.stage, whose_move=Stage(before.stage).row.whose_move, stage_since=since
    )
    BroughtRow.objects.filter(pk=before.pk).update(taken_back_at=None)
    return job


def _digests(batch: Batch, rows: Sequence[KeptRow]) -> dict[int, str]:
    """What each row is known by. Two customers may bring in the same fault on the same day: equal rows are counted."""
    said = {number: digest_of(cells, batch.columns, repeat=0) for number, cells in rows}
    wanted, first = set(said.values()), rows[0][0]
    seen: Counter[str] = Counter()
    if batch.outcomes.filter(number__lt=first, digest__in=wanted).exists():
        for number, cells in kept_rows(batch):
            if number >= first:
                break
            seen.update({digest_of(cells, batch.columns, repeat=0)} & wanted)
    digests = {}
    for number, cells in rows:
        repeat = seen[said[number]]
        seen[said[number]] += 1
        digests[number] = digest_of(cells, batch.columns, repeat=repeat) if repeat else said[number]
    return digests
