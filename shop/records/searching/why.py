"""Why a job was found: the places in its own texts that say what was asked, with the words marked."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass

from django.db import connection
from django.db.models import Case, OuterRef, Subquery, TextField, Value, When
from django.db.models.functions import Concat
from django.utils.html import conditional_escape, format_html_join
from django.utils.safestring import SafeString, mark_safe

from shop.bench.models import Conclusion
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


def texts_of(shown: Mapping[int, tuple[str, str]], asked: Asked) -> dict[int, Texts]:
    """The texts of some jobs with what was asked marked in them; `shown` are complaint and conclusion by the job's key.

    These two are shown anyway. What they don't say is looked for in the findings, and only what these don't say either in parts
    and traces: two queries at most, whatever the number of jobs.
    """
    unsaid = {
        job: words
        for job, (complaint, conclusion) in shown.items()
        if (words := _unsaid(asked, complaint[:LONGEST_READ], conclusion))
    }
    reasons = _reasons(unsaid, asked)
    return {
        job: Texts(marked(complaint, asked), marked(conclusion, asked), reasons.get(job, [])[:MOST_REASONS])
        for job, (complaint, conclusion) in shown.items()
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


def _reasons(unsaid: Mapping[int, Asked], asked: Asked) -> dict[int, list[Reason]]:
    """Where else each of these jobs says its words; what one place says is not looked for in the next."""
    reasons: dict[int, list[Reason]] = defaultdict(list)
    for statement in (_FINDINGS, _PARTS_AND_TRACES):
        if not unsaid:
            break
        said = _said(statement, unsaid)
        for job, lines in said.items():
            excerpts = ((where, _excerpt_if_it_says(unsaid[job], text, asked)) for where, text in lines)
            reasons[job] += [Reason(where, excerpt) for where, excerpt in excerpts if excerpt]
        unsaid = {
            job: words
            for job, still in unsaid.items()
            if (words := _unsaid(still, *(text[:LONGEST_READ] for _, text in said.get(job, ()))))
        }
    return reasons


def last_conclusion(job: str) -> Subquery:
    """The last conclusion that stands about the job that this column of the outer query names, in one line; None without one."""
    standing = Conclusion.objects.filter(job=OuterRef(job), struck_at__isnull=True).order_by("-at", "-id")
    where = Case(When(position="", then=Value("")), default=Concat(Value(" "), "position"))
    line = Concat("failed", where, Value(": "), "remedy", output_field=TextField())
    return Subquery(standing.values(line=line)[:1])


_FINDINGS = """
SELECT 1, id, job_id, 'Finding', text, '', '' FROM bench_finding WHERE job_id IN ({0}) AND struck_at IS NULL ORDER BY 3, 2
"""
_PARTS_AND_TRACES = """
SELECT 1, f.id, f.job_id, 'Part', f.description, f.position, coalesce(p.designation, '')
    FROM stockroom_partfitted f LEFT JOIN stockroom_part p ON p.id = f.part_id WHERE f.job_id IN ({0}) AND f.struck_at IS NULL
UNION ALL SELECT 2, id, job_id, 'Trace', "where", marking, note FROM bench_evidence
    WHERE job_id IN ({0}) AND struck_at IS NULL
ORDER BY 1, 2
"""


def _said(statement: str, jobs: Collection[int]) -> dict[int, list[tuple[str, str]]]:
    """What stands in one of the places about each job, as (what it is, text)."""
    said: dict[int, list[tuple[str, str]]] = defaultdict(list)
    with connection.cursor() as cursor:
        cursor.execute(statement.format(", ".join(["%s"] * len(jobs))), [*jobs] * statement.count("{0}"))
        rows = cursor.fetchall()
    for _kind, _id, job, where, *words in rows:
        said[job].append((where, _in_one_line(words)))
    return said


def _in_one_line(words: Iterable[str]) -> str:
    """Texts one after the other, each but once: many a description of a part says its designation as well."""
    line = ""
    for word in words:
        if f" {word} ".casefold() not in f" {line} ".casefold():
            line = f"{line} {word}".strip()
    return line


def marked(text: str, asked: Asked, *, longest: int = LONGEST_EXCERPT) -> SafeString:
    """The text, shortened around the first place that says what was asked, with such places in `mark`."""
    spans = marks(asked, text[:LONGEST_READ]) if asked else ()
    start, stop = _window(text, spans[0][0] if spans else 0, longest)
    return _with_marks(text, start, stop, spans)


def _excerpt_if_it_says(wanted: Asked, text: str, asked: Asked) -> SafeString:
    """The text around the first place that says what is wanted, with all that was asked marked; nothing where none says it."""
    spans = marks(wanted, text[:LONGEST_READ])
    if not spans:
        return SafeString("")
    start, stop = _window(text, spans[0][0], LONGEST_EXCERPT)
    return _with_marks(text, start, stop, marks(asked, text[:LONGEST_READ]))


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
