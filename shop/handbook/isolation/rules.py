"""The rules of isolation: what a bench concludes from readings that belong together.

Sources
    The rules are how a bench narrows a fault (drive against load, channel against channel, rail before stage, swap
    test): common practice, no source. More than 100 mV of DC at a loudspeaker's terminals is a fault unless the maker
    says otherwise: common practice. Ten percent between channels, of the lower one: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from itertools import groupby

from ..in_words import rounded
from ..quantities import Kind
from ..readings import Verdict
from .facts import A_TENTH, Fact, Role

OFFSET_FAULT = Decimal("0.1")
CHANNELS_DIFFER_PERCENT = Decimal(10)


class Target(StrEnum):
    """Where a suggestion points."""

    LOAD = "the load"
    UPSTREAM = "upstream"
    DRIVER = "the driver"
    BEYOND = "beyond the driver"
    CHANNEL = "one channel"
    COMMON = "what both channels share"
    SUPPLY = "the supply"
    OUTPUT_STAGE = "the output stage"
    SIDE = "one side"
    PART = "the swapped part"
    AROUND = "around the swapped part"


@dataclass(frozen=True, slots=True)
class Hint:
    """What a rule saw."""

    says: str
    cites: tuple[Fact, ...]
    target: Target


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule by name. ``read`` gets the job's facts in their order and yields what it sees, unnamed."""

    name: str
    title: str
    read: Callable[[Sequence[Fact]], Iterable[Hint]]


def _of(facts: Iterable[Fact], *roles: Role) -> list[Fact]:
    return [fact for fact in facts if fact.role in roles]


def _together(facts: Iterable[Fact], key: Callable[[Fact], tuple[str, ...]]) -> Iterator[list[Fact]]:
    """The facts that share a key, each group in the order of reading."""
    for _, group in groupby(sorted(facts, key=key), key=key):
        yield list(group)


def _circuit(fact: Fact) -> tuple[str, ...]:
    return fact.circuit, fact.channel


# --- a driver and its load --------------------------------------------------------------------------------------


def _load_open(facts: Sequence[Fact]) -> Iterator[Hint]:
    for group in _together(_of(facts, Role.DRIVE, Role.LOAD), _circuit):
        drives = [fact for fact in _of(group, Role.DRIVE) if fact.present]
        for load in _of(group, Role.LOAD):
            if drives and load.verdict is Verdict.OPEN:
                says = f"{load.place}: the drive is there ({drives[0].shown}) and the load is open. Look at the load."
                yield Hint(says, (*drives, load), Target.LOAD)


def _load_short(facts: Sequence[Fact]) -> Iterator[Hint]:
    for group in _together(_of(facts, Role.DRIVE, Role.LOAD), _circuit):
        for load in _of(group, Role.LOAD):
            if load.verdict is Verdict.SHORT:
                says = (
                    f"{load.place}: the load is short ({load.shown}). Look at the load, then at what drove it: it may "
                    "have been taken along."
                )
                yield Hint(says, (*_of(group, Role.DRIVE), load), Target.LOAD)


def _drive_absent(facts: Sequence[Fact]) -> Iterator[Hint]:
    for group in _together(_of(facts, Role.DRIVE, Role.LOAD), _circuit):
        drives, loads = _of(group, Role.DRIVE), _of(group, Role.LOAD)
        if not drives or not all(drive.absent for drive in drives):
            continue
        if any(load.verdict is Verdict.SHORT for load in loads):
            continue
        sound = [load for load in loads if load.verdict is Verdict.WITHIN]
        and_load = " and the load is sound" if sound else ""
        says = f"{drives[0].place}: no drive arrives ({drives[0].shown}){and_load}. Look upstream."
        yield Hint(says, (*drives, *sound), Target.UPSTREAM)


def _both_polarities(facts: Sequence[Fact]) -> Iterator[Hint]:
    for group in _together(_direct_drives(facts), _circuit):
        forward = [fact for fact in group if fact.present and fact.quantity.value > 0]
        back = [fact for fact in group if fact.present and fact.quantity.value < 0]
        if forward and back:
            says = (
                f"{forward[0].place}: both polarities are there ({forward[0].shown} and {back[0].shown}), so the driver "
                "works. Look at the load and at what it moves."
            )
            yield Hint(says, (*forward, *back), Target.BEYOND)


def _one_polarity(facts: Sequence[Fact]) -> Iterator[Hint]:
    for group in _together(_direct_drives(facts), _circuit):
        there = [fact for fact in group if fact.present]
        gone = [fact for fact in group if fact.absent]
        if there and gone:
            says = (
                f"{there[0].place}: drive under one condition ({there[0].shown}{_told(there[0])}) and none under the "
                f"other ({gone[0].shown}{_told(gone[0])}). Look at that half of the driver and at its command."
            )
            yield Hint(says, (*there, *gone), Target.DRIVER)


def _direct_drives(facts: Sequence[Fact]) -> list[Fact]:
    return [fact for fact in _of(facts, Role.DRIVE) if fact.kind is Kind.VOLTAGE_DC]


def _told(fact: Fact) -> str:
    return f", {fact.condition}" if fact.condition else ""


# --- channel against channel ------------------------------------------------------------------------------------


def _same_point(fact: Fact) -> tuple[str, ...]:
    return fact.where.casefold(), fact.role, fact.kind, fact.condition.casefold()


def _channel_groups(facts: Iterable[Fact]) -> Iterator[list[Fact]]:
    """Readings of one point in two channels or more; a group with one channel tells nothing."""
    for group in _together((fact for fact in facts if fact.channel), _same_point):
        if len({fact.channel for fact in group}) > 1:
            yield group


_COMPARED = (Role.RAIL, Role.DRIVE, Role.LOAD, Role.OUTPUT, Role.SIGNAL)


def _channels_differ(facts: Sequence[Fact]) -> Iterator[Hint]:
    for group in _channel_groups(_of(facts, *_COMPARED)):
        sound = [fact for fact in group if fact.verdict is Verdict.WITHIN]
        for off in (fact for fact in group if fact.outside and sound):
            says = (
                f"{off.place} is off ({off.shown}) and channel {sound[0].channel} is right ({sound[0].shown}): stay in "
                f"channel {off.channel} and compare the two step by step."
            )
            yield Hint(says, (off, *sound), Target.CHANNEL)


def _channels_unlike(facts: Sequence[Fact]) -> Iterator[Hint]:
    for group in _channel_groups(_of(facts, *_COMPARED)):
        if any(fact.verdict is not Verdict.NONE or fact.quantity.over_range for fact in group):
            continue
        low, high = min(group, key=lambda fact: fact.size), max(group, key=lambda fact: fact.size)
        if (high.size - low.size) * 100 > CHANNELS_DIFFER_PERCENT * low.size:
            apart = (
                f"{rounded((high.size - low.size) / low.size * 100, 2)} % of the lower"
                if low.size
                else "all of it"
            )
            says = (
                f"{low.where}: channel {low.channel} reads {low.shown} and channel {high.channel} {high.shown}, apart by "
                f"{apart}. Find out which one is right, then compare the two step by step."
            )
            yield Hint(says, (low, high), Target.CHANNEL)


def _channels_alike(facts: Sequence[Fact]) -> Iterator[Hint]:
    for group in _channel_groups(_of(facts, *_COMPARED)):
        if all(fact.outside for fact in group) and len({fact.verdict for fact in group}) == 1:
            says = (
                f"{group[0].where}: all channels are {group[0].verdict.label.lower()} alike. Look at what they share: the "
                "supply, a muting line, a control in front of both."
            )
            yield Hint(says, tuple(group), Target.COMMON)


# --- supply, output, bias ---------------------------------------------------------------------------------------


def _rail_missing(facts: Sequence[Fact]) -> Iterator[Hint]:
    rails = _of(facts, Role.RAIL)
    there = [rail for rail in rails if rail.present]
    for rail in rails:
        if rail.absent:
            others = " The other rails are there, so what they share is in order." if there else ""
            says = (
                f"{rail.place} is missing ({rail.shown}): look at its fuse, rectifier and regulator, and unplugged, "
                f"discharged, for a short that pulls it down.{others}"
            )
            yield Hint(says, (rail, *there), Target.SUPPLY)


def _rail_low(facts: Sequence[Fact]) -> Iterator[Hint]:
    for rail in _of(facts, Role.RAIL):
        if rail.verdict is Verdict.LOW and not rail.absent:
            says = f"{rail.place} is low ({rail.shown}): too much is drawn from it, or its supply gives way."
            yield Hint(says, (rail,), Target.SUPPLY)


def _dc_at_output(facts: Sequence[Fact]) -> Iterator[Hint]:
    rails = [rail for rail in _of(facts, Role.RAIL) if rail.present or rail.absent]
    missing = [rail for rail in rails if rail.absent]
    for output in _of(facts, Role.OUTPUT):
        if output.kind is not Kind.VOLTAGE_DC or not _is_offset(output):
            continue
        caution = "Keep loudspeakers off."
        if missing:
            says = f"{output.place}: DC at the output ({output.shown}), and {missing[0].where} is missing: that first. "
            yield Hint(says + caution, (output, *missing), Target.SUPPLY)
        else:
            with_rails = " with its rails present" if rails else ""
            says = (
                f"{output.place}: DC at the output ({output.shown}){with_rails}. Look at the output devices and at the "
                f"stage that sets their middle. {caution}"
            )
            yield Hint(says, (output, *rails), Target.OUTPUT_STAGE)


def _is_offset(fact: Fact) -> bool:
    return fact.verdict is Verdict.HIGH or (fact.verdict is Verdict.NONE and fact.size > OFFSET_FAULT)


def _bias_one_side(facts: Sequence[Fact]) -> Iterator[Hint]:
    measured = [fact for fact in _of(facts, Role.BIAS) if not fact.quantity.over_range]
    for group in _together(measured, lambda fact: (fact.circuit, fact.kind, fact.condition.casefold())):
        most = max(group, key=lambda fact: fact.size)
        without = [fact for fact in group if fact.size <= most.size * A_TENTH]
        if most.size and without and (most.verdict is Verdict.NONE or not most.absent):
            says = (
                f"{without[0].place}: bias on one side only, {without[0].shown} here and {most.shown} at {most.place}. "
                "Look at the side without: its devices, their emitter resistors, its bias network."
            )
            yield Hint(says, (*without, most), Target.SIDE)


# --- swap test --------------------------------------------------------------------------------------------------


def _swap(facts: Sequence[Fact], *, follows: bool) -> Iterator[Hint]:
    """Pairs of channels read before and after a part changed places, in which the fault moved or stayed."""
    for group in _together(facts, lambda fact: (fact.where.casefold(), fact.kind)):
        before = {fact.channel: fact for fact in group if fact.channel and fact.role is not Role.SWAPPED}
        after = {fact.channel: fact for fact in _of(group, Role.SWAPPED) if fact.channel}
        for bad, good in _bad_and_good(before):
            if bad.channel not in after or good.channel not in after:
                continue
            here, there = after[bad.channel], after[good.channel]
            moved = there.outside and here.verdict is Verdict.WITHIN
            stayed = here.outside and there.verdict is Verdict.WITHIN
            if follows and moved:
                says = f"{bad.where}: the fault went along to channel {good.channel} with the part. Look at the part."
                yield Hint(says, (bad, good, here, there), Target.PART)
            if not follows and stayed:
                says = f"{bad.where}: the fault stayed in channel {bad.channel}. The part is sound; look around it."
                yield Hint(says, (bad, good, here, there), Target.AROUND)


def _bad_and_good(before: dict[str, Fact]) -> Iterator[tuple[Fact, Fact]]:
    for bad in before.values():
        for good in before.values():
            if bad.outside and good.verdict is Verdict.WITHIN:
                yield bad, good


def _swap_follows(facts: Sequence[Fact]) -> Iterator[Hint]:
    return _swap(facts, follows=True)


def _swap_stays(facts: Sequence[Fact]) -> Iterator[Hint]:
    return _swap(facts, follows=False)


RULES: tuple[Rule, ...] = (
    Rule("rail-missing", "A rail is missing", _rail_missing),
    Rule("rail-low", "A rail is low", _rail_low),
    Rule("dc-at-output", "DC at the output", _dc_at_output),
    Rule("load-open", "Drive present, load open", _load_open),
    Rule("load-short", "Load short", _load_short),
    Rule("drive-absent", "No drive", _drive_absent),
    Rule("both-polarities", "Both polarities present", _both_polarities),
    Rule("one-polarity", "One polarity only", _one_polarity),
    Rule("bias-one-side", "Bias on one side only", _bias_one_side),
    Rule("channels-differ", "One channel off, the other right", _channels_differ),
    Rule("channels-unlike", "Channels apart, nothing expected", _channels_unlike),
    Rule("channels-alike", "All channels off alike", _channels_alike),
    Rule("swap-follows", "The fault follows the part", _swap_follows),
    Rule("swap-stays", "The fault stays in its place", _swap_stays),
)
"""The rules in the order in which they are read: supply first, as on the bench. Another one is added by a line here."""
