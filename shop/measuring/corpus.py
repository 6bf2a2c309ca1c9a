"""A seeded book of any number of jobs, written straight into an empty shop's tables. Everything in it is invented.

Models follow Zipf's law, so that one model has a tenth of the jobs and most have few; so do words: some stand in a third of all
jobs, a long tail in a handful. Days run over twenty years, and ids run with the days.
"""

from __future__ import annotations

import datetime as dt
import random
import uuid
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import accumulate
from typing import Any

from django.db import connection, models, transaction

from shop.bench.models import Conclusion, FailureMode, Finding
from shop.counter.keys import model_key, name_key, serial_key
from shop.counter.models import Customer, Job, Kind, Maker, Unit, UnitModel
from shop.counter.stages import Outcome, Stage
from shop.frame.models import ShopProfile
from shop.handbook.jobnumber import JobNumber
from shop.stockroom.models import PartFitted

SEED = 20261125
FIRST_DAY = dt.date(2006, 1, 2)
DAYS = 7300
MOST_MODELS = 3000
AT_ONCE = 5000

MAKERS = (
    *("Brackwater", "Ostrander", "Quillhaven", "Fenwick Dale", "Tarnbeck", "Kestrel & Vane", "Aldous Reed"),
    *("Marrowby", "Sable Point", "Thornquist", "Umberline", "Wexcombe", "Yarlside", "Corvane", "Dunmarrow"),
    *(
        "Elverton",
        "Gossamer",
        "Hartwick",
        "Inglemoor",
        "Jessop Hall",
        "Larkfield",
        "Morrow Bay",
        "Nettlecote",
    ),
    *("Oxbow Audio", "Pellam", "Rookhurst", "Silverbirch", "Tolland", "Vexley", "Whinfell"),
)
COMPLAINTS = (
    *(
        "no sound from the left channel",
        "no sound from the right channel",
        "dead will not turn on",
        "hums when hot",
    ),
    *("crackles when the volume is turned", "cuts out after an hour", "blows fuses at once", "speed wavers"),
    *("distorted at low volume", "display dark", "relay clicks but no output", "smells burnt and smokes"),
    *("buzz in both channels", "weak and tinny", "drifts out of tune", "two keys dead", "tape is eaten"),
    *("lamp out and dial dark", "scratchy balance control", "motor runs slow"),
)
FOUND = (
    *(
        "capacitor",
        "transistor",
        "resistor",
        "relay",
        "switch",
        "belt",
        "lamp",
        "fuse",
        "control",
        "regulator",
    ),
    *(
        "connector",
        "transformer",
        "diode",
        "motor",
        "contact",
        "joint",
        "board",
        "rail",
        "supply",
        "heatsink",
    ),
)
STATES = (
    *(
        "open",
        "shorted",
        "leaky",
        "cracked",
        "dirty",
        "worn",
        "hardened",
        "intermittent",
        "burnt",
        "oxidised",
    ),
    *("low", "high", "dried", "loose", "corroded"),
)
WORK = (
    *("replaced", "cleaned", "resoldered", "measured", "checked", "adjusted", "tested", "found", "removed"),
    *(
        "fitted",
        "aligned",
        "traced",
        "warm",
        "cold",
        "with",
        "after",
        "before",
        "output",
        "input",
        "stage",
        "volts",
    ),
)
REMEDIES = {
    "Speaker relay": (FailureMode.DIRTY, "Relay replaced"),
    "Filter capacitor": (FailureMode.LEAKY, "Pair of filter capacitors replaced"),
    "Volume control": (FailureMode.DIRTY, "Cleaned and lubricated"),
    "Output transistor": (FailureMode.SHORT, "Pair replaced, idle current set"),
    "Regulator": (FailureMode.OPEN, "Regulator replaced"),
    "Drive belt": (FailureMode.HARDENED, "Belt replaced, path cleaned"),
    "Solder joint": (FailureMode.CRACKED, "Reflowed"),
    "Mains fuse": (FailureMode.OPEN, "Fuse replaced, inrush checked"),
    "Dial lamp": (FailureMode.OPEN, "Lamp replaced"),
    "Selector switch": (FailureMode.WORN, "Switch replaced"),
}
NAMES = (
    "Alder",
    "Birch",
    "Cotter",
    "Dray",
    "Ember",
    "Fallow",
    "Garrow",
    "Hollis",
    "Ives",
    "Jarrow",
    "Kemble",
    "Lorne",
)


@dataclass
class Corpus:
    """What was written: how many of what, and the words that questions are made of."""

    jobs: int
    models: list[str] = field(default_factory=list)
    common: list[str] = field(default_factory=lambda: [*FOUND[:8], *WORK[:6]])
    rare: list[str] = field(default_factory=list)
    serials: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Draw:
    """One job's words."""

    complaint: str
    finding: str
    failed: str
    mode: str
    remedy: str
    parts: tuple[str, ...]


class Words:
    """Draws texts: a handful of common words, and a tail of references, values and coined words."""

    def __init__(self, rnd: random.Random) -> None:
        self.rnd = rnd
        self.tail = [*self._references(6000), *self._coined(14_000)]
        rnd.shuffle(self.tail)
        self.weights = list(accumulate(1 / (rank + 40) for rank in range(len(self.tail))))
        self.common = [*FOUND, *STATES, *WORK]
        self.common_weights = list(accumulate(1 / (rank + 6) for rank in range(len(self.common))))

    def _references(self, count: int) -> Iterator[str]:
        for at in range(count):
            yield f"{'RCQDLTUJ'[at % 8]}{self.rnd.randrange(100, 2000)}"

    def _coined(self, count: int) -> Iterator[str]:
        begin, middle, end = (
            "b d g k l m n p r s t v br kl pr st tr",
            "a e i o u ai ou",
            "b d g k l m n p r s t nd rk",
        )
        for _ in range(count):
            yield "".join(self.rnd.choice(part.split()) for part in (begin, middle, end, middle, end))

    def draw(self) -> Draw:
        """The texts of one job."""
        rnd = self.rnd
        failed = rnd.choice(list(REMEDIES))
        mode, remedy = REMEDIES[failed]
        told = " ".join(rnd.choices(self.common, cum_weights=self.common_weights, k=6))
        written = rnd.choices(self.common, cum_weights=self.common_weights, k=26)
        written += rnd.choices(self.tail, cum_weights=self.weights, k=9)
        rnd.shuffle(written)
        parts = tuple(rnd.choice(FOUND).capitalize() for _ in range(rnd.randrange(3)))
        complaint = f"{rnd.choice(COMPLAINTS)}, {told}"
        return Draw(complaint, " ".join(written), failed, mode, remedy, parts)


def write_corpus(jobs: int, *, say: Callable[[str], None]) -> Corpus:
    """Write `jobs` jobs into an empty shop. The same number gives the same book."""
    if Job.objects.exists():
        raise ValueError("The corpus is written into an empty shop only.")
    rnd = random.Random(SEED)  # noqa: S311  (a corpus is no secret)
    corpus, words = Corpus(jobs), Words(rnd)
    with _quickly():
        ShopProfile.objects.get_or_create(pk=1, defaults={"name": "Measured shop", "address": "1 Bench Row"})
        _write_models(rnd, corpus, min(MOST_MODELS, max(60, jobs // 20)))
        customers = max(50, jobs // 20)
        _write_customers(rnd, customers)
        for start in range(0, jobs, AT_ONCE):
            _write_jobs(rnd, words, corpus, range(start, min(start + AT_ONCE, jobs)), customers)
            if start % 100_000 == 0:
                say(f"{start:,} of {jobs:,} jobs written")
    corpus.rare = words.tail[6000:6400]
    return corpus


def _quickly() -> transaction.Atomic:
    """One transaction; on SQLite without waiting for the disk: the book is thrown away."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA synchronous=OFF")
            cursor.execute("PRAGMA foreign_keys=OFF")
            cursor.execute("PRAGMA cache_size=-200000")
    return transaction.atomic()


def _write_models(rnd: random.Random, corpus: Corpus, count: int) -> None:
    _insert(
        Maker, ("id", "name", "folded"), ((at + 1, name, name_key(name)) for at, name in enumerate(MAKERS))
    )
    kinds = [kind for kind in Kind if kind != Kind.OTHER]
    names: dict[str, int] = {}
    while len(names) < count:
        name = f"{''.join(rnd.choices('ABCDKMRSTVX', k=2))}-{rnd.randrange(100, 9999)}"
        names.setdefault(name, rnd.randrange(len(MAKERS)) + 1)
    corpus.models = list(names)
    _insert(
        UnitModel,
        ("id", "maker_id", "name", "folded", "kind"),
        (
            (at + 1, maker, name, model_key(name), rnd.choice(kinds))
            for at, (name, maker) in enumerate(names.items())
        ),
    )


def _write_customers(rnd: random.Random, count: int) -> None:
    names = (f"{rnd.choice(NAMES)} {rnd.choice(NAMES)} {at}" for at in range(count))
    _insert(
        Customer,
        ("id", "name", "search_key"),
        ((at + 1, name, name_key(name)) for at, name in enumerate(names)),
    )


def _write_jobs(rnd: random.Random, words: Words, corpus: Corpus, some: range, customers: int) -> None:
    popularity = list(accumulate(1 / (rank + 1) ** 0.95 for rank in range(len(corpus.models))))
    chosen = rnd.choices(range(1, len(corpus.models) + 1), cum_weights=popularity, k=len(some))
    units, jobs, findings, conclusions, parts = [], [], [], [], []
    for at, model in zip(some, chosen, strict=True):
        pk, draw = at + 1, words.draw()
        day = FIRST_DAY + dt.timedelta(days=at * DAYS // corpus.jobs)
        came = _moment(day)
        serial = f"{rnd.choice('ABEHKN')}{rnd.randrange(10**6, 10**7)}"
        if at % max(1, corpus.jobs // 200) == 0:
            corpus.serials.append(serial)
        units.append((pk, model, rnd.randrange(customers) + 1, serial, serial_key(serial)))
        number, owner = str(JobNumber.make(day.year, at % 900_000_000 + 1)), units[-1][2]
        jobs.append((pk, number, day.year, at + 1, owner, pk, draw.complaint, came, came))
        findings.append((pk, pk, _entry(rnd), came, draw.finding))
        conclusions.append((pk, pk, _entry(rnd), came, draw.failed, draw.mode, draw.remedy))
        parts += [(pk, part, came) for part in draw.parts]
    _insert(Unit, ("id", "model_id", "owner_id", "serial", "serial_folded"), units)
    _insert(
        Job,
        (
            "id",
            "number",
            "year",
            "sequence",
            "customer_id",
            "unit_id",
            "complaint",
            "booked_in_at",
            "ended_at",
        ),
        jobs,
        stage=Stage.GONE_HOME,
        whose_move=Stage.GONE_HOME.row.whose_move,
        outcome=Outcome.REPAIRED,
        currency="USD",
    )
    _insert(Finding, ("id", "job_id", "entry", "at", "text"), findings)
    _insert(Conclusion, ("id", "job_id", "entry", "at", "failed", "mode", "remedy"), conclusions)
    _insert(PartFitted, ("job_id", "description", "at"), parts, currency="USD")


def _moment(day: dt.date) -> object:
    at = dt.datetime.combine(day, dt.time(10), dt.UTC)
    return connection.ops.adapt_datetimefield_value(at)


def _entry(rnd: random.Random) -> object:
    key = uuid.UUID(int=rnd.getrandbits(128))
    return key if connection.features.has_native_uuid_field else key.hex


def _insert(
    model: type[models.Model], columns: Sequence[str], rows: Iterable[Sequence[Any]], **constants: object
) -> None:
    """Write rows with the plain columns named; every other column has its default or the constant given."""
    rest = [
        f
        for f in model._meta.concrete_fields
        if f.column not in columns and not (f.primary_key and f.get_default() is None)
    ]
    given = tuple(f.get_db_prep_save(constants.get(f.name, f.get_default()), connection) for f in rest)
    names = ", ".join(f'"{name}"' for name in (*columns, *(f.column for f in rest)))
    marks = ", ".join(["%s"] * (len(columns) + len(rest)))
    sql = f'INSERT INTO "{model._meta.db_table}" ({names}) VALUES ({marks})'  # noqa: S608
    with connection.cursor() as cursor:
        cursor.executemany(sql, [(*row, *given) for row in rows])
