"""What was said: kept whole, and what of it a person takes written down as the bench writes everything; taken back in one go."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Any

from django.db.models import Model

from shop.bench.actions.lines import refuse_away, strike, write
from shop.bench.models import (
    Evidence,
    Finding,
    Heard,
    LeftOff,
    Reading,
    Said,
    Stint,
    Taking,
    Temporary,
)
from shop.bench.models.work import Conclusion
from shop.counter.models import Job
from shop.frame.journal import Act, acting
from shop.frame.models import Staff
from shop.frame.once import keyless
from shop.frame.refusal import Refusal
from shop.keeping.models import Task
from shop.keeping.tasks import ask
from shop.stockroom.actions import strike_part
from shop.stockroom.models import PartFitted

TAKEN_BACK = "taken back"
READ_TALK, HEAR = "bench.read_talk", "bench.hear"
"""The kinds of task that read a talk, and that hear a recording."""
AT_ONCE = 500

LINES: dict[str, type[Model]] = {
    "finding": Finding,
    "reading": Reading,
    "evidence": Evidence,
    "temporary": Temporary,
    "part": PartFitted,
    "conclusion": Conclusion,
    "stint": Stint,
    "left_off": LeftOff,
}
"""As what a thing that was heard may stand in the record."""


class Choice(StrEnum):
    """What becomes of a thing that was heard."""

    TAKE = "take"
    FINDING = "finding"
    LATER = "later"
    DROP = "drop"


@dataclass(frozen=True, slots=True)
class SpokenBy:
    """On which job something was said, by whom, and when."""

    job: Job
    staff: Staff
    at: dt.datetime


@dataclass(frozen=True, slots=True)
class Decided:
    """A thing that was heard, and what a person does with it. `writes` writes it down as a line of the kind `line_kind`."""

    number: int
    kind: str
    words: str
    choice: Choice
    facts: str = "{}"
    line_kind: str = ""
    writes: Callable[[SpokenBy], Model] | None = None
    seconds: Decimal | None = None


def say(
    *,
    job: Job,
    text: str,
    decided: Sequence[Decided],
    by: Staff,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Said:
    """Keep what was said, with what was heard in it, and take at once what a person chose of that: all of it or none."""
    if not text.strip():
        raise Refusal("Say something first.", field="text")
    with acting(by=by, at=at, once=entry) as act:
        said = Said(job=job, text=text.strip(), read_at=act.at)
        write(act, said, "words.said", entry=entry)
        hear(said, decided)
        _decide(act, said, decided)
        act.made(said)
    return said


def bring_talk(
    *,
    job: Job,
    text: str,
    clip: str,
    by: Staff,
    began_at: dt.datetime | None = None,
    by_ear: bool = False,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Said:
    """Keep the timed text of a repair that was talked through, and have it read beside the pages. The footage stays away.

    `by_ear`: this machine wrote it down from a recording.
    """
    with acting(by=by, at=at, once=entry) as act:
        said = Said(job=job, text=text, clip=clip.strip(), began_at=began_at, timed=True, by_ear=by_ear)
        write(act, said, "words.brought", entry=entry)
        ask(READ_TALK, by=by, about={"said": said.pk}, same=f"{READ_TALK} {said.pk}", title=job.number)
        act.made(said)
    return said


def ask_to_hear(
    *,
    job: Job,
    recording: str,
    clip: str,
    by: Staff,
    began_at: dt.datetime | None = None,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Task:
    """Have a recording that was laid by heard beside the pages; what is heard becomes a talk of the job."""
    with acting(by=by, at=at, once=entry) as act:
        refuse_away(job)
        about: dict[str, object] = {
            "job": job.pk,
            "recording": recording,
            "clip": clip.strip(),
            "began_at": began_at.isoformat() if began_at else "",
        }
        task = ask(HEAR, by=by, about=about, same=f"{HEAR} {recording}", title=job.number)
        act.made(task)
    return task


def note_began(
    *,
    said: Said,
    began_at: dt.datetime,
    by: Staff,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Said:
    """Note when a recording began, so that its runs of talk have times of day."""
    with acting(by=by, at=at, once=entry) as act:
        if began_at > act.at:
            raise Refusal("This is still to come.", field="began_at")
        said.began_at = began_at
        said.save(update_fields=["began_at"])
        act.record("words.began", subject=said, jobs=[said.job_id])
    return said


@keyless("joined")
def note_heard(*, said: Said, heard: Sequence[Decided], by: Staff | None) -> Said:
    """Note what was heard in a talk, once: a talk that was read already keeps what was decided on it."""
    with acting(by=by) as act:
        if not Said.objects.filter(pk=said.pk, read_at__isnull=True).update(read_at=act.at):
            return said
        hear(said, heard)
        act.record("words.heard", subject=said, jobs=[said.job_id], lines=len(heard))
    return said


def hear(said: Said, heard: Sequence[Decided]) -> None:
    """Write down what was heard; nothing of it is in the record yet."""
    rows = [
        Heard(
            said=said,
            number=one.number,
            kind=one.kind,
            words=one.words,
            facts=one.facts,
            seconds=one.seconds,
        )
        for one in heard
    ]
    Heard.objects.bulk_create(rows, batch_size=AT_ONCE)


def decide(
    *,
    said: Said,
    decided: Sequence[Decided],
    by: Staff,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Said:
    """Take or drop what was heard before: all of it or none. What somebody else took or dropped meanwhile is refused."""
    with acting(by=by, at=at, once=entry) as act:
        if not any(one.choice != Choice.LATER for one in decided):
            raise Refusal("Choose what is taken, or what is dropped.")
        if said.struck_at is not None:
            raise Refusal("These words are struck out already.")
        _decide(act, said, decided)
        act.made(said)
    return said


def _decide(act: Act, said: Said, decided: Sequence[Decided]) -> None:
    """Write what is taken, and mark what is dropped."""
    still = set(
        said.heard.filter(taking__isnull=True, dropped_at__isnull=True).values_list("number", flat=True)
    )
    wanted = [one for one in decided if one.choice != Choice.LATER]
    if any(one.number not in still for one in wanted):
        raise Refusal("Some of this was taken or dropped meanwhile. Load the page again.")
    if taken := [one for one in wanted if one.choice != Choice.DROP]:
        _take(act, said, taken)
    if dropped := [one.number for one in wanted if one.choice == Choice.DROP]:
        said.heard.filter(number__in=dropped).update(dropped_at=act.at)
        act.record("words.dropped", subject=said, jobs=[said.job_id], lines=len(dropped))


def _take(act: Act, said: Said, taken: Sequence[Decided]) -> None:
    """One taking: each thing as a line of its own, which knows its words."""
    by = act.by
    if by is None:
        raise ValueError("What was said is taken by a person.")
    taking = Taking.objects.create(job=said.job, said=said, at=act.at, by=by)
    for one in taken:
        if one.choice == Choice.FINDING or one.writes is None:
            line: Model = write(act, Finding(job=said.job, text=one.words), "finding.added", entry=None)
            kind = "finding"
        else:
            line, kind = one.writes(SpokenBy(said.job, by, act.at)), one.line_kind
        said.heard.filter(number=one.number).update(taking=taking, line_kind=kind, line=line.pk)
    act.record("words.taken", subject=taking, jobs=[said.job_id], lines=len(taken))


def take_words_back(
    *, taking: Taking, by: Staff, entry: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Taking:
    """Strike every line of one taking that still stands; parts from stock go back into their drawers."""
    with acting(by=by, at=at, once=entry) as act:
        standing = Taking.objects.filter(pk=taking.pk, struck_at__isnull=True)
        if not standing.update(struck_at=act.at, struck_by=by, struck_reason=TAKEN_BACK):
            raise Refusal("This is taken back already.")
        struck = [line for one in taking.heard.order_by("number") if (line := _strike(one, by)) is not None]
        act.record("words.taken_back", subject=taking, jobs=[taking.job_id], lines=len(struck))
    taking.refresh_from_db()
    return taking


def _strike(heard: Heard, by: Staff) -> Any:
    """Strike the line that something was taken as; None where that is struck already."""
    table: Any = LINES[heard.line_kind]
    line = table._default_manager.filter(pk=heard.line, struck_at__isnull=True).first()
    if line is None:
        return None
    if isinstance(line, PartFitted):
        return strike_part(fitted=line, reason=TAKEN_BACK, by=by)
    return strike(line=line, reason=TAKEN_BACK, by=by)
