"""The bench's work beside the pages: reading a repair that was talked through."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from django.urls import reverse

from shop.bench.actions import note_heard
from shop.bench.actions.saying import READ_TALK, Choice, Decided
from shop.bench.models import Said
from shop.bench.saying import kept_as
from shop.handbook.spoken import Cue, read_talk, read_timed
from shop.keeping.tasks import Kind, Result, Work, hang_up


def read(work: Work) -> Result:
    """Read a talk into proposals; a talk that was read already stays as it is."""
    said = Said.objects.select_related("job").get(pk=work.about["said"])
    cues = read_timed(said.text).cues
    moments = read_talk(_told(cues, work))
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
    note_heard(said=said, heard=heard, by=work.by)
    return Result(
        f"{len(heard)} things were heard in {len(cues)} lines.",
        reverse("bench:said", args=[said.job.number, said.pk]),
    )


def _told(cues: Sequence[Cue], work: Work) -> Iterator[Cue]:
    """The cues one after the other, telling how far they are read."""
    for at, cue in enumerate(cues):
        work.say(at, len(cues))
        yield cue


def hang_up_all() -> None:
    """Have the worker read talks; somebody waits for it, and it takes seconds."""
    hang_up(Kind(READ_TALK, "Read a talked-through repair", read, of="lines", quick=True))
