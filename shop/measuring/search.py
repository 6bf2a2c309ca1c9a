"""How long the search takes, shape by shape, beside the bare queries, the shop's own list page, and what people use instead."""

from __future__ import annotations

import gc
import random
import shutil
import subprocess
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

from django.db import connection, transaction
from django.http import QueryDict
from django.test import Client
from django.urls import reverse

from shop.bench.models import Finding
from shop.counter.models import UnitModel
from shop.frame.models import Staff
from shop.measuring.bare import Bare
from shop.measuring.clocks import Times, machine, side_by_side, timed
from shop.measuring.corpus import COMPLAINTS, SEED, Corpus
from shop.records.job_list import newest_jobs
from shop.records.models import SearchRow
from shop.records.remedies import advice_for
from shop.records.searching import upkeep
from shop.records.searching.answering import BEST, Asking, ask
from shop.records.searching.question import Filters

Say = Callable[[str], None]


T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Shape:
    """One shape of question: what is asked of the shop, and the same for the bare index (empty where there is no like)."""

    name: str
    askings: Sequence[Asking]
    bare: Sequence[str] = ()
    best: bool = False


@dataclass
class Report:
    """Everything measured, for JSON, and the clock that it is measured by."""

    jobs: int
    clock: str = "wall"
    facts: dict[str, Any] = field(default_factory=dict)
    shapes: dict[str, dict[str, Any]] = field(default_factory=dict)

    def timed(self, call: Callable[[T], object], arguments: Sequence[T]) -> Times:
        """Time a call by the report's clock."""
        return timed(call, arguments, clock=self.clock)

    def by_turns(self, calls: Mapping[str, tuple[Callable[[Any], object], Sequence[Any]]]) -> dict[str, Any]:
        """Time several calls by turns; ready for JSON."""
        return {name: times.plain() for name, times in side_by_side(calls, clock=self.clock).items()}

    def plain(self) -> dict[str, Any]:
        """As it is printed."""
        return {
            "jobs": self.jobs,
            "clock": self.clock,
            "machine": machine(),
            **self.facts,
            "shapes": self.shapes,
        }


def build_index(report: Report, *, say: Say) -> None:
    """Build the search for all jobs, and say how long that took."""
    gc.freeze()  # as the command does (shop/management/commands/build_search.py)
    begun = time.perf_counter()
    upkeep.begin_building()
    done = 0
    for some in upkeep.build_on():
        done += some
        if done % 100_000 < some:
            say(f"{done:,} of {report.jobs:,} jobs indexed")
    report.facts["index_build_seconds"] = round(time.perf_counter() - begun, 1)
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("INSERT INTO records_fts(records_fts) VALUES ('optimize')")
            cursor.execute("ANALYZE")


def shapes(corpus: Corpus) -> list[Shape]:
    """The shapes of question, each with a dozen or more examples."""
    rnd = random.Random(SEED)  # noqa: S311
    common, rare = corpus.common, corpus.rare[:20]
    pairs = [f"{a} {b}" for at, a in enumerate(common[:6]) for b in common[at + 1 : 7]][:15]
    begun = [word[:3] for word in ("capacitor", "replaced", "transistor", "cleaned", "resistor", "regulator")]
    models = list(UnitModel.objects.order_by("pk")[:250])
    top, mid = models[:5], models[-10:] if len(models) > 200 else models[-5:]
    wrong = ["capaciter", "transitor", "regulater", "connectr", "transfrmer", "oxidsed"]

    def of(words: Sequence[str], **more: Any) -> list[Asking]:
        return [Asking(text=word, **more) for word in words]

    def with_model(chosen: Sequence[UnitModel], **more: Any) -> tuple[list[Asking], list[str]]:
        paired = [(model, word) for model in chosen for word in rnd.sample(common, 3)]
        return (
            [Asking(text=f"{model.name} {word}", **more) for model, word in paired],
            [f"token:m{model.pk} AND {word}" for model, word in paired],
        )

    both = [" AND ".join(pair.split()) for pair in pairs]
    return [
        Shape("rare word, newest", of(rare), rare),
        Shape("common word, newest", of(common), common),
        Shape("two common words, newest", of(pairs), both),
        Shape("three-letter beginning while typing", of(begun, typing=True), [f"{b}*" for b in begun]),
        Shape("frequent model and word, newest", *with_model(top)),
        Shape("middling model and word, newest", *with_model(mid)),
        Shape("part of a serial number", of([serial[2:7] for serial in corpus.serials[:12]])),
        Shape("misspelt word", of(wrong)),
        Shape("filter and word", [Asking(text=word, filters=Filters(mode="dirty")) for word in common]),
        Shape("rare word, best", of(rare, order=BEST), rare, best=True),
        Shape("common word, best", of(common, order=BEST), common, best=True),
        Shape("two common words, best", of(pairs, order=BEST), both, best=True),
        Shape("frequent model and word, best", *with_model(top, order=BEST), best=True),
    ]


def measure(corpus: Corpus, bare: Bare | None, report: Report, *, say: Say) -> None:
    """Time every shape: the page, the app's SQL, and the bare query of the same rows."""
    client = _client()
    gc.collect()
    gc.freeze()  # as the server does (shop/wsgi.py)
    for shape in shapes(corpus):
        say(shape.name)
        report.shapes[shape.name] = _measured(report, shape, client, bare)
    say("what fixed it last time")
    report.shapes["what fixed it last time"] = _advice(report, bare, corpus)
    report.facts["upkeep_ms"] = _upkeep(report).plain()
    report.facts["all_jobs_list_sql_ms"] = _beside_bare(
        report, _statements(lambda _: newest_jobs(Filters()), [0] * 12), None
    )["sql"]


def _measured(report: Report, shape: Shape, client: Client, bare: Bare | None) -> dict[str, Any]:
    def page(asking: Asking) -> None:
        _get(client, _address(asking), typing=asking.typing)

    calls: dict[str, tuple[Callable[[Any], object], Sequence[Any]]] = {
        "page": (page, shape.askings),
        "list_page": (lambda address: _get(client, address), [reverse("records:jobs")]),
        "ask": (ask, shape.askings),
    }
    found = report.by_turns(calls)
    found["page_to_list_page_p95"] = _ratio(found["page"], found["list_page"], "p95_ms")
    bares = (bare.best if shape.best else bare.newest, shape.bare) if bare and shape.bare else None
    return found | _beside_bare(report, _statements(ask, shape.askings), bares)


def _beside_bare(
    report: Report,
    runs: Sequence[Sequence[Statement]],
    bares: tuple[Callable[[str], None], Sequence[str]] | None,
) -> dict[str, Any]:
    """The statements of the app, run as they are, by turns with the bare bundle where there is one like it."""
    calls: dict[str, tuple[Callable[[Any], object], Sequence[Any]]] = {"sql": (_runner(), runs)}
    if bares is not None:
        calls["bare"] = bares
    found = report.by_turns(calls)
    if bares is not None:
        found["sql_to_bare_p95"] = _ratio(found["sql"], found["bare"], "p95_ms")
        found["sql_to_bare_median"] = _ratio(found["sql"], found["bare"], "median_ms")
    return found


def _ratio(one: Mapping[str, float], other: Mapping[str, float], of: str) -> float:
    return round(one[of] / other[of], 2)


def _advice(report: Report, bare: Bare | None, corpus: Corpus) -> dict[str, Any]:
    models = list(UnitModel.objects.order_by("pk")[:6])
    asked = [(model, complaint) for model in models for complaint in COMPLAINTS[:3]]

    def advise(pair: tuple[UnitModel, str]) -> None:
        advice_for(*pair)

    found = report.by_turns({"ask": (advise, asked)})
    return found | _beside_bare(
        report, _statements(advise, asked), (bare.best, corpus.common) if bare is not None else None
    )


def _upkeep(report: Report) -> Times:
    """What writing one changed job's search row adds to a save."""
    rows = list(SearchRow.objects.order_by("-pk").values_list("job_id", flat=True)[:40])

    def plainly(job: int) -> None:
        Finding.objects.filter(job=job).update(text=f"changed at {time.perf_counter_ns()} capacitor relay")

    def change(job: int) -> None:
        plainly(job)
        upkeep.refresh([job])

    with transaction.atomic():
        took = side_by_side({"with": (change, rows), "without": (plainly, rows)}, clock=report.clock)
    one, other = took["with"], took["without"]
    return Times(one.median - other.median, one.p95 - other.p95, one.most - other.most, one.calls)


# --- pages and statements -------------------------------------------------------------------------------------


def _client() -> Client:
    staff, _ = Staff.objects.get_or_create(username="measured", defaults={"is_superuser": True})
    client = Client(SERVER_NAME="localhost")
    client.force_login(staff)
    return client


def _get(client: Client, address: str, *, typing: bool = False) -> None:
    headers = {"HX-Request": "true", "HX-Target": "search-results"} if typing else {}
    answer = client.get(address, headers=headers)
    if answer.status_code != 200:
        raise RuntimeError(f"{address} answered {answer.status_code}.")


def _address(asking: Asking) -> str:
    query = QueryDict(mutable=True)
    query.update({"q": asking.text, "order": asking.order})
    if asking.filters.mode:
        query["mode"] = asking.filters.mode
    return f"{reverse('records:search')}?{query.urlencode()}"


Statement = tuple[str, Any]


@contextmanager
def _listening() -> Iterator[list[Statement]]:
    heard: list[Statement] = []

    def hear(
        execute: Callable[..., object],
        sql: str,
        parameters: Sequence[object] | None,
        many: bool,  # noqa: FBT001
        context: object,
    ) -> object:
        heard.append((sql, parameters))
        return execute(sql, parameters, many, context)

    with connection.execute_wrapper(hear):
        yield heard


def _statements(call: Callable[[T], object], arguments: Sequence[T]) -> list[list[Statement]]:
    """What a call asks of the database, for each argument."""
    runs = []
    for argument in arguments:
        with _listening() as heard:
            call(argument)
        runs.append([(_plain(sql), tuple(parameters or ())) for sql, parameters in heard])
    return runs


def _runner() -> Callable[[Sequence[Statement]], None]:
    """Runs statements as they are and reads them to their end, without Django."""
    connection.ensure_connection()
    raw = connection.connection

    def run(statements: Sequence[Statement]) -> None:
        for sql, parameters in statements:
            raw.execute(sql, parameters).fetchall()

    return run


def _plain(sql: str) -> str:
    """Django's marks as sqlite3 reads them; psycopg reads Django's own."""
    return sql.replace("%s", "?").replace("%%", "%") if connection.vendor == "sqlite" else sql


# --- what people use instead ----------------------------------------------------------------------------------------


def other_ways(report: Report, folder: Path, *, say: Say) -> None:
    """Text search over exported notes by ripgrep or grep, a filter over rows by pandas: where they are on this machine."""
    say("what people use instead")
    notes = folder / "notes.txt"
    sql = "SELECT j.number, j.complaint, f.text FROM counter_job j JOIN bench_finding f ON f.job_id = j.id ORDER BY j.id"
    with connection.cursor() as cursor, notes.open("w", encoding="utf-8") as file:
        cursor.execute(sql)
        while rows := cursor.fetchmany(10_000):
            file.writelines(f"{number}\t{complaint}\t{text}\n" for number, complaint, text in rows)
    words = ["capacitor", "relay"]
    calls: dict[str, tuple[Callable[[Any], object], Sequence[Any]]] = {
        "search page": (_searcher(), [Asking(text=word) for word in words])
    }
    calls |= {
        name: (_finder(program, notes), words) for name in ("rg", "grep") if (program := shutil.which(name))
    }
    if (filtered := _pandas(notes)) is not None:
        calls["pandas, the rows in memory already"] = (filtered, words)
    # what other programs use is not in this process's own time
    found = {name: times.plain() for name, times in side_by_side(calls, clock="wall", rounds=6).items()}
    notes.unlink()
    ours = found["search page"]["median_ms"]
    for name, took in found.items():
        if name != "search page":
            took["times_the_search_page"] = round(took["median_ms"] / ours, 1)
    report.facts["other_ways"] = found


def _searcher() -> Callable[[Asking], None]:
    client = _client()
    return lambda asking: _get(client, _address(asking))


def _finder(program: str, notes: Path) -> Callable[[str], object]:
    return lambda word: subprocess.run(  # noqa: S603
        [program, "-i", word, str(notes)], check=False, capture_output=True
    )


def _pandas(notes: Path) -> Callable[[str], object] | None:
    """A filter over the rows of a sheet, once it is loaded; None where pandas is not installed."""
    try:
        import pandas as pd  # noqa: PLC0415
    except ImportError:
        return None
    frame = pd.read_csv(notes, sep="\t", names=["number", "complaint", "finding"])
    return lambda word: frame[frame.finding.str.contains(word, case=False, regex=False)]
