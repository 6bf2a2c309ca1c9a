"""Tubes, junctions, resistors in circuit, cells and styli.

Sources
    A path parallel to a resistor can only lower what a meter reads (Kirchhoff). A silicon junction holds some 0.6 V, on the
    diode range of a meter 0.5 to 0.7 V; that range sends about 1 mA, so that 10 Ω beside a junction reads 10 mV (Ohm).
    A control grid is at or under its cathode; leaky coupling capacitors and grid emission lift it: common practice.
    A lithium manganese dioxide cell: 3.0 V nominal, 2.0 V end point (IEC 60086-2, from memory); under 2.5 V at rest it is
    spent: common practice.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from ...quantities import Kind
from ...readings import Verdict
from ..facts import Fact
from ..points import Role
from ..rule import PRACTICE, Hint, Rule, Target, of, together

GRID_POSITIVE = Decimal("0.5")
DIRECT_COUPLED_FROM = Decimal(30)
WENT_AWAY = Decimal("0.2")
NO_CURRENT = Decimal("0.05")
SHORTED_JUNCTION = Decimal("0.05")
OPEN_JUNCTION = Decimal("1.8")
SPENT_CELL = Decimal("2.5")
NEARLY_SUPPLY = Decimal("0.9")

_RESISTOR = re.compile(r"r\d+[a-z]?").fullmatch
_CELL = frozenset({"cell", "battery", "lithium", "coin", "cr2032", "button"})
_AT_THE_GROOVE = frozenset(
    {"stylus", "tracking", "vertical", "needle", "cartridge", "pickup", "vtf", "arm", "tonearm"}
)
_BACKUP = frozenset({"lithium", "memory", "backup", "coin", "cr2032", "button", "patch", "ram"})


def _grids(facts: Iterable[Fact]) -> Iterator[list[Fact]]:
    grids = [
        one for one in facts if one.point.part == "grid" and one.kind is Kind.VOLTAGE_DC and not one.endless
    ]
    yield from together(grids, lambda one: (one.point.circuit, one.point.channel))


def _positive(grid: Fact, facts: Sequence[Fact]) -> bool:
    if grid.good or grid.value < GRID_POSITIVE:
        return False
    cathodes = [
        one
        for one in facts
        if one.point.part == "cathode"
        and one.point.circuit == grid.point.circuit
        and one.kind is Kind.VOLTAGE_DC
    ]
    if any(one.value > grid.value for one in cathodes) and "cathode" not in grid.against.casefold():
        return False
    return grid.verdict is Verdict.HIGH or (grid.verdict is Verdict.NONE and grid.value < DIRECT_COUPLED_FROM)


def _grid_positive(facts: Sequence[Fact]) -> Iterator[Hint]:
    for group in _grids(facts):
        inside = [one for one in group if not one.state.pulled]
        if inside and _positive(inside[-1], facts):
            says = (
                f"{inside[-1].place} is positive ({inside[-1].shown}): the coupling capacitor before it leaks, or the tube has "
                "grid current. Switch off soon: the tube draws too much."
            )
            then = (
                "With this tube pulled, the grid again: stays it positive, it is the capacitor; is it gone, the tube. Never "
                "pull one from a string of heaters in series: lift the capacitor's leg there."
            )
            yield Hint(says, (inside[-1],), Target.COUPLING, then)


def _pulled(facts: Sequence[Fact]) -> Iterator[tuple[Fact, Fact]]:
    for group in _grids(facts):
        inside = [one for one in group if not one.state.pulled]
        out = [one for one in group if one.state.pulled]
        if inside and out and _positive(inside[-1], facts):
            yield inside[-1], out[-1]


def _coupling_leaky(facts: Sequence[Fact]) -> Iterator[Hint]:
    for inside, out in _pulled(facts):
        if out.value >= GRID_POSITIVE and out.value > inside.value * WENT_AWAY:
            says = (
                f"{inside.place} stays positive with the tube pulled ({out.shown}): the coupling capacitor before it leaks. "
                "Replace it."
            )
            yield Hint(
                says,
                (inside, out),
                Target.COUPLING,
                "With the capacitor's leg lifted the grid must be at its bias.",
            )


def _tube_gassy(facts: Sequence[Fact]) -> Iterator[Hint]:
    for inside, out in _pulled(facts):
        if out.value <= inside.value * WENT_AWAY:
            says = (
                f"{inside.place} was positive ({inside.shown}) and is not with the tube pulled ({out.shown}): the tube has grid "
                "current. Replace the tube."
            )
            then = (
                "A known good tube in the same socket; and the grid resistor: too high a value does the same."
            )
            yield Hint(says, (inside, out), Target.DEVICE, then)


def _tubes(facts: Iterable[Fact]) -> Iterator[dict[str, Fact]]:
    parts = [
        one
        for one in facts
        if one.point.part in {"plate", "cathode", "screen", "collector"}
        and one.kind is Kind.VOLTAGE_DC
        and not one.state.resting
        and not one.state.pulled
        and not one.endless
    ]
    for group in together(parts, lambda one: (one.point.circuit, one.point.channel)):
        yield {one.point.part: one for one in group}


def _supply(facts: Sequence[Fact]) -> Fact | None:
    rails = [one for one in of(facts, Role.RAIL) if one.kind is Kind.VOLTAGE_DC and one.present]
    return max(rails, key=lambda one: one.size, default=None)


def _tube_cut_off(facts: Sequence[Fact]) -> Iterator[Hint]:
    supply = _supply(facts)
    for tube in _tubes(facts):
        plate, cathode = tube.get("plate"), tube.get("cathode")
        if plate is None or cathode is None:
            continue
        silent = cathode.absent or (cathode.verdict is Verdict.NONE and cathode.size < NO_CURRENT)
        at_top = plate.verdict is Verdict.HIGH or (
            plate.verdict is Verdict.NONE and supply is not None and plate.size >= NEARLY_SUPPLY * supply.size
        )
        if silent and at_top:
            says = (
                f"{plate.place} stands high ({plate.shown}) with nothing at the cathode ({cathode.shown}): no current flows. "
                "Look at the heater and at the tube."
            )
            then = "Its heater voltage at the pins, then a known good tube; then the grid: far too negative cuts it off as well."
            yield Hint(says, (plate, cathode), Target.DEVICE, then)


def _plate_starved(facts: Sequence[Fact]) -> Iterator[Hint]:
    supply = _supply(facts)
    for tube in _tubes(facts):
        for part in ("plate", "screen"):
            here = tube.get(part)
            if supply is not None and here is not None and here.absent:
                says = (
                    f"{here.place} has no voltage ({here.shown}) and the supply is there ({supply.shown}): what feeds it is "
                    "open, its resistor or its winding."
                )
                then = "That resistor or winding in ohms, unplugged and discharged; and the part for a short to the chassis."
                yield Hint(says, (here, supply), Target.UPSTREAM, then)


def _resistor_high(facts: Sequence[Fact]) -> Iterator[Hint]:
    for one in facts:
        named = any(_RESISTOR(word) for word in one.point.circuit) or "resistor" in one.point.circuit
        if one.kind is Kind.RESISTANCE and named and one.verdict in {Verdict.HIGH, Verdict.OPEN}:
            says = (
                f"{one.place} reads {one.shown}, more than it should be. Whatever lies beside it in the circuit can only lower "
                "a reading: the resistor has gone high."
            )
            then = (
                "Once more with a charged capacitor discharged and the probes the other way; then replace it."
            )
            yield Hint(says, (one,), Target.DEVICE, then)


def _junctions(facts: Iterable[Fact]) -> Iterator[Fact]:
    for one in facts:
        part = one.point.part
        pair = part == "b-e" or (part == "base" and "emitter" in one.against.casefold())
        if pair and not one.good and "reverse" not in one.state.words.split():
            yield one


def _junction_short(facts: Sequence[Fact]) -> Iterator[Hint]:
    for one in _junctions(facts):
        if one.kind is Kind.DIODE and not one.endless and one.size < SHORTED_JUNCTION:
            says = (
                f"{one.place} reads {one.shown} on the diode range: shorted, or 10 Ω lie across it, which read 10 mV. "
                "Lift a leg before you condemn it."
            )
            yield Hint(says, (one,), Target.DEVICE, "The same with the base lifted, both ways round.")


def _junction_open(facts: Sequence[Fact]) -> Iterator[Hint]:
    for one in _junctions(facts):
        if one.kind is Kind.DIODE and (one.endless or one.verdict is Verdict.OPEN):
            says = (
                f"{one.place} is open on the diode range. "
                "Probes the other way round first; open both ways, it is the device."
            )
            yield Hint(says, (one,), Target.DEVICE, "Both ways round, at the device's own legs.")
        live = one.kind is Kind.VOLTAGE_DC and not one.endless and not one.state.resting
        if live and (one.value > OPEN_JUNCTION or (one.verdict is Verdict.HIGH and one.size > OPEN_JUNCTION)):
            says = (
                f"{one.place} to emitter carries {one.shown}: a sound junction holds it to some 0.7 V, a Darlington to 1.4 V. "
                "It is open."
            )
            then = "Unplugged and discharged, the junction on the diode range, and the emitter resistor."
            yield Hint(says, (one,), Target.DEVICE, then)


def _cell_dead(facts: Sequence[Fact]) -> Iterator[Hint]:
    for one in facts:
        words = set(one.point.circuit)
        if (
            one.kind is not Kind.VOLTAGE_DC
            or one.good
            or one.endless
            or not (words & _CELL and words & _BACKUP)
        ):
            continue
        if one.verdict is Verdict.LOW or (one.verdict is Verdict.NONE and one.size < SPENT_CELL):
            says = (
                f"{one.place} has {one.shown}: spent. What it keeps (patches, settings) is lost without it, or when "
                "it comes out."
            )
            then = "Save what it keeps first. Then the same with the unit off, and what it gives the memory behind its diode."
            yield Hint(says, (one,), Target.DEVICE, then)


def _stylus_force(facts: Sequence[Fact]) -> Iterator[Hint]:
    for one in facts:
        words = set(one.point.circuit)
        if (
            (one.kind is Kind.FORCE or "force" in words)
            and words & _AT_THE_GROOVE
            and one.verdict in {Verdict.LOW, Verdict.HIGH}
        ):
            light = one.verdict is Verdict.LOW
            why = "too light mistracks and harms the groove" if light else "too heavy wears record and stylus"
            says = f"{one.place} is {one.shown}, out of its range: {why}. Set it before the rest is judged."
            yield Hint(
                says,
                (one,),
                Target.DEVICE,
                "The arm's balance and level, then the force again at record height.",
            )


RULES = (
    Rule("coupling-leaky", "Grid positive with the tube pulled", _coupling_leaky,
         "A direct-coupled stage has its grid high by its making."),
    Rule("tube-gassy", "Grid positive only with the tube in", _tube_gassy,
         "The grid resistor is open or far too high."),
    Rule("grid-positive", "Grid positive", _grid_positive,
         "A direct-coupled stage, or one driven into grid current, has its grid positive against the chassis.",
         quieted_by=("coupling-leaky", "tube-gassy")),
    Rule("tube-cut-off", "No current in a tube", _tube_cut_off,
         "Standby, or a tube whose cathode resistor is shorted."),
    Rule("plate-starved", "Supply there, none at the plate", _plate_starved,
         "A tube that is muted by its supply.", after_supply=True),
    Rule("resistor-high", "A resistor reads high", _resistor_high,
         "A capacitor in the circuit still charges from the meter.",
         source="Kirchhoff: a parallel path only lowers a reading"),
    Rule("junction-short", "A junction reads next to nothing", _junction_short,
         "A low resistor or a winding lies across it.",
         source="1 mA through 10 Ω is 10 mV (Ohm's law); common practice"),
    Rule("junction-open", "A junction is open", _junction_open,
         "Probes the wrong way round, or a transistor of the other polarity held off."),
    Rule("cell-dead", "A memory cell is spent", _cell_dead,
         "It was read under a load, or it is a rechargeable one of 1.2 V a cell.",
         source="IEC 60086-2 (check the current edition): 3.0 V nominal, 2.0 V end point; common practice"),
    Rule("stylus-force", "Stylus force out of range", _stylus_force,
         "The range is of another stylus.", source=PRACTICE),
)  # fmt: skip
