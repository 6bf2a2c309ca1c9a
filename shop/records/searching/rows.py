"""What the search keeps of a job: its words by where they stand, its tokens, and what the filters count by.

Rows are built for many jobs at once, in a fixed number of queries.
"""

from __future__ import annotations

import datetime as dt
import json
import re
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db import connection
from django.db.models.expressions import RawSQL
from django.db.models.functions import Coalesce

from shop.bench.models import FailureMode
from shop.counter.models import Job
from shop.counter.stages import ENDED, UNCOUNTED
from shop.frame import clock
from shop.handbook.spoken import moment, read_timed
from shop.handbook.words import fold_serial, stored_form, typed_words

VERSION = 8
"""Raised whenever the words of a row are made in another way, so that the shop is told to build its rows anew."""

BETWEEN = "\n_\n"
"""Parts the kinds of words in a job's one text: a word of its own to the index, so that no phrase reaches over it."""

UNNAMED = "unknown"
"""What a maker or model is called in an older book that names none."""

FINDING, PART, TRACE, CAPTION, NOTE, SAID = "Finding", "Part", "Trace", "Photograph", "Note", "Said"
LONGEST_SHOWN = 4000
"""So much of a text is kept for the page of hits; its words are all kept."""

MANY = 100
_DAY_BITS = 24
_LONGEST_TERM = 44


@dataclass(frozen=True, slots=True)
class Row:
    """Everything that is kept of one job. `texts` are the stored forms of complaint, findings, conclusion, parts, marks and
    the names of maker and model.

    `shown` is what a page of hits shows. `raw` is what the words were made of: not kept, but asked how a new word is written.
    """

    id: int
    job_id: int
    model_id: int
    unit_id: int
    serial: str
    facets: str
    tokens: str
    texts: tuple[str, ...]
    shown: str
    raw: tuple[str, ...] = field(default=(), compare=False)

    @property
    def words(self) -> str:
        """All its words in one text, tokens first."""
        return BETWEEN.join((self.tokens, *self.texts))

    @property
    def length(self) -> int:
        """How many words the job has, for ranking."""
        return sum(text.count(" ") + 1 for text in self.texts if text)

    @property
    def terms(self) -> frozenset[str]:
        """Every word of the job, once."""
        return frozenset(" ".join(self.texts).split())


@dataclass(slots=True)
class _Said:
    """What was written about one job, before it is folded. `lines` are those a page of hits shows, by what they are."""

    lines: dict[str, list[str]] = field(
        default_factory=lambda: {FINDING: [], PART: [], TRACE: [], CAPTION: [], NOTE: [], SAID: []}
    )
    concluded: str = ""
    findings: list[str] = field(default_factory=list)
    conclusion: list[str] = field(default_factory=list)
    parts: list[str] = field(default_factory=list)
    marks: list[str] = field(default_factory=list)
    mode: str = ""
    has_evidence: bool = False

    def add(self, kind: str, words: Sequence[str], mode: str) -> None:
        """Take one more thing that was written, as `_SAID` gives it."""
        line = " ".join(word for word in words if word)
        if kind == "finding":
            self.findings.append(line)
            self.lines[FINDING].append(line)
        elif kind == "reading":
            self.findings.append(line)
        elif kind in {"caption", "note"}:
            self.findings.append(line)
            self.lines[CAPTION if kind == "caption" else NOTE].append(line)
        elif kind == "said":
            self._add_said(words[0], words[1], timed=bool(mode))
        elif kind == "part":
            self.parts.append(line)
            self.lines[PART].append(each_once(words[:3]))
        elif kind == "trace":
            self.marks.append(line)
            self.lines[TRACE].append(each_once(words))
            self.has_evidence = True
        else:
            failed, position, remedy, _watch = words
            self.conclusion += [*words, FailureMode(mode).label]
            self.concluded = f"{f'{failed} {position}'.rstrip()}: {remedy}"
            self.mode = mode

    def _add_said(self, text: str, clip: str, *, timed: bool) -> None:
        """What was said: a line whole, and of a talk each of its lines with its moment."""
        if not timed:
            self.findings.append(text)
            self.lines[SAID].append(text)
            return
        for cue in read_timed(text).cues:
            self.findings.append(cue.text)
            self.lines[SAID].append(f"{clip} {moment(cue.start)} {cue.text}".strip())


def each_once(words: Iterable[str]) -> str:
    """Texts one after the other, each but once: many a description of a part says its designation as well."""
    line = ""
    for word in words:
        if f" {word} ".casefold() not in f" {line} ".casefold():
            line = f"{line} {word}".strip()
    return line


def shown_text(complaint: str, concluded: str, lines: Mapping[str, Sequence[str]]) -> str:
    """What a page of hits shows of a job, as JSON: complaint, last conclusion, and each line as [what it is, what it says]."""
    said = [[what, line[:LONGEST_SHOWN]] for what, some in lines.items() for line in some]
    return json.dumps(
        [complaint[:LONGEST_SHOWN], concluded[:LONGEST_SHOWN], said],
        ensure_ascii=False,
        separators=(",", ":"),
    )


def id_on(day: dt.date, job_id: int) -> int:
    """The id of a job's search row: days first, so that a greater id is never an earlier day.

    Two jobs of one day share an id only when their own ids are a multiple of sixteen million apart.
    """
    return day.toordinal() << _DAY_BITS | job_id & ((1 << _DAY_BITS) - 1)


def day_of(row_id: int) -> dt.date:
    """The day that a row's id begins with."""
    return dt.date.fromordinal(row_id >> _DAY_BITS)


_JOB_FACTS = (
    *("id", "number", "customer_id", "unit_id", "stage", "outcome", "complaint", "condition"),
    "comeback_of_id",
    *("unit__serial", "unit__marks", "unit__model_id", "unit__model__maker_id", "unit__model__kind"),
    *("unit__model__name", "unit__model__maker__name"),
)


_CAME = Coalesce("booked_in_at", "announced_at", "stage_since")


def build_rows(job_ids: Collection[int]) -> Iterator[Row]:
    """The rows of these jobs as their facts stand now; two queries whatever their number, asked before the first row is made.

    What was called off has none.
    """
    if not job_ids:
        return iter(())
    here = Job.objects.filter(pk__in=_these(job_ids)).exclude(stage__in=UNCOUNTED)
    jobs = list(here.order_by("pk").values(*_JOB_FACTS, came=_CAME))
    said = _said_of(job_ids)
    # what is sent to PostgreSQL by COPY keeps the connection busy: nothing may be asked while the rows are made
    came = clock.days_of(job["came"] for job in jobs)
    return (_row(job, day, said[job["id"]]) for job, day in zip(jobs, came, strict=True))


_SAID = """
SELECT job_id, kind, a, b, c, d, mode FROM (
    SELECT job_id, at, id, 'finding' AS kind, text AS a, '' AS b, '' AS c, '' AS d, '' AS mode FROM bench_finding
        WHERE job_id {0} AND struck_at IS NULL
    UNION ALL SELECT job_id, at, id, 'reading', "where", typed, '', '', '' FROM bench_reading
        WHERE job_id {0} AND struck_at IS NULL
    UNION ALL SELECT job_id, at, id, 'conclusion', failed, position, remedy, watch, mode FROM bench_conclusion
        WHERE job_id {0} AND struck_at IS NULL
    UNION ALL SELECT job_id, at, id, 'trace', "where", marking, note, '', '' FROM bench_evidence
        WHERE job_id {0} AND struck_at IS NULL
    UNION ALL SELECT job_id, at, id, 'said', text, clip, '', '', CASE WHEN timed THEN 'timed' ELSE '' END
        FROM bench_said WHERE job_id {0} AND struck_at IS NULL
    UNION ALL SELECT f.job_id, f.at, f.id, 'part', f.description, f.position, coalesce(p.designation, ''),
        coalesce(p.number, ''), '' FROM stockroom_partfitted f LEFT JOIN stockroom_part p ON p.id = f.part_id
        WHERE f.job_id {0} AND f.struck_at IS NULL
    UNION ALL SELECT j.job_id, p.added_at, j.id, 'caption', j.caption, '', '', '', '' FROM counter_jobpicture j
        JOIN keeping_picture p ON p.id = j.picture_id WHERE j.job_id {0} AND j.struck_at IS NULL AND j.caption <> ''
    UNION ALL SELECT job_id, at, id, 'note', what, "where", '', '', '' FROM bench_temporary
        WHERE job_id {0} AND struck_at IS NULL
    UNION ALL SELECT job_id, at, id, 'note', text, '', '', '', '' FROM bench_leftoff
        WHERE job_id {0} AND struck_at IS NULL
    UNION ALL SELECT job_id, at, id, 'note', note, '', '', '', '' FROM bench_soaktest
        WHERE job_id {0} AND struck_at IS NULL AND note <> ''
) AS said ORDER BY at, id
"""
"""All that stands written about some jobs, in one statement: it is asked at the end of every act."""


def _these(ids: Collection[int]) -> Collection[int] | RawSQL:
    """What a key is asked to be in; of thousands, PostgreSQL reads one array sooner than as many numbers."""
    one_array = connection.vendor == "postgresql" and len(ids) > MANY
    return RawSQL("SELECT unnest(%s)", [list(ids)]) if one_array else ids


def among_these(ids: Collection[int]) -> tuple[str, list[Any]]:
    """A condition that a column is one of these, with its arguments.

    One is asked for by itself, as after every act, because that is planned sooner; many go to PostgreSQL as one array.
    """
    if len(ids) == 1:
        return "= %s", list(ids)
    if connection.vendor == "postgresql":
        return "= ANY(%s)", [list(ids)]
    return f"IN ({', '.join(['%s'] * len(ids))})", list(ids)


def _said_of(job_ids: Collection[int]) -> dict[int, _Said]:
    """Everything that stands written about these jobs, in the order in which it was; what is struck out is left out."""
    said: dict[int, _Said] = defaultdict(_Said)
    among, ids = among_these(job_ids)
    with connection.cursor() as cursor:
        cursor.execute(_SAID.format(among), ids * _SAID.count("{0}"))
        rows = cursor.fetchall()
    for job, kind, *words, mode in rows:
        said[job].add(kind, words, mode)
    return said


def _row(job: dict[str, Any], day: dt.date, said: _Said) -> Row:
    serial = fold_serial(job["unit__serial"], letter_o=True)
    number = job["number"]
    marks = [job["unit__marks"], *said.marks]
    # Numbers that are one job's or one unit's own are no words of the trade: they stand with the tokens and are not counted.
    own = " ".join(_own_words(job["unit__serial"], number))
    raw = tuple(
        "\n".join(text for text in texts if text)
        for texts in (
            [job["complaint"], job["condition"]],
            said.findings,
            said.conclusion,
            said.parts,
            marks,
            [
                _parted(name)
                for name in (job["unit__model__maker__name"], job["unit__model__name"])
                if name != UNNAMED
            ],
        )
    )
    return Row(
        id=id_on(day, job["id"]),
        job_id=job["id"],
        model_id=job["unit__model_id"],
        unit_id=job["unit_id"],
        serial=serial,
        facets=facets_text(
            job["unit__model_id"], job["unit__model__kind"], said.mode, job["outcome"], day.year
        ),
        tokens=" ".join([*_tokens(job, said, day), own]),
        texts=tuple(map(stored_form, raw)),
        shown=shown_text(job["complaint"], said.concluded, said.lines),
        raw=raw,
    )


def _parted(name: str) -> str:
    """A name, and once more in parts where a capital begins a part inside it: `EchoBox` is found by `box` as well."""
    parts = _INSIDE.sub(" ", name)
    return name if parts == name else f"{name} {parts}"


_INSIDE = re.compile(r"(?<=[a-zäöü])(?=[A-ZÄÖÜ][a-zäöü])")


def _own_words(serial: str, number: str) -> Iterator[str]:
    """A job's number and a unit's serial number as a question would have them: joined, and in parts where there are parts."""
    yield number.replace("-", "").lower()
    if serial.isalnum() and serial.isascii():
        yield serial.lower()
    elif serial:
        yield stored_form(serial)


def _tokens(job: dict[str, Any], said: _Said, day: dt.date) -> Iterator[str]:
    """The facts that filters ask for, each as one word with an underscore."""
    yield token("m", job["unit__model_id"])
    yield token("k", job["unit__model__maker_id"])
    yield token("t", job["unit__model__kind"])
    yield token("u", job["unit_id"])
    yield token("c", job["customer_id"])
    yield token("y", day.year)
    yield token("s", "ended" if job["stage"] in ENDED else "open")
    if said.mode:
        yield token("f", said.mode)
    if job["outcome"]:
        yield token("o", job["outcome"])
    if said.has_evidence:
        yield token("e", "found")
    if job["comeback_of_id"]:
        yield token("b", "comeback")


_FACETS = re.compile(r"m_(\d+) k_\d+ t_(\w+) u_\d+ c_\d+ y_(\d+) s_\w+(?: f_(\w+))?(?: o_(\w+))?")
"""The tokens in the order in which `_tokens` gives them."""


def facets_in(tokens: str) -> str:
    """What the filters count by, read from a row's tokens: the same text as `facets_text` makes.

    Empty for a row that an older program wrote, until the search is built anew.
    """
    found = _FACETS.match(tokens)
    if found is None:
        return ""
    model, kind, year, mode, outcome = found.groups("")
    return f"{model}.{kind}.{mode}.{outcome}.{year}"


def facets_text(model_id: int, kind: str, mode: str, outcome: str, year: int) -> str:
    """What the filters count by, in one short text: thousands of them are read in one row of the database's answer."""
    return f"{model_id}.{kind}.{mode}.{outcome}.{year}"


def token(kind: str, value: object) -> str:
    """The word that stands for a fact: `m_12` for model 12, `t_radio` for the kind."""
    return f"{kind}_{value}"


def written_words(texts: Iterable[str]) -> dict[str, str]:
    """How words were written, by the word that is kept of them: `transform` by `transformer`. For near misses."""
    return {word: typed[:_LONGEST_TERM] for text in texts for word, typed in typed_words(text)}
