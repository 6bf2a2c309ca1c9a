"""Why a job was found: the places in its own texts that say what was asked, with the words marked."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from django.db import connection
from django.utils.html import conditional_escape, format_html_join
from django.utils.safestring import SafeString, mark_safe

from shop.bench.models import Conclusion
from shop.counter.models import Job
from shop.handbook.words import Asked, marks, satisfied_by, stored_tokens

LONGEST_EXCERPT = 180
BEFORE_THE_MARK = 60
MOST_REASONS = 3
LONGEST_READ = 4000


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


def texts_of(jobs: Sequence[Job], asked: Asked) -> dict[int, Texts]:
    """The texts of these jobs with what was asked marked in them; two queries at most, whatever their number.

    Complaint and conclusion are shown anyway. Only what they don't say is looked for in findings, parts and traces.
    """
    conclusions = _conclusions(jobs)
    unsaid = {
        job.pk: words
        for job in jobs
        if (words := _unsaid(asked, job.complaint[:LONGEST_READ], conclusions.get(job.pk, "")))
    }
    others = _others(unsaid) if unsaid else {}
    return {
        job.pk: Texts(
            marked(job.complaint, asked),
            marked(conclusions.get(job.pk, ""), asked),
            list(islice(_reasons(others.get(job.pk, ()), unsaid.get(job.pk)), MOST_REASONS)),
        )
        for job in jobs
    }


def _unsaid(asked: Asked, *texts: str) -> Asked | None:
    """The words of the question that these texts don't say; a word that may mean a model or a kind counts as said."""
    columns = [stored_tokens(text) for text in texts]
    words = tuple(
        word
        for word in asked.words
        if not any("_" in way.words[-1] for way in word.ways) and satisfied_by(word, *columns) is None
    )
    return Asked(words) if words else None


def _reasons(said: Iterable[tuple[str, str]], unsaid: Asked | None) -> Iterator[Reason]:
    for where, text in said if unsaid is not None else ():
        if excerpt := _excerpt_if_marked(text, unsaid):
            yield Reason(where, excerpt)


def _conclusions(jobs: Iterable[Job]) -> dict[int, str]:
    """The last conclusion of each job, in one line."""
    standing = Conclusion.objects.filter(job__in=[job.pk for job in jobs], struck_at__isnull=True)
    rows = standing.order_by("at", "id").values_list("job_id", "failed", "position", "remedy")
    return {
        job: f"{failed}{f' {position}' if position else ''}: {remedy}"
        for job, failed, position, remedy in rows
    }


_SAID = """
SELECT 1, id, job_id, 'Finding', text, '', '' FROM bench_finding WHERE job_id IN ({0}) AND struck_at IS NULL
UNION ALL SELECT 2, f.id, f.job_id, 'Part', f.description, f.position, coalesce(p.designation, '')
    FROM stockroom_partfitted f LEFT JOIN stockroom_part p ON p.id = f.part_id WHERE f.job_id IN ({0}) AND f.struck_at IS NULL
UNION ALL SELECT 3, id, job_id, 'Trace', "where", marking, note FROM bench_evidence
    WHERE job_id IN ({0}) AND struck_at IS NULL
ORDER BY 1, 2
"""


def _others(jobs: Collection[int]) -> dict[int, list[tuple[str, str]]]:
    """Findings, parts and traces of each job, as (what it is, text); one statement, asked for every page."""
    said: dict[int, list[tuple[str, str]]] = defaultdict(list)
    with connection.cursor() as cursor:
        cursor.execute(_SAID.format(", ".join(["%s"] * len(jobs))), [*jobs] * 3)
        rows = cursor.fetchall()
    for _kind, _id, job, where, *words in rows:
        said[job].append((where, " ".join(word for word in words if word)))
    return said


def marked(text: str, asked: Asked, *, longest: int = LONGEST_EXCERPT) -> SafeString:
    """The text, shortened around the first place that says what was asked, with such places in `mark`."""
    spans = marks(asked, text[:LONGEST_READ]) if asked else ()
    start, stop = _window(text, spans[0][0] if spans else 0, longest)
    return _with_marks(text, start, stop, spans)


def _excerpt_if_marked(text: str, asked: Asked) -> SafeString:
    spans = marks(asked, text[:LONGEST_READ])
    if not spans:
        return SafeString("")
    start, stop = _window(text, spans[0][0], LONGEST_EXCERPT)
    return _with_marks(text, start, stop, spans)


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
    inside = [(max(first, start), min(last, stop)) for first, last in spans if first < stop and last > start]
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
