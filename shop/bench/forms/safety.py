"""The safety check: fields for the tests that this unit owes, in every position that they are made in."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, TypedDict

from django import forms
from django.forms import BoundField

from shop.bench import safety as unit_safety
from shop.bench.forms.entry import BenchForm
from shop.bench.judging import as_handbook_meter
from shop.bench.models import LONGEST_TYPED, Meter
from shop.counter.models import Job
from shop.frame.formwork import TextField
from shop.frame.number_field import NumberField
from shop.handbook import meters as handbook_meters
from shop.handbook.quantities import Kind, Quantity, Unreadable, parse, with_unit
from shop.handbook.safety import (
    CONDUCTOR_OPEN,
    ColdReading,
    ConductorReading,
    CurrentReading,
    HotReading,
    Inspection,
    InsulationReading,
    Measurements,
    NetworkReading,
    Outcome,
    ProtectionClass,
    Resistance,
    SafetyTest,
    Verdict,
    Voltage,
    assess,
    insulation_test_volt,
    limit_words,
    tests_required,
)

PARTS = 3
LONGEST_PART = 60
LONGEST_READING = 40
"""Exposed parts that one check has room for in each test."""

PLUG_AND_SWITCH = (
    ("a_on", "Plug one way, on", False, True),
    ("a_off", "Plug one way, off", False, False),
    ("b_on", "Plug reversed, on", True, True),
    ("b_off", "Plug reversed, off", True, False),
)
PLUG = (("a", "Plug one way", False), ("b", "Plug reversed", True))


@dataclass(frozen=True, slots=True)
class Cell:
    """One thing to be read in a row: the end of its name, its label, and its quantity."""

    name: str
    label: str
    kind: Kind


OHMS = Cell("ohm", "Ohms", Kind.RESISTANCE)
CELLS: dict[SafetyTest, tuple[Cell, ...]] = {
    SafetyTest.CONDUCTOR: (OHMS,),
    SafetyTest.COLD: (OHMS,),
    SafetyTest.INSULATION: (OHMS,),
    SafetyTest.HOT: tuple(Cell(name, label, Kind.VOLTAGE_AC) for name, label, *_ in PLUG_AND_SWITCH),
    SafetyTest.NETWORK: tuple(
        Cell(f"{name}_{voltage}", f"{label}: {voltage.upper()}", Kind.VOLTAGE_AC)
        for name, label, *_ in PLUG_AND_SWITCH
        for voltage in ("u1", "u2")
    ),
    SafetyTest.CONDUCTOR_CURRENT: tuple(Cell(name, label, Kind.CURRENT_AC) for name, label, _ in PLUG),
    SafetyTest.TOUCH_CURRENT: tuple(Cell(name, label, Kind.CURRENT_AC) for name, label, _ in PLUG),
}
WHERE = {
    SafetyTest.CONDUCTOR: "Chassis, panel screw",
    SafetyTest.COLD: "Antenna terminal, headphone shell",
    SafetyTest.INSULATION: "Chassis",
    SafetyTest.HOT: "Antenna terminal, headphone shell",
    SafetyTest.NETWORK: "Headphone shell",
    SafetyTest.CONDUCTOR_CURRENT: "Ground conductor",
    SafetyTest.TOUCH_CURRENT: "Front panel screw",
}
CONDUCTOR_CLOSED = (
    "Through a closed protective conductor the metal reads nothing, whatever leaks: that is no reading. Open it for this "
    "one test, by a tester or an adapter, and measure the conductor again afterwards."
)
UNITS = {Kind.RESISTANCE: "Ω", Kind.VOLTAGE_AC: "V", Kind.CURRENT_AC: "mA"}


@dataclass(frozen=True, slots=True)
class Row:
    """The fields of one exposed part."""

    where: BoundField
    cells: tuple[tuple[BoundField, str], ...]
    more: tuple[BoundField, ...]
    filled: bool


@dataclass(frozen=True, slots=True)
class TestFields:
    """One test with its way of being made and its rows."""

    __test__ = False
    test: SafetyTest
    rows: tuple[Row, ...]
    limit: str
    how: str
    first: tuple[BoundField, ...] = ()
    """What is asked once, before the parts."""
    last: tuple[BoundField, ...] = ()
    """What is asked once, after them."""


class SafetyFacts(TypedDict):
    """A safety check, as `record_safety_check` takes it."""

    measurements: Measurements
    typed: dict[str, str]
    meter: Meter | None
    cord_metre: Decimal | None


class SafetyForm(BenchForm):
    """Only what this unit owes is asked. A part without a name is not read; a name without a reading is asked about."""

    meter = forms.ChoiceField(label="Meter or tester", required=False)
    sound = forms.ChoiceField(
        label="Visual inspection",
        choices=[("yes", "Sound"), ("no", "Not sound")],
        required=False,
        widget=forms.RadioSelect,
    )
    unfinished = forms.BooleanField(label="Keep it unfinished; the rest is done later", required=False)
    sound_note = forms.CharField(label="What was seen", max_length=200, required=False)

    def __init__(self, *args: object, job: Job, meters: Sequence[Meter] = (), **kwargs: object) -> None:
        super().__init__(*args, job=job, **kwargs)
        self.incomplete = False
        self.meters = {str(meter.pk): meter for meter in meters}
        meter_field: Any = self.fields["meter"]
        meter_field.choices = [("", "No meter named"), *((pk, one.name) for pk, one in self.meters.items())]
        self.unit = unit_safety.unit_under_test(job.unit)
        self.limits = unit_safety.limits_of(job.unit.model)
        self.printed = unit_safety.printed_for(job.unit.model)
        self.tests = tests_required(
            self.unit.protection_class,
            mains=self.unit.mains,
            line_volt=self.unit.line_volt,
            profile=self.unit.profile,
            insulation_by_current=self.limits.insulation_by_current,
        )
        for test in self.measured_tests:
            self._add_rows(test)
        if SafetyTest.CONDUCTOR in self.tests:
            self.fields["cord_metre"] = NumberField(
                label="Cord longer than 5 m",
                min_value=Decimal("0.1"),
                max_value=Decimal(200),
                max_digits=5,
                decimal_places=2,
                required=False,
                help_text="Its length in meters; empty up to 5 m.",
                widget=forms.TextInput(
                    attrs={"autocomplete": "off", "class": "w-tiny", "inputmode": "decimal"}
                ),
                error_messages=dict.fromkeys(
                    ("invalid", "min_value", "max_value"), "Type the cord's length in meters, such as 7.5."
                ),
            )
        for test in self.tests_with_conductor_open:
            self.fields[f"{test}_opened"] = forms.ChoiceField(
                label="The protective conductor while this was read",
                choices=[("open", "Open, by a tester or an adapter"), ("closed", "Closed")],
                required=False,
                widget=forms.RadioSelect,
            )
            self.fields[f"{test}_again"] = forms.CharField(
                label="Protective conductor, closed again",
                max_length=LONGEST_READING,
                required=False,
                help_text="Ω from the ground pin to the metal, measured after this test.",
                widget=forms.TextInput(attrs={"autocomplete": "off", "class": "w-short"}),
            )
        if SafetyTest.NETWORK in self.tests:
            self.fields["network_as"] = forms.ChoiceField(
                label="What the meter shows at the network",
                choices=[("rms", "RMS of a sine"), ("peak", "Peaks")],
                initial="rms",
                required=False,
                widget=forms.RadioSelect,
            )

    @property
    def measured_tests(self) -> tuple[SafetyTest, ...]:
        """The tests in which something is measured."""
        return tuple(test for test in self.tests if test in CELLS)

    @property
    def tests_with_conductor_open(self) -> tuple[SafetyTest, ...]:
        """The tests for which the protective conductor of a class I unit is opened."""
        earthed = self.unit.protection_class is ProtectionClass.I
        return tuple(test for test in self.tests if earthed and test in {SafetyTest.HOT, SafetyTest.NETWORK})

    def test_above(self, test: SafetyTest) -> SafetyTest | None:
        """The test whose exposed parts this one is made at, too, so that nobody has to name them twice."""
        if test not in {SafetyTest.HOT, SafetyTest.NETWORK, SafetyTest.TOUCH_CURRENT}:
            return None
        above = {SafetyTest.COLD, SafetyTest.INSULATION}
        return next((one for one in self.measured_tests if one in above), None)

    def _add_rows(self, test: SafetyTest) -> None:
        parts = 1 if test is SafetyTest.CONDUCTOR_CURRENT else PARTS
        example = f"such as {WHERE[test][:1].lower()}{WHERE[test][1:]}"
        if self.test_above(test):
            example = "empty: the same part as above"
        for at in range(parts):
            self.fields[f"{test}_{at}_where"] = forms.CharField(
                label="Exposed part" if at == 0 else "Another exposed part",
                max_length=LONGEST_PART,
                required=False,
                initial=WHERE[test] if test is SafetyTest.CONDUCTOR_CURRENT else "",
                # an example that reads like one: a bare “Chassis” looked as if it had been typed
                widget=forms.TextInput(attrs={"placeholder": example, "autocomplete": "off"}),
            )
            for cell in CELLS[test]:
                self.fields[f"{test}_{at}_{cell.name}"] = forms.CharField(
                    label=cell.label,
                    max_length=LONGEST_READING,
                    required=False,
                    widget=forms.TextInput(attrs={"autocomplete": "off", "class": "w-short"}),
                )
            if test in {SafetyTest.COLD, SafetyTest.INSULATION}:
                self.fields[f"{test}_{at}_over"] = forms.BooleanField(label="Over range", required=False)
            if test is SafetyTest.COLD:
                self.fields[f"{test}_{at}_returns"] = forms.ChoiceField(
                    label="Does this metal return to the chassis?",
                    choices=[("yes", "Yes"), ("no", "No")],
                    required=False,
                    initial="no" if self.printed is not None and self.printed.cold_infinite else None,
                    help_text="By a wire, a screw, a shield or a resistor.",
                    widget=forms.RadioSelect,
                )
            if test is SafetyTest.INSULATION:
                self.fields[f"{test}_{at}_volt"] = forms.ChoiceField(
                    label="Test voltage",
                    choices=[("500", "500 V DC"), ("250", "250 V DC")],
                    required=False,
                    initial=f"{insulation_test_volt(self.limits, self.unit):f}",
                )

    def groups(self) -> Iterator[TestFields]:
        """The tests in order, for the template."""
        asked = {SafetyTest.CONDUCTOR: "cord_metre", SafetyTest.NETWORK: "network_as"}
        for test in self.measured_tests:
            parts = 1 if test is SafetyTest.CONDUCTOR_CURRENT else PARTS
            first, last = [self[asked[test]]] if test in asked else [], []
            how = test.how
            if test in self.tests_with_conductor_open:
                first, last = [self[f"{test}_opened"], *first], [self[f"{test}_again"]]
                how = f"{how} {CONDUCTOR_OPEN}"
            rows = tuple(self._row(test, at) for at in range(parts))
            yield TestFields(
                test, rows, limit_words(test, self.limits, self.unit), how, tuple(first), tuple(last)
            )

    def _row(self, test: SafetyTest, at: int) -> Row:
        start = f"{test}_{at}_"
        cells = tuple((self[f"{start}{cell.name}"], UNITS[cell.kind]) for cell in CELLS[test])
        more = tuple(
            self[f"{start}{name}"] for name in ("over", "returns", "volt") if f"{start}{name}" in self.fields
        )
        names = (f"{start}where", f"{start}over", *(f"{start}{cell.name}" for cell in CELLS[test]))
        filled = self.is_bound and any(self.data.get(self.add_prefix(name)) for name in names)
        return Row(self[f"{start}where"], cells, more, filled)

    def clean(self) -> dict[str, object]:
        """Read every value; what can't be read is said at its field."""
        data = super().clean() or self.cleaned_data
        meter = self.meters.get(data.get("meter") or "")
        data["meter"] = meter
        reader = _Reader(self, as_handbook_meter(meter))
        readings = {test: tuple(reader.rows(test)) for test in self.measured_tests}
        visual = None
        if data.get("sound"):
            visual = Inspection(sound=data["sound"] == "yes", note=data.get("sound_note") or "")
        elif not any(readings.values()) and not self.errors:
            self.add_error(None, "Nothing was entered yet: do the inspection, or a test.")
        data["measurements"] = Measurements(
            visual=visual,
            conductor_again=tuple(
                one for test in self.tests_with_conductor_open for one in reader.conductor_again(test)
            ),
            **{str(test): readings[test] for test in readings},
        )
        for test in self.tests_with_conductor_open:
            if readings[test] and data.get(f"{test}_opened") != "open":
                self.add_error(f"{test}_opened", CONDUCTOR_CLOSED)
        data["typed"] = {str(test): reader.typed(test) for test in readings}
        if not self.errors and not data.get("unfinished"):
            self._say_what_is_missing(data)
        return data

    def _say_what_is_missing(self, data: dict[str, Any]) -> None:
        """Before it is kept: what this unit still owes. A check that failed already is kept as it is."""
        unit = replace(self.unit, cord_metre=data.get("cord_metre"))
        result = assess(data["measurements"], self.limits, unit)
        if result.outcome is not Outcome.NOT_DONE:
            return
        owed = [one.sentence for one in result.tests if one.required and one.verdict is Verdict.NOT_DONE]
        if owed:
            self.incomplete = True
            self.add_error(None, " ".join(["Not finished, and nothing is kept yet.", *owed]))

    def facts(self) -> SafetyFacts:
        """What was measured."""
        data = self.cleaned_data
        return {
            "measurements": data["measurements"],
            "typed": data["typed"],
            "meter": data["meter"],
            "cord_metre": data.get("cord_metre"),
        }


class _Reader:
    """Reads the rows of a safety form into the handbook's readings, with the meter's half-widths."""

    def __init__(self, form: SafetyForm, meter: handbook_meters.Meter | None) -> None:
        self.form, self.meter = form, meter

    def rows(self, test: SafetyTest) -> Iterator[Any]:
        """The readings of one test."""
        parts = 1 if test is SafetyTest.CONDUCTOR_CURRENT else PARTS
        for at in range(parts):
            start = f"{test}_{at}_"
            values = {cell.name: self._value(f"{start}{cell.name}", cell.kind) for cell in CELLS[test]}
            if not values.get("ohm") and self.form.cleaned_data.get(f"{start}over"):
                values["ohm"] = parse("OL", Kind.RESISTANCE)
            data, above = self.form.cleaned_data, self.form.test_above(test)
            where = data.get(f"{start}where") or ""
            if above and any(values.values()) and not where:
                where = data[f"{start}where"] = data.get(f"{above}_{at}_where") or ""
            if not any(values.values()):
                if where and test is not SafetyTest.CONDUCTOR_CURRENT:
                    self.ask(f"{start}{CELLS[test][0].name}", "What does the meter show here?")
                continue
            if not where:
                self.ask(f"{start}where", "Say at which part this was measured.")
                continue
            yield from MAKE[test](self, start, where, values)

    def typed(self, test: SafetyTest) -> str:
        """What was typed for one test, as it was typed: a line for each part, each reading with its unit and position."""
        parts = 1 if test is SafetyTest.CONDUCTOR_CURRENT else PARTS
        lines = (self._typed_at(f"{test}_{at}_", CELLS[test]) for at in range(parts))
        again = self.form.cleaned_data.get(f"{test}_again")
        beside = [f"Protective conductor again: {with_unit(again, 'Ω')}"] if again else []
        return "\n".join([*(line for line in lines if line), *beside])[:LONGEST_TYPED]

    def conductor_again(self, test: SafetyTest) -> Iterator[ConductorReading]:
        """The protective conductor once it was closed again after a test."""
        if value := self._value(f"{test}_again", Kind.RESISTANCE):
            yield ConductorReading(where="the bonded metal", resistance=self.resistance(value))

    def opened(self, test: SafetyTest) -> bool:
        """Whether the protective conductor was open for a test."""
        return bool(self.form.cleaned_data.get(f"{test}_opened") == "open")

    def _typed_at(self, start: str, cells: Sequence[Cell]) -> str:
        data = self.form.cleaned_data
        typed = [(cell, data[name]) for cell in cells if data.get(name := f"{start}{cell.name}")]
        if not typed and data.get(f"{start}over"):
            typed = [(OHMS, "over range")]
        said = [
            with_unit(one, UNITS[cell.kind])
            + (f" ({cell.label[:1].lower()}{cell.label[1:]})" if cell is not OHMS else "")
            for cell, one in typed
        ]
        if said and (volt := data.get(f"{start}volt")):
            said.append(f"tested at {volt} V")
        if said and data.get(f"{start}returns") == "no":
            said.append("no path to the chassis")
        return f"{data.get(f'{start}where')}: {', '.join(said)}" if said else ""

    def ask(self, name: str, sentence: str) -> None:
        """Say at a field what is missing or wrong, unless something is said there already."""
        if name not in self.form.errors:
            self.form.add_error(name, sentence)

    def _value(self, name: str, kind: Kind) -> Quantity | None:
        typed = self.form.cleaned_data.get(name) or ""
        if not typed:
            return None
        if kind is Kind.CURRENT_AC and typed[-1].isdigit():
            typed += " mA"
        try:
            value = parse(typed, kind)
        except Unreadable as error:
            self.ask(name, str(error))
            return None
        if value.over_range and kind is not Kind.RESISTANCE:
            self.ask(name, "Over range tells nothing here; choose a larger range.")
            return None
        if value.value < 0:
            self.ask(name, "This can't be less than nothing.")
            return None
        return value

    def half_width(self, value: Quantity, kind: Kind) -> Decimal:
        """What the meter may be off by, in the base unit; nothing where no meter tells."""
        if self.meter is None:
            return Decimal(0)
        try:
            return handbook_meters.uncertainty(self.meter, value, kind).half_width
        except handbook_meters.MeterError:
            return Decimal(0)

    def resistance(self, value: Quantity) -> Resistance:
        """Ohms, or over range with how far the meter reads."""
        if value.over_range:
            top = value.known or (self.meter.reaches(Kind.RESISTANCE) if self.meter else None)
            return Resistance(ohm=None, range_top=top)
        return Resistance(ohm=value.value, uncertainty=self.half_width(value, Kind.RESISTANCE))


Values = dict[str, Quantity | None]
Maker = Callable[[_Reader, str, str, Values], Iterator[Any]]


def _conductor(reader: _Reader, _start: str, where: str, values: Values) -> Iterator[object]:
    if value := values["ohm"]:
        yield ConductorReading(where=where, resistance=reader.resistance(value))


def _cold(reader: _Reader, start: str, where: str, values: Values) -> Iterator[object]:
    returns = reader.form.cleaned_data.get(f"{start}returns")
    if not returns:
        reader.ask(f"{start}returns", "Say whether this metal returns to the chassis.")
    if value := values["ohm"]:
        yield ColdReading(
            where=where, resistance=reader.resistance(value), returns_to_chassis=returns != "no"
        )


def _insulation(reader: _Reader, start: str, where: str, values: Values) -> Iterator[object]:
    volt = Decimal(reader.form.cleaned_data.get(f"{start}volt") or 500)
    if value := values["ohm"]:
        yield InsulationReading(where=where, resistance=reader.resistance(value), test_volt=volt)


def _hot(reader: _Reader, _start: str, where: str, values: Values) -> Iterator[object]:
    for name, _, reverse, on in PLUG_AND_SWITCH:
        if value := values[name]:
            yield HotReading(
                where=where,
                volt=value.value,
                plug_reversed=reverse,
                switch_on=on,
                uncertainty=reader.half_width(value, Kind.VOLTAGE_AC),
                conductor_open=reader.opened(SafetyTest.HOT),
            )


def _network(reader: _Reader, _start: str, where: str, values: Values) -> Iterator[object]:
    def voltage(value: Quantity | None) -> Voltage | None:
        if value is None:
            return None
        return Voltage(volt=value.value, uncertainty=reader.half_width(value, Kind.VOLTAGE_AC))

    for name, _, reverse, on in PLUG_AND_SWITCH:
        first, second = values[f"{name}_u1"], values[f"{name}_u2"]
        if first or second:
            yield NetworkReading(
                where=where,
                plug_reversed=reverse,
                switch_on=on,
                rms=reader.form.cleaned_data.get("network_as") != "peak",
                u1=voltage(first),
                u2=voltage(second),
                conductor_open=reader.opened(SafetyTest.NETWORK),
            )


def _current(reader: _Reader, _start: str, where: str, values: Values) -> Iterator[object]:
    for name, _, reverse in PLUG:
        if value := values[name]:
            yield CurrentReading(
                where=where,
                ampere=value.value,
                plug_reversed=reverse,
                uncertainty=reader.half_width(value, Kind.CURRENT_AC),
            )


MAKE: dict[SafetyTest, Maker] = {
    SafetyTest.CONDUCTOR: _conductor,
    SafetyTest.COLD: _cold,
    SafetyTest.INSULATION: _insulation,
    SafetyTest.HOT: _hot,
    SafetyTest.NETWORK: _network,
    SafetyTest.CONDUCTOR_CURRENT: _current,
    SafetyTest.TOUCH_CURRENT: _current,
}


class WaiverForm(BenchForm):
    """The written reason in place of a passed check."""

    reason = TextField(
        label="Why it goes home without a passed check",
        rows=2,
        max_length=2000,
        error_messages={"required": "Write the reason out: somebody may have to answer for it."},
    )
