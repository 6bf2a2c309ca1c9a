"""What a talk tells by its times alone: runs of it, and chapters that name neither people nor serial numbers.

A title is made of the kind of what was told and of words of the bench, so that nothing personal can come into it. Sources:
WebVTT (W3C) for the chapter file; how long a pause ends a run of work: common practice, no source.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from typing import NamedTuple

from shop.handbook.spoken.places import NOUNS
from shop.handbook.spoken.proposals import Kind
from shop.handbook.spoken.reader import Moment
from shop.handbook.spoken.timed import Cue

PAUSE = 300
"""Seconds of silence that are no work any more."""
A_WORD = Decimal("0.4")
"""Seconds that a spoken word takes, where a cue doesn't tell its end."""
LEAST = 20
"""Seconds of a chapter: a shorter one belongs to the one before."""
MOST_WORDS = 3
_TITLES = {
    Kind.READING: "Measuring",
    Kind.TRACE: "Earlier work",
    Kind.DEVICE: "Earlier work",
    Kind.PART: "New parts",
    Kind.WORK: "Work",
    Kind.TEMPORARY: "Work",
    Kind.CONDITION: "As it came",
    Kind.MISSING: "As it came",
    Kind.CONCLUSION: "What it was",
    Kind.TEST: "Testing",
}
_DESIGNATOR = re.compile(r"(?:IC|TR|RL|VR|TP|[CRQUDLKTVFS])\d{1,4}", re.IGNORECASE)


class Run(NamedTuple):
    """One unbroken stretch of talk, in seconds from the beginning of the recording."""

    start: Decimal
    end: Decimal


class Chapter(NamedTuple):
    """Where a chapter begins, in seconds, and what it is called."""

    start: Decimal
    title: str


def runs_of(cues: Iterable[Cue], pause: int = PAUSE) -> list[Run]:
    """The stretches of talk between pauses of more than ``pause`` seconds, in the order of their times."""
    runs: list[Run] = []
    for cue in sorted(cues, key=lambda one: one.start):
        end = cue.end if cue.end is not None else cue.start + A_WORD * len(cue.text.split())
        if runs and cue.start - runs[-1].end <= pause:
            runs[-1] = Run(runs[-1].start, max(runs[-1].end, end))
        else:
            runs.append(Run(cue.start, end))
    return runs


def chapters_of(moments: Iterable[Moment]) -> list[Chapter]:
    """The chapters of a talk: one for each stretch of one kind, called by its kind and the places that are named in it."""
    told = sorted((one for one in moments if one.proposal.kind in _TITLES), key=lambda one: one.at)
    stretches: list[tuple[Decimal, str, list[str]]] = []
    for title, group in itertools.groupby(told, key=lambda one: _TITLES[one.proposal.kind]):
        some = list(group)
        words = [word for one in some for word in _words_of_the_bench(one.proposal.facts)]
        if stretches and (some[0].at - stretches[-1][0] < LEAST or stretches[-1][1] == title):
            stretches[-1][2].extend(words)
        else:
            stretches.append((some[0].at, title, words))
    chapters = [Chapter(at, _titled(title, words)) for at, title, words in stretches]
    if not chapters or chapters[0].start > 0:
        chapters.insert(0, Chapter(Decimal(0), "Beginning"))
    return chapters


def _words_of_the_bench(facts: object) -> Iterator[str]:
    """The place of a proposal, as far as its words are words of the bench or designators."""
    place = str(facts.get("place", "")) if hasattr(facts, "get") else ""
    kept = [one for one in place.split() if one.lower() in NOUNS or _DESIGNATOR.fullmatch(one)]
    if kept:
        yield " ".join(kept)


def _titled(title: str, words: Sequence[str]) -> str:
    """A title with its first places."""
    places = list(dict.fromkeys(words))[:MOST_WORDS]
    return f"{title}: {', '.join(places)}" if places else title


def moment(seconds: Decimal | int) -> str:
    """A moment as a clock shows it: 1:05, 1:02:09. Raises ValueError for what is no moment of a recording."""
    whole = int(_sound(seconds))
    hours, minutes = divmod(whole // 60, 60)
    return f"{hours}:{minutes:02d}:{whole % 60:02d}" if hours else f"{minutes}:{whole % 60:02d}"


def chapters_as_text(chapters: Iterable[Chapter]) -> str:
    """One line a chapter: its time, its title."""
    return "".join(f"{moment(one.start)} {one.title}\n" for one in chapters)


def chapters_as_webvtt(chapters: Sequence[Chapter], end: Decimal) -> str:
    """The chapters as a WebVTT file of kind chapters; the last one ends at ``end`` seconds.

    Raises ValueError where ``end`` is no moment of a recording.
    """
    end = _sound(end)
    stops = [*(one.start for one in chapters[1:]), max(end, chapters[-1].start + 1)] if chapters else []
    cues = (
        f"{_stamp(one.start)} --> {_stamp(stop)}\n{one.title}\n\n"
        for one, stop in zip(chapters, stops, strict=True)
    )
    return "WEBVTT\n\n" + "".join(cues)


def _sound(seconds: Decimal | int) -> Decimal:
    """The seconds, exactly; raises ValueError where a recording can't have them."""
    exact = Decimal(seconds)
    if not (exact.is_finite() and exact >= 0):
        raise ValueError("A moment of a recording is a number of seconds from its beginning.")
    return exact


def _stamp(seconds: Decimal) -> str:
    """hh:mm:ss.ttt, as WebVTT asks."""
    thousandths = int(_sound(seconds) * 1000)
    hours, rest = divmod(thousandths, 3_600_000)
    minutes, rest = divmod(rest, 60_000)
    return f"{hours:02d}:{minutes:02d}:{rest // 1000:02d}.{rest % 1000:03d}"
