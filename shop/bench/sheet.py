"""The sheet of readings of a job: rows from the model file, from what was read on it, and from templates. Nothing here writes."""

from __future__ import annotations

import json
import uuid
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from shop.bench.models import IN_WORDS, Pattern, Reading
from shop.bench.queries import latest_units_of
from shop.counter.models import Job, TestPoint
from shop.handbook.quantities import Kind, Unreadable
from shop.handbook.readings import Incomparable, expect
from shop.handbook.sheet import ColumnsError, RowOf, RowTemplate, columns_of, templates_for

KINDS = frozenset(kind.value for kind in Kind)
MOST_ROWS = 60
LEARNT = "learnt"
"""The slug of the rows that earlier jobs of the same model were measured in."""

STATES = (
    *(
        "cold",
        "warm",
        "no load",
        "warm, no load",
        "idle",
        "unplugged",
        "in circuit",
        "lifted out",
        "playing",
        "stopped",
    ),
    *("lamp in series", "1 kHz into 8 ohm, at clipping"),
)
AGAINST = (
    "chassis",
    "ground",
    "other end",
    "emitter",
    "source",
    "cathode",
    "B−",
    "speaker −",
    "wiper",
    "line out",
)
"""Where the other probe usually is, and what the unit usually does: common practice, no source."""

QUICK = (
    ("voltage_dc", "V DC"),
    ("voltage_ac", "V AC"),
    ("voltage_pp", "Vpp"),
    ("resistance", "Ω"),
    ("diode", "Diode"),
    ("current_dc", "A DC"),
    ("current_ac", "A AC"),
    ("capacitance", "F"),
    ("esr", "ESR"),
    ("frequency", "Hz"),
    ("percent", "%"),
    ("temperature", "°C"),
    ("level", "dB"),
    ("torque", "Torque"),
    ("force", "Force"),
    ("phase", "Phase"),
    ("rotation", "rpm"),
    ("transconductance", "mA/V"),
    (IN_WORDS, "Words"),
)
"""Quantities that are chosen with one touch on the sheet, with a short name."""


@dataclass(slots=True)
class Cell:
    """One cell: its column, the test point it stands for, and what was read there last on this job."""

    channel: str
    where: str
    test_point: int | None = None
    last: Reading | None = None
    typed: str = ""
    wrong: str = ""
    once: str = ""


@dataclass(slots=True)
class Row:
    """One row of the sheet, with a cell for each of its columns."""

    place: str
    quantity: str
    against: str = ""
    state: str = ""
    expected: str = ""
    adjuster: str = ""
    role: str = ""
    unit: str = ""
    cells: list[Cell] = field(default_factory=list)

    @property
    def key(self) -> tuple[str, ...]:
        """What makes it this row and no other."""
        told = (self.place, self.quantity, self.against, self.state, self.adjuster)
        return tuple(one.strip().casefold() for one in told)

    @property
    def quantity_name(self) -> str:
        """The quantity in words."""
        return "in words" if self.quantity == IN_WORDS else Kind(self.quantity).label

    @property
    def how(self) -> str:
        """What is measured, against what, in which state, and what is expected, in one line."""
        told = (
            self.quantity_name,
            self.against and f"against {self.against}",
            self.state,
            self.adjuster,
            self.expected,
        )
        return " · ".join(one for one in told if one)

    @property
    def units(self) -> tuple[str, ...]:
        """The units that its pad offers, the row's own first."""
        if self.quantity == IN_WORDS:
            return ()
        return tuple(dict.fromkeys((self.unit, *Kind(self.quantity).keypad)))

    def cell(self, channel: str) -> Cell | None:
        """The cell of that column."""
        return next((one for one in self.cells if one.channel.casefold() == channel.casefold()), None)

    def facts(self, cell: Cell) -> str:
        """What a cell sends along with what is typed in it, as JSON."""
        told = {
            "where": cell.where,
            "against": self.against,
            "adjuster": self.adjuster,
            "condition": self.state,
            "quantity": self.quantity,
            "expected": self.expected,
            "channel": cell.channel,
            "role": self.role,
            "unit": self.unit,
            "test_point": str(cell.test_point or ""),
            "once": cell.once or str(uuid.uuid4()),
        }
        return json.dumps({name: value for name, value in told.items() if value})

    @property
    def with_facts(self) -> Iterator[tuple[Cell, str]]:
        """Its cells, each with what it sends along."""
        for cell in self.cells:
            yield cell, self.facts(cell)


def rows_of(
    points: Sequence[TestPoint], readings: Sequence[Reading], more: Iterable[RowOf] = ()
) -> list[Row]:
    """The rows of a sheet: test points of the model file, what was read on this job, and the rows of a template."""
    rows: dict[tuple[str, ...], Row] = {}
    for point in points:
        _add_point(rows, point)
    by_point = {cell.test_point: cell for row in rows.values() for cell in row.cells}
    for reading in readings:
        if reading.struck_at is None:
            _add_reading(rows, by_point, reading)
    for one in more:
        _add_template(rows, one)
    return list(rows.values())[:MOST_ROWS]


def _add_point(rows: dict[tuple[str, ...], Row], point: TestPoint) -> None:
    row = Row(
        place=point.name,
        quantity=point.quantity,
        state=point.condition,
        expected=point.expected,
        role=point.role,
        unit=unit_of(point.quantity, point.expected),
    )
    at = (*row.key, point.expected, point.role)
    row = rows.setdefault(at, row)
    row.cells.append(Cell(point.channel, point.where or point.name, point.pk))


def _add_reading(
    rows: dict[tuple[str, ...], Row], by_point: Mapping[int | None, Cell], reading: Reading
) -> None:
    known = by_point.get(reading.test_point_id) if reading.test_point_id else None
    if known is not None:
        known.last = reading
        return
    row = Row(
        place=reading.where,
        quantity=reading.quantity,
        against=reading.against,
        state=reading.condition,
        expected=reading.expected,
        adjuster=reading.adjuster,
        role=reading.role,
        unit=unit_typed(reading),
    )
    row = rows.setdefault(row.key, row)
    cell = row.cell(reading.channel)
    if cell is None:
        cell = Cell(reading.channel, reading.where)
        row.cells.append(cell)
    cell.last = reading


def _add_template(rows: dict[tuple[str, ...], Row], told: RowOf) -> None:
    row = Row(
        place=told.place,
        quantity=told.quantity,
        against=told.against,
        state=told.state,
        expected=told.expected,
        adjuster=told.adjuster,
        unit=told.unit or unit_of(told.quantity, told.expected),
    )
    row = rows.setdefault(row.key, row)
    try:
        columns = columns_of(told.columns)
    except ColumnsError:
        columns = ("",)
    for column in (one.replace("_", " ") for one in columns):
        if row.cell(column) is None:
            row.cells.append(Cell(column, told.place))


def unit_of(quantity: str, expected: str) -> str:
    """The unit that a cell begins with: the one that the expectation is typed in, else the usual one."""
    if quantity not in KINDS:
        return ""
    kind = Kind(quantity)
    named = [
        unit
        for unit in kind.keypad
        if unit and f" {unit}" in f"{expected.replace('°', ' °').replace('%', ' %')} "
    ]
    try:
        if expected:
            expect(expected, kind)
    except (Unreadable, Incomparable):
        named = []
    return max(named, key=len) if named else kind.keypad[0]


def unit_typed(reading: Reading) -> str:
    """The unit that somebody typed on a reading, so that the next cell of its row goes on in it."""
    if reading.quantity not in KINDS:
        return ""
    kind = Kind(reading.quantity)
    found = [unit for unit in kind.keypad if unit and reading.typed.rstrip().endswith(unit)]
    return max(found, key=len) if found else unit_of(reading.quantity, reading.expected)


def quantities() -> list[tuple[str, str, str]]:
    """What is chosen with one touch: the quantity, its short name, and the units of its pad."""
    return [(value, short, "|".join(Kind(value).keypad) if value in KINDS else "") for value, short in QUICK]


# --- templates --------------------------------------------------------------------------------------------------


def offered_for(kind: str, patterns: Iterable[Pattern]) -> list[RowTemplate]:
    """The templates that are offered for a kind of unit: the shop's own and the handbook's, those for its kind first."""
    own = [
        RowTemplate(f"own-{one.pk}", one.name, as_rows(one.lines), frozenset({one.kind} if one.kind else ()))
        for one in patterns
        if one.of == Pattern.Of.ROWS
    ]
    return templates_for(kind, own)


def as_rows(kept: Iterable[Mapping[str, object]]) -> tuple[RowOf, ...]:
    """Rows as the shop keeps them in a template."""
    names = RowOf.__dataclass_fields__
    return tuple(
        RowOf(**{name: str(value) for name, value in one.items() if name in names})
        for one in kept
        if one.get("place")
    )


def learnt_rows(job: Job) -> tuple[RowOf, ...]:
    """The rows in which earlier jobs of the same model were measured, the latest first, each once."""
    earlier = Reading.objects.filter(
        job__unit_id__in=latest_units_of(job.unit.model_id), struck_at__isnull=True, test_point__isnull=True
    ).exclude(job=job)
    rows: dict[tuple[str, ...], Row] = {}
    for reading in earlier.order_by("-at", "-id")[:400]:
        _add_reading(rows, {}, reading)
    return tuple(_as_told(row) for row in list(rows.values())[:MOST_ROWS])


def _as_told(row: Row) -> RowOf:
    columns = sorted((cell.channel for cell in row.cells), key=_in_order)
    return RowOf(
        place=row.place,
        quantity=row.quantity,
        columns=", ".join(one.replace(" ", "_") if " " in one else one for one in columns if one),
        against=row.against,
        state=row.state,
        expected=row.expected,
        adjuster=row.adjuster,
        unit=row.unit,
    )


def _in_order(channel: str) -> tuple[str, int]:
    """Pin 10 behind pin 9."""
    head = channel.rstrip("0123456789")
    return head, int(channel[len(head) :] or 0)


def chosen_rows(job: Job, slug: str) -> tuple[RowOf, ...]:
    """The rows of the template that is asked for by its slug, none where there is no such."""
    if slug == LEARNT:
        return learnt_rows(job)
    kind = job.unit.model.kind
    patterns = Pattern.objects.filter(of=Pattern.Of.ROWS, kind__in=("", kind))
    return next((one.rows for one in offered_for(kind, patterns) if one.slug == slug), ())


# --- what is sent ------------------------------------------------------------------------------------------------

CELL = "cell-"


@dataclass(frozen=True, slots=True)
class Sent:
    """A cell as the plain form sends it: its name, what was typed, and the facts that came along."""

    name: str
    typed: str
    facts: dict[str, str]


def cells_sent(data: Mapping[str, str]) -> list[Sent]:
    """The cells of a sheet in which something was typed; what came along is plain text, whatever was sent."""
    found = []
    for name in data:
        typed = data[name].strip() if name.startswith(CELL) else ""
        if typed:
            found.append(Sent(name, typed, _facts(data.get(f"facts-{name}", ""))))
    return found


def _facts(text: str) -> dict[str, str]:
    try:
        told = json.loads(text)
    except (ValueError, RecursionError):
        return {}
    if not isinstance(told, dict):
        return {}
    # JSON can carry a null and half of a pair, which no book takes
    return {
        str(name): value for name, value in told.items() if isinstance(value, str) and value.isprintable()
    }


def new_cells(data: Mapping[str, str], at: int) -> list[Sent]:
    """The cells of the row that was written on a blank line of the plain form: one value for each column.

    Raises ColumnsError where its columns can't be read, or where there are more values than columns.
    """
    line = {name: data.get(f"new-{at}-{name}", "").strip() for name in NEW}
    values = [one.strip() for one in line["values"].split(";")]
    if not any(values):
        return []
    columns = columns_of(line["columns"])
    if len(values) > len(columns):
        raise ColumnsError("There are more values than columns.")
    facts = {
        "where": line["place"],
        "against": line["against"],
        "condition": line["state"],
        "expected": line["expected"],
        "quantity": line["quantity"],
        "adjuster": line["adjuster"],
        "unit": unit_of(line["quantity"], line["expected"]),
    }
    keys = data.get(f"new-{at}-once", "")
    return [
        Sent(f"new-{at}", value, facts | {"channel": column, "once": _key_of(keys, column)})
        for column, value in zip(columns, values, strict=False)
        if value
    ]


NEW = ("place", "against", "state", "expected", "quantity", "adjuster", "columns", "values")


def _key_of(line: str, column: str) -> str:
    """A key for each cell of a blank line, made of the line's own."""
    try:
        return str(uuid.uuid5(uuid.UUID(line), column))
    except ValueError:
        return ""
