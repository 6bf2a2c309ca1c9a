"""Why a job was found: the places in its own texts that say what was asked, with the words marked."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby, islice

from django.utils.html import conditional_escape, format_html_join
from django.utils.safestring import SafeString, mark_safe

from shop.handbook.words import Asked, marks, satisfied_by, stored_tokens
from shop.records.searching.rows import FINDING

LONGEST_EXCERPT = 180
BEFORE_THE_MARK = 60
MOST_REASONS = 3


@dataclass(frozen=True, slots=True)
class Reason:
    """One place that says what was asked."""

    where: str
    text: SafeString


@dataclass(frozen=True, slots=True)
class Texts:
    """What is shown of one found job."""

    complaint: SafeString
    conclusion: SafeString
    reasons: list[Reason]


def texts_of(shown: str, asked: Asked) -> Texts:
    """The texts of a found job, as `rows.shown_text` keeps them, with what was asked marked in them.

    Complaint and conclusion are shown anyway. What they don't say is looked for in the findings, and only what these don't say
    either in parts and traces.
    """
    complaint, concluded, lines = json.loads(shown) if shown else ("", "", [])
    reasons = _reasons(lines, _unsaid(asked, complaint, concluded), asked)
    return Texts(marked(complaint, asked), marked(concluded, asked), list(islice(reasons, MOST_REASONS)))


def _unsaid(asked: Asked, *texts: str) -> Asked | None:
    """The words of the question that these texts don't say; a word that may mean a model or a kind counts as said."""
    columns = [stored_tokens(text) for text in texts]
    words = tuple(
        word
        for word in asked.words
        if not any("_" in way.words[-1] for way in word.ways) and satisfied_by(word, *columns) is None
    )
    return Asked(words) if words else None


def _reasons(lines: Iterable[tuple[str, str]], unsaid: Asked | None, asked: Asked) -> Iterator[Reason]:
    """Where else a job says its words; what one place says is not looked for in the next."""
    for _, place in groupby(lines, key=lambda line: line[0] == FINDING):
        if unsaid is None:
            return
        said = list(place)
        for where, text in said:
            if excerpt := _excerpt_if_it_says(unsaid, text, asked):
                yield Reason(where, excerpt)
        unsaid = _unsaid(unsaid, *(text for _, text in said))


def marked(text: str, asked: Asked, *, longest: int = LONGEST_EXCERPT) -> SafeString:
    """The text, shortened around the first place that says what was asked, with such places in `mark`."""
    spans = marks(asked, text) if asked else ()
    start, stop = _window(text, spans[0][0] if spans else 0, longest)
    return _with_marks(text, start, stop, spans)


def _excerpt_if_it_says(wanted: Asked, text: str, asked: Asked) -> SafeString:
    """The text around the first place that says what is wanted, with all that was asked marked; nothing where none says it."""
    spans = marks(wanted, text)
    if not spans:
        return SafeString("")
    start, stop = _window(text, spans[0][0], LONGEST_EXCERPT)
    return _with_marks(text, start, stop, marks(asked, text))


def _window(text: str, first: int, longest: int) -> tuple[int, int]:
    """Where the excerpt begins and ends: at spaces, with the first mark in sight."""
    if len(text) <= longest:
        return 0, len(text)
    start = max(0, first - BEFORE_THE_MARK)
    if start:
        start = text.find(" ", start, first) + 1 or start
    stop = min(len(text), start + longest)
    if stop < len(text):
        stop = max(text.rfind(" ", start + longest // 2, stop), start + longest // 2)
    return start, stop


def _with_marks(text: str, start: int, stop: int, spans: Iterable[tuple[int, int]]) -> SafeString:
    within = [(max(first, start), min(last, stop)) for first, last in spans if first < stop and last > start]
    inside = [(first, first + len(text[first:last].rstrip(".:!?…"))) for first, last in within]
    return format_html_join("", "{}", ((piece,) for piece in _pieces(text, start, stop, inside)))


def _pieces(text: str, start: int, stop: int, spans: Iterable[tuple[int, int]]) -> Iterator[SafeString]:
    at = start
    if start:
        yield SafeString("… ")
    for first, last in spans:
        yield conditional_escape(text[at:first])
        yield mark_safe(f"<mark>{conditional_escape(text[first:last])}</mark>")  # noqa: S308  (escaped within)
        at = last
    yield conditional_escape(text[at:stop])
    if stop < len(text):
        yield SafeString(" …")
