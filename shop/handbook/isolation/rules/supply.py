"""Rails: missing, low, high, turned round, one of two; and what their ripple tells.

Sources
    Full-wave rectified supplies ripple at twice the line's frequency, half-wave ones at the line's: arithmetic of the
    rectifier. Low with much ripple is a reservoir or a rectifier that gives way, low and smooth is something that pulls
    or a regulator: common practice, no source. Much is from 5 % peak to peak or 2 % RMS, smooth up to 1 %: common practice.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from ...quantities import Kind
from ...readings import Verdict
from ..facts import ALTERNATING, Fact
from ..points import Role
from ..rule import Hint, Rule, Target, of, together

MUCH = {Kind.VOLTAGE_PP: Decimal("0.05"), Kind.VOLTAGE_AC: Decimal("0.02")}
SMOOTH = Decimal("0.01")
PAIR_APART = Decimal("0.25")
LINE = (Decimal(45), Decimal(65))
TWICE = (Decimal(90), Decimal(130))
LEAST_RIPPLE = Decimal("0.1")
"""Without an expectation and without a rail beside it, less than this says nothing, in volt."""


def rails(facts: Iterable[Fact]) -> list[Fact]:
    """Direct voltages of rails and supplies while the unit is on."""
    return [
        fact
        for fact in of(facts, Role.RAIL, Role.SUPPLY)
        if fact.kind is Kind.VOLTAGE_DC
        and fact.point.part != "ripple"
        and not fact.state.lifted
        and not _off(fact)
    ]


def _off(fact: Fact) -> bool:
    """Switched off; a rail in standby or at stop may still have to be there."""
    return bool({"off", "unplugged", "discharged"} & set(fact.state.words.split()))


def missing(facts: Iterable[Fact]) -> list[Fact]:
    """The rails that aren't there."""
    return [rail for rail in rails(facts) if rail.absent]


def _rail_missing(facts: Sequence[Fact]) -> Iterator[Hint]:
    there = [rail for rail in rails(facts) if rail.present]
    for rail in missing(facts):
        others = " The other rails are there, so what they share is in order." if there else ""
        says = (
            f"{rail.place} is missing ({rail.shown}): look at its fuse, rectifier and regulator, and unplugged, "
            f"discharged, for a short that pulls it down.{others}"
        )
        then = "What comes into its regulator or rectifier; then its resistance to the chassis, unplugged and discharged."
        yield Hint(says, (rail, *there), Target.SUPPLY, then)


def _rail_reversed(facts: Sequence[Fact]) -> Iterator[Hint]:
    for rail in rails(facts):
        if rail.turned:
            says = (
                f"{rail.place} reads {rail.shown}, the other polarity. Leads first: are the probes swapped?"
            )
            then = (
                "The same point again, black to chassis; if it stays, what can push this rail past zero: a part shorted "
                "to the other one."
            )
            yield Hint(says, (rail,), Target.LEADS, then)


def _rail_high(facts: Sequence[Fact]) -> Iterator[Hint]:
    for rail in rails(facts):
        if rail.high and not rail.absent:
            says = (
                f"{rail.place} is high ({rail.shown}): its regulator lets through, or, where it has none, little is drawn "
                "from it or the line is set wrong. Switch off before it takes more with it."
            )
            then = "In and out of the regulator and its reference; without one, line voltage, selector, and the current drawn."
            yield Hint(says, (rail,), Target.SUPPLY, then)


def _rail_low(facts: Sequence[Fact]) -> Iterator[Hint]:
    for rail in rails(facts):
        if rail.low:
            says = f"{rail.place} is low ({rail.shown}): too much is drawn from it, or its supply gives way."
            then = "Its ripple: much of it is the reservoir or a rectifier, none is a load or the regulator."
            yield Hint(says, (rail,), Target.SUPPLY, then)


def _ripple_of(facts: Iterable[Fact], rail: Fact) -> list[Fact]:
    return [
        one
        for one in of(facts, Role.RAIL, Role.SUPPLY)
        if one.kind in ALTERNATING and _lies_on(one, rail) and not one.endless
    ]


def _lies_on(ripple: Fact, rail: Fact) -> bool:
    """Whether ripple was read on a rail: its place is the rail's, or part of it (`filter can` of `B+, filter can`)."""
    words = set(ripple.point.circuit) - {"ripple"}
    return ripple.point.circuit == rail.point.circuit or bool(words and words < set(rail.point.circuit))


def _much(ripple: Fact, rail: Fact | None) -> bool:
    if ripple.verdict is not Verdict.NONE:
        return ripple.verdict is Verdict.HIGH
    if rail is None:
        return ripple.size >= LEAST_RIPPLE
    return ripple.size >= MUCH[ripple.kind] * rail.size


def _rail_starved(facts: Sequence[Fact]) -> Iterator[Hint]:
    for rail in rails(facts):
        rough = [one for one in _ripple_of(facts, rail) if _much(one, rail)]
        if rail.low and rough:
            says = (
                f"{rail.place} is low ({rail.shown}) and ripples ({rough[0].shown}): it is starved. Look at its reservoir "
                "capacitor and its rectifier, or behind a regulator, at what comes in."
            )
            then = (
                "The ripple's frequency, the capacitor's capacitance and ESR (discharged), and the current drawn: twice "
                "the load ripples as well."
            )
            yield Hint(says, (rail, *rough), Target.SUPPLY, then)


def _rail_pulled_down(facts: Sequence[Fact]) -> Iterator[Hint]:
    for rail in rails(facts):
        smooth = [
            one
            for one in _ripple_of(facts, rail)
            if one.good or (one.verdict is Verdict.NONE and one.size <= SMOOTH * rail.size)
        ]
        if rail.low and smooth and not any(_much(one, rail) for one in _ripple_of(facts, rail)):
            says = (
                f"{rail.place} is low ({rail.shown}) and smooth ({smooth[0].shown}): something pulls it down, or its "
                "regulator gives too little. The reservoir isn't it."
            )
            then = "In and out of the regulator; then take loads off one by one: which one lets it come up, and what gets warm."
            yield Hint(says, (rail, *smooth), Target.SUPPLY, then)


def _rails_unequal(facts: Sequence[Fact]) -> Iterator[Hint]:
    lone = [rail for rail in rails(facts) if rail.verdict is Verdict.NONE]
    for one in lone:
        for other in lone:
            if not _pair(one, other) or one.absent or other.absent:
                continue
            low, high = sorted((one, other), key=lambda rail: rail.size)
            if high.size - low.size > high.size * PAIR_APART:
                says = (
                    f"{low.place} has {low.shown} where its twin {high.place} has {high.shown}. Two of a pair are nearly "
                    f"alike: look at {low.place}."
                )
                then = "The alternating voltage of both halves before the rectifier, then the ripple of both."
                yield Hint(says, (low, high), Target.SUPPLY, then)


_PAIRS = (("v+", "v-"), ("b+", "b-"), ("vcc", "vee"))


def _pair(plus: Fact, minus: Fact) -> bool:
    one, other = plus.point, minus.point
    if one.volt is not None and other.volt is not None:
        return one.volt > 0 and one.volt == -other.volt and one.part == other.part
    return any(a in one.circuit and b in other.circuit for a, b in _PAIRS)


def _ripple(facts: Sequence[Fact], band: tuple[Decimal, Decimal]) -> Iterator[tuple[Fact, Fact]]:
    """Ripple that is too much, with its frequency where that lies in the band."""
    rippling = [
        one for one in of(facts, Role.RAIL, Role.SUPPLY) if one.kind in ALTERNATING and not one.endless
    ]
    direct = sorted(rails(facts), key=lambda rail: -rail.size)
    for group in together(
        [*rippling, *(one for one in facts if one.kind is Kind.FREQUENCY)], lambda one: (one.point.circuit,)
    ):
        at = [one for one in group if one.kind is Kind.FREQUENCY and band[0] <= one.size <= band[1]]
        rough = [one for one in group if one.kind in ALTERNATING and _much(one, _rail_of(one, direct))]
        if at and rough:
            yield rough[0], at[0]


def _rail_of(ripple: Fact, largest_first: Sequence[Fact]) -> Fact | None:
    """The rail that a ripple was read on; where none fits, the largest that was read, which says the least."""
    return next((rail for rail in largest_first if _lies_on(ripple, rail)), next(iter(largest_first), None))


def _ripple_line(facts: Sequence[Fact]) -> Iterator[Hint]:
    for ripple, at in _ripple(facts, LINE):
        says = (
            f"{ripple.place}: {ripple.shown} at {at.shown}, the line's own frequency. Of a full-wave supply, one half is "
            "missing (a diode, a winding, a joint); else it comes in from heaters, ground or the transformer's field."
        )
        then = "The alternating voltage on both sides of the rectifier, and its diodes, unplugged and discharged."
        yield Hint(says, (ripple, at), Target.SUPPLY, then)


def _ripple_twice(facts: Sequence[Fact]) -> Iterator[Hint]:
    for ripple, at in _ripple(facts, TWICE):
        says = (
            f"{ripple.place}: {ripple.shown} at {at.shown}, twice the line's frequency. Both halves of the rectifier work: "
            "the reservoir capacitor has dried out, or more is drawn than it was made for."
        )
        then = "A sound capacitor across it for a moment (rated for the voltage, discharged afterwards), and the current drawn."
        yield Hint(says, (ripple, at), Target.SUPPLY, then)


RULES = (
    Rule("rail-missing", "A rail is missing", _rail_missing,
         "It is switched, and was off at that moment."),
    Rule("rail-reversed", "A rail with the other polarity", _rail_reversed,
         "The probes were swapped."),
    Rule("rail-high", "A rail is high", _rail_high,
         "An unregulated rail without its load, or a tube supply before the tubes are warm, stands high in a sound unit.",
         quieted_by=("rail-reversed",)),
    Rule("rail-starved", "A rail is low and ripples", _rail_starved,
         "An overload makes a good reservoir ripple, too: read the current."),
    Rule("rail-pulled-down", "A rail is low and smooth", _rail_pulled_down,
         "The ripple was read behind a regulator or a filter resistor, and the starved part is before it."),
    Rule("rails-unequal", "One of two rails is low", _rails_unequal,
         "Two supplies that were never a pair."),
    Rule("rail-low", "A rail is low", _rail_low,
         "The line is low, or a lamp in series is in.",
         quieted_by=("rail-starved", "rail-pulled-down", "rails-unequal", "rail-reversed")),
    Rule("ripple-line", "Ripple at the line's frequency", _ripple_line,
         "A half-wave supply ripples so when it is sound.",
         source="a full-wave rectifier ripples at twice the line's frequency; common practice"),
    Rule("ripple-twice", "Ripple at twice the line's frequency", _ripple_twice,
         "A rail without a regulator ripples to some degree in a sound unit.",
         source="a full-wave rectifier ripples at twice the line's frequency; common practice"),
)  # fmt: skip
