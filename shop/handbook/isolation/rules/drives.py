"""Supply, command, driver, load: where the chain of one circuit breaks.

Sources
    The order of looking, and the drive counted across its load only: common practice, no source. A contact is judged
    under current, since a meter's own milliampere breaks no film (common practice); 0.2 V across it and 1 Ω are far
    over what a sound one of an audio unit shows (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from ...quantities import Kind
from ...readings import Verdict
from ..facts import VOLTAGES, Fact
from ..points import Role
from ..rule import Hint, Rule, Target, by_circuit, of, together

CONTACT_DROP = Decimal("0.2")
CONTACT_OHM = Decimal(1)
GONE = Decimal("0.1")
SAME_SHARE = Decimal("0.1")
ENDS = frozenset({"hot", "cold", "first", "second", "other", "near", "far"})
OPPOSITE = (
    ({"open", "opening"}, {"close", "closing"}),
    ({"forward"}, {"reverse", "rewind", "backward"}),
    ({"outward", "out"}, {"inward", "in"}),
    ({"up", "raise"}, {"down", "lower"}),
)


def drives(facts: Iterable[Fact]) -> list[Fact]:
    """Readings of a drive as its load has it: across the load, and not at rest."""
    return [
        fact
        for fact in of(facts, Role.DRIVE)
        if fact.kind in VOLTAGES
        and not fact.against_chassis
        and not fact.point.side
        and not fact.state.resting
    ]


def _gone(drive: Fact) -> bool:
    return drive.absent or (drive.verdict is Verdict.NONE and drive.state.active and drive.size < GONE)


def _is_open(load: Fact) -> bool:
    return load.verdict is Verdict.OPEN or (load.endless and load.verdict is Verdict.NONE)


def _circuits(facts: Iterable[Fact], *roles: Role) -> Iterator[list[Fact]]:
    yield from together(of(facts, *roles), by_circuit)


def _load_open(facts: Sequence[Fact]) -> Iterator[Hint]:
    for group in _circuits(facts, Role.DRIVE, Role.LOAD):
        there = [fact for fact in drives(group) if fact.present]
        for load in of(group, Role.LOAD):
            if there and _is_open(load):
                says = f"{load.place}: the drive is there ({there[0].shown}) and the load is open. Look at the load."
                then = (
                    "Read the load again at its own terminals, out of the plug. Into an open load nearly any driver shows "
                    "its voltage: prove the driver with a load in place."
                )
                yield Hint(says, (*there, load), Target.LOAD, then)


def _load_short(facts: Sequence[Fact]) -> Iterator[Hint]:
    for group in _circuits(facts, Role.DRIVE, Role.LOAD):
        for load in of(group, Role.LOAD):
            if load.verdict is Verdict.SHORT:
                says = (
                    f"{load.place}: the load is short ({load.shown}). Look at the load, then at what drove it: it may "
                    "have been taken along."
                )
                then = "Lift one end and read it alone; then test the driver's junctions."
                yield Hint(says, (*drives(group), load), Target.LOAD, then)


def _chain(facts: Sequence[Fact]) -> Iterator[tuple[list[Fact], list[Fact], list[Fact], list[Fact]]]:
    """The circuits whose drive is gone: their drives, sound loads, right commands and wrong ones."""
    for group in _circuits(facts, Role.DRIVE, Role.LOAD, Role.COMMAND):
        here = drives(group)
        loads = of(group, Role.LOAD)
        if not here or not all(_gone(drive) for drive in here):
            continue
        if any(load.verdict is Verdict.SHORT or _is_open(load) for load in loads):
            continue
        commands = [one for one in of(group, Role.COMMAND) if not one.state.resting]
        right = [one for one in commands if one.good]
        wrong = [one for one in commands if one.outside]
        yield here, [load for load in loads if load.good], right, wrong


def _drive_absent(facts: Sequence[Fact]) -> Iterator[Hint]:
    for here, sound, right, wrong in _chain(facts):
        if right or wrong:
            continue
        and_load = " and the load is sound" if sound else ""
        says = f"{here[0].place}: no drive arrives ({here[0].shown}){and_load}. Look upstream."
        then = "Supply of the driver first, then its command (switch, sensor, mute, protection), then the driver."
        yield Hint(says, (*here, *sound), Target.UPSTREAM, then)


def _command_absent(facts: Sequence[Fact]) -> Iterator[Hint]:
    for here, sound, _right, wrong in _chain(facts):
        if wrong:
            says = (
                f"{here[0].place}: no drive ({here[0].shown}), and its command isn't what it should be ({wrong[0].place} "
                f"{wrong[0].shown}). The driver does as it is told: look at what commands it."
            )
            then = "Follow the command back: switch, sensor, muting, protection, logic supply."
            yield Hint(says, (*here, *wrong, *sound), Target.COMMAND, then)


def _driver_dead(facts: Sequence[Fact]) -> Iterator[Hint]:
    supplies = [
        one for one in of(facts, Role.RAIL, Role.SUPPLY) if one.present and one.kind is Kind.VOLTAGE_DC
    ]
    for here, sound, right, wrong in _chain(facts):
        if right and not wrong:
            fed = f", its supply too ({supplies[0].shown})" if supplies else ""
            says = (
                f"{here[0].place}: the command is there ({right[0].shown}){fed}, and no drive comes ({here[0].shown}). "
                "Look at the driver."
            )
            then = "Supply and ground at the driver's own pins, then its output without the load."
            yield Hint(says, (*here, *right, *supplies[:1], *sound), Target.DRIVER, then)


def _not_switched(facts: Sequence[Fact]) -> Iterator[Hint]:
    for group in _circuits(facts, Role.DRIVE, Role.LOAD, Role.SUPPLY, Role.NONE):
        ends = [
            one
            for one in group
            if one.kind is Kind.VOLTAGE_DC and one.point.side in ENDS | {"both"} and not one.state.resting
        ]
        if len(ends) == 1:  # the first end was typed without saying which
            ends += [
                one
                for one in group
                if one.kind is Kind.VOLTAGE_DC and not one.point.side and one.against_chassis
            ]
        pairs = [(one, other) for one in ends for other in ends if one.point.side < other.point.side]
        pairs += [(one, one) for one in ends if one.point.side == "both"]
        for one, other in pairs:
            apart = abs(one.value - other.value)
            if min(one.size, other.size) >= 1 and apart <= max(one.size, other.size) * SAME_SHARE:
                says = (
                    f"{one.place}: {one.shown} at both ends is nothing across it. The supply arrives, and the driver "
                    "doesn't pull. Look at the driver and its command."
                )
                then = "Base (or gate) of the driver while it should pull; then the end at the driver, held low for a moment."
                yield Hint(says, (one,) if one is other else (one, other), Target.DRIVER, then)


def _both_polarities(facts: Sequence[Fact]) -> Iterator[Hint]:
    direct = [fact for fact in drives(facts) if fact.kind is Kind.VOLTAGE_DC]
    for group in together(direct, by_circuit):
        forward = [fact for fact in group if fact.present and fact.value > 0]
        back = [fact for fact in group if fact.present and fact.value < 0]
        if forward and back and forward[0].state.words != back[0].state.words:
            says = (
                f"{forward[0].place}: both polarities are there ({forward[0].shown} and {back[0].shown}), so the driver "
                "works. Look at the load and at what it moves."
            )
            then = "The winding's resistance, its current while it should turn, and the mechanism by hand."
            yield Hint(says, (*forward, *back), Target.BEYOND, then)


def _one_polarity(facts: Sequence[Fact]) -> Iterator[Hint]:
    direct = [fact for fact in drives(facts) if fact.kind is Kind.VOLTAGE_DC]
    for group in together(direct, by_circuit):
        there = [fact for fact in group if fact.present]
        gone = [
            fact
            for fact in group
            if fact.absent or any(_gone(fact) and _opposite(fact, one) for one in there)
        ]
        if there and gone and there[0].state.words != gone[0].state.words:
            says = (
                f"{there[0].place}: drive under one condition ({there[0].shown}{_told(there[0])}) and none under the "
                f"other ({gone[0].shown}{_told(gone[0])}). Look at that half of the driver and at its command."
            )
            then = "The command of the missing direction at the driver's input; there, it is the driver."
            yield Hint(says, (*there, *gone), Target.DRIVER, then)


def _opposite(one: Fact, other: Fact) -> bool:
    first, second = set(one.state.words.split()), set(other.state.words.split())
    return any((first & a and second & b) or (first & b and second & a) for a, b in OPPOSITE)


def _told(fact: Fact) -> str:
    return f", {fact.condition}" if fact.condition else ""


def _contact_bad(facts: Sequence[Fact]) -> Iterator[Hint]:
    for contact in of(facts, Role.CONTACT):
        if contact.state.resting or "open" in contact.state.words.split():
            continue
        drop = contact.kind in VOLTAGES and contact.state.closed and not contact.against_chassis
        if drop and not contact.good and contact.size > CONTACT_DROP:
            says = f"{contact.place}: {contact.shown} across a closed contact. It is the contact: clean, or replace it."
        elif contact.kind is Kind.RESISTANCE and _resists(contact):
            says = f"{contact.place}: {contact.shown} through a closed contact. Look at the contact."
        else:
            continue
        then = "Once more under its own current: the drop across it at full load is what counts."
        yield Hint(says, (contact,), Target.CONTACT, then)


def _resists(contact: Fact) -> bool:
    if contact.verdict is Verdict.NONE:
        return contact.state.closed and contact.size > CONTACT_OHM
    return contact.verdict in {Verdict.HIGH, Verdict.OPEN}


RULES = (
    Rule("load-open", "Drive present, load open", _load_open, "The meter's lead or the plug made no contact."),
    Rule("load-short", "Load short", _load_short, "Something parallel to it is short: lift one end."),
    Rule("not-switched", "Same voltage at both ends", _not_switched,
         "It isn't to be driven at this moment (protection, standby), or it is driven by alternating current.",
         source="Kirchhoff's voltage law"),
    Rule("command-absent", "Supply there, command not", _command_absent, "The command is active low, or comes only for a moment.",
         after_supply=True),
    Rule("driver-dead", "Supply and command there, no drive", _driver_dead,
         "The load pulls the drive down: read it once without the load.", after_supply=True),
    Rule("drive-absent", "No drive", _drive_absent, "Nothing was to move at that moment, or the drive comes in pulses.",
         quieted_by=("command-absent", "driver-dead", "one-polarity", "not-switched"), after_supply=True),
    Rule("both-polarities", "Both polarities present", _both_polarities,
         "The drive is there and too weak: its current under load tells."),
    Rule("one-polarity", "One polarity only", _one_polarity, "The part moves one way only by its making, with a spring back.",
         after_supply=True),
    Rule("contact-bad", "Contact drops too much", _contact_bad, "The drop is that of the wiring, with the probes too far apart."),
)  # fmt: skip
"""A stopped motor at stop, and a relay in standby, take part in none of them."""
