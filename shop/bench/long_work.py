"""The bench's work beside the pages: hearing the recording of a repair, and reading what was talked through."""

from __future__ import annotations

import datetime as dt
import math
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from django.urls import reverse

from shop.bench import actions, hearing
from shop.bench.actions.saying import HEAR, READ_TALK, Choice, Decided
from shop.bench.models import Said
from shop.bench.saying import kept_as
from shop.counter.models import Job
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.handbook.spoken import Cue, Moment, read_talk, read_timed
from shop.keeping.tasks import Kind, Result, Work, hang_up
from shop.keeping.tasks.kinds import GIGABYTE


def read(work: Work) -> Result:
    """Read a talk into proposals; a talk that was read already stays as it is."""
    said = Said.objects.select_related("job").get(pk=work.about["said"])
    cues = read_timed(said.text).cues
    unsure = {cue.start: cue.unsure for cue in cues if cue.unsure}
    moments = [_asked(one, unsure.get(one.at, ())) for one in read_talk(_told(cues, work))]
    heard = [
        Decided(
            number=number,
            kind=one.proposal.kind.value,
            words=one.proposal.words,
            choice=Choice.LATER,
            facts=kept_as(one.proposal),
            seconds=one.at,
        )
        for number, one in enumerate(moments)
    ]
    actions.note_heard(said=said, heard=heard, by=work.by)
    return Result(
        f"{len(heard)} things were heard in {len(cues)} lines.",
        reverse("bench:said", args=[said.job.number, said.pk]),
    )


def _told(cues: Sequence[Cue], work: Work) -> Iterator[Cue]:
    """The cues one after the other, telling how far they are read."""
    for at, cue in enumerate(cues):
        work.say(at, len(cues))
        yield cue


def _asked(moment: Moment, unsure: Sequence[str]) -> Moment:
    """What rests on a word that was heard unsurely has to be asked."""
    words = set(moment.proposal.words.split())
    if not any(words & set(one.split()) for one in unsure):
        return moment
    return replace(moment, proposal=replace(moment.proposal, asks=(*moment.proposal.asks, "words")))


def hear(work: Work) -> Result:
    """Hear a recording and keep its words as a talk of the job; the recording goes. It may be stopped between two words."""
    about = work.about
    recording = hearing.recording_of(str(about["recording"]))
    job = Job.objects.get(pk=about["job"])
    if not recording.is_file():
        raise Refusal("The recording is no longer here: bring it once more.")
    if work.by is None:
        raise ValueError("A recording is brought by a person.")
    said = _heard(work, job, recording, work.by)
    recording.unlink(missing_ok=True)
    return Result("Its words are written down.", reverse("bench:said", args=[job.number, said]))


def _heard(work: Work, job: Job, recording: Path, by: Staff) -> int:
    """The talk that a recording became; where it was kept already before the work broke off, that one."""
    about = work.about
    key = uuid.UUID(str(about["recording"]))
    if kept := Said.objects.filter(entry=key).first():
        return kept.pk
    listening = hearing.recogniser().listen(recording)
    whole = math.ceil(listening.seconds)
    words = []
    for word in listening.words:
        work.say(min(int(word.end), whole), whole)
        words.append(word)
    if not words:
        raise Refusal("No words were heard in this recording.")
    began_at = dt.datetime.fromisoformat(about["began_at"]) if about["began_at"] else None
    text, clip = hearing.as_webvtt(words), str(about["clip"])
    return actions.bring_talk(
        job=job, text=text, clip=clip, began_at=began_at, by_ear=True, by=by, entry=key
    ).pk


def hang_up_all() -> None:
    """Have the worker read talks, for which somebody waits and which takes seconds; and hear recordings."""
    hang_up(Kind(HEAR, "Hear a recording", hear, of="seconds", memory=6 * GIGABYTE, tries=2))
    hang_up(Kind(READ_TALK, "Read a talked-through repair", read, of="lines", quick=True))
