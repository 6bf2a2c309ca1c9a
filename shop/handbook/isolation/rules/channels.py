"""One channel against the other, DC at the output, idle current, and parts that changed places.

Sources
    More than 100 mV of DC at a loudspeaker's terminals is a fault unless the maker says otherwise: common practice. Two
    channels without an expectation are compared where both could mean something, from a quarter of the higher one or
    2 dB: common practice, no source. An idle current that doubles while it warms runs away: common practice.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from itertools import pairwise

from ...in_words import rounded
from ...quantities import Kind
from ...readings import Verdict
from ..facts import A_TENTH, VOLTAGES, Fact
from ..points import Role
from ..rule import Hint, Rule, Target, of, together
from .supply import missing, rails

OFFSET_FAULT = Decimal("0.1")
CHANNELS_APART = Decimal("0.25")
LEVELS_APART = Decimal(2)
LEAST_BIAS = Decimal("0.001")
FAR_OVER = Decimal("1.5")
RUNS_AWAY = Decimal(2)
STILL_CLIMBS = Decimal("1.1")

MEANS = {
    Kind.VOLTAGE_AC: Decimal("0.001"),
    Kind.VOLTAGE_PP: Decimal("0.003"),
    Kind.VOLTAGE_DC: Decimal("0.5"),
    Kind.RESISTANCE: Decimal(1),
    Kind.INDUCTANCE: Decimal("0.00001"),
    Kind.CAPACITANCE: Decimal("0.000000000001"),
    Kind.POWER: Decimal("0.1"),
}
"""From where the higher of two channels says something at all; a quantity that isn't here is not compared."""

NOISE = frozenset({"noise", "hum", "residual", "crosstalk", "temperature"})


def _channel_groups(facts: Iterable[Fact]) -> Iterator[list[Fact]]:
    """Readings of one point in two channels or more, taken alike; a group with one channel tells nothing."""

    def point(fact: Fact) -> tuple[object, ...]:
        return (*fact.point.key[:3], fact.kind, fact.state.words, fact.against.casefold(), fact.point.role)

    for group in together((fact for fact in facts if fact.point.channel and not fact.state.swapped), point):
        if len({fact.point.channel for fact in group}) > 1:
            yield group


def _channels_differ(facts: Sequence[Fact]) -> Iterator[Hint]:
    for group in _channel_groups(facts):
        sound = [fact for fact in group if fact.good]
        for off in (fact for fact in group if fact.outside and sound):
            says = (
                f"{off.place} is off ({off.shown}) and channel {sound[0].point.channel} is right ({sound[0].shown}): stay in "
                f"channel {off.point.channel} and compare the two step by step."
            )
            then = "The same point one stage earlier in both channels, until they agree."
            yield Hint(says, (off, *sound), Target.CHANNEL, then)


def _channels_unlike(facts: Sequence[Fact]) -> Iterator[Hint]:
    for group in _channel_groups(facts):
        if any(fact.verdict is not Verdict.NONE for fact in group) or not _comparable(group[0]):
            continue
        ends = [fact for fact in group if fact.endless]
        rest = [fact for fact in group if not fact.endless]
        if ends and rest and group[0].kind in {Kind.RESISTANCE, Kind.INDUCTANCE}:
            says = (
                f"{ends[0].place} is open, and channel {rest[0].point.channel} reads {rest[0].shown}. "
                f"Look at channel {ends[0].point.channel}."
            )
            yield Hint(says, (*ends, *rest), Target.CHANNEL, "Once more at the part's own terminals.")
        elif not ends and (apart := _apart(rest)):
            low, high = min(rest, key=_amount), max(rest, key=_amount)
            says = (
                f"{low.where}: channel {low.point.channel} reads {low.shown} and channel {high.point.channel} {high.shown}, "
                f"{apart}. Find out which one is right, then compare the two step by step."
            )
            then = "Balance and level controls first, the same signal into both; then one stage earlier."
            yield Hint(says, (low, high), Target.CHANNEL, then)


def _comparable(fact: Fact) -> bool:
    """A DC offset, an idle current set by hand and noise have no equal on the other side."""
    if fact.point.role is Role.BIAS or NOISE & set(fact.where.casefold().replace(",", " ").split()):
        return False
    if fact.point.role is Role.OUTPUT and fact.kind is Kind.VOLTAGE_DC:
        return False
    return fact.kind in MEANS or fact.kind is Kind.LEVEL


def _amount(fact: Fact) -> Decimal:
    return fact.value if fact.kind is Kind.LEVEL else fact.size


def _apart(group: Sequence[Fact]) -> str:
    """How far two channels lie apart, in words; nothing where it is no more than two sound channels may."""
    low, high = min(map(_amount, group)), max(map(_amount, group))
    if group[0].kind is Kind.LEVEL:
        return f"{rounded(high - low, 2)} dB apart" if high - low >= LEVELS_APART else ""
    if high < MEANS[group[0].kind] or high - low <= high * CHANNELS_APART:
        return ""
    if not low:
        return "nothing on one side"
    times = high / low
    return (
        f"{rounded(times, 2)} times apart"
        if times >= 2
        else f"{rounded((high - low) / high * 100, 2)} % apart"
    )


def _channels_alike(facts: Sequence[Fact]) -> Iterator[Hint]:
    for group in _channel_groups(facts):
        if all(fact.outside for fact in group) and len({fact.verdict for fact in group}) == 1:
            says = (
                f"{group[0].where}: all channels are {group[0].verdict.label.lower()} alike. Look at what they share: the "
                "supply, a muting line, a control in front of both."
            )
            then = "The rails and the muting line; then the first point where the channels still are one."
            yield Hint(says, tuple(group), Target.COMMON, then)


# --- output and idle current ------------------------------------------------------------------------------------


def _dc_at_output(facts: Sequence[Fact]) -> Iterator[Hint]:
    gone = missing(facts)
    there = [rail for rail in rails(facts) if rail.present]
    for output in of(facts, Role.OUTPUT):
        state = output.state
        if output.kind is not Kind.VOLTAGE_DC or state.resting or state.swapped or not _is_offset(output):
            continue
        caution = "Keep loudspeakers off."
        if gone:
            says = f"{output.place}: DC at the output ({output.shown}), and {gone[0].where} is missing: that first. {caution}"
            yield Hint(says, (output, *gone), Target.SUPPLY, "The rails again, then the output.")
        else:
            with_rails = " with its rails present" if there else ""
            says = (
                f"{output.place}: DC at the output ({output.shown}){with_rails}. Look at the output devices and at the "
                f"stage that sets their middle. {caution}"
            )
            then = (
                "Output devices for shorts, unplugged and discharged; then base voltages and the input pair."
            )
            yield Hint(says, (output, *there), Target.OUTPUT_STAGE, then)


def _is_offset(fact: Fact) -> bool:
    return fact.outside or (fact.verdict is Verdict.NONE and fact.size > OFFSET_FAULT)


def _idle(facts: Iterable[Fact]) -> Iterator[list[Fact]]:
    """Idle currents place by place, in the order of reading."""
    measured = [
        fact
        for fact in of(facts, Role.BIAS)
        if not fact.endless and not fact.state.resting and fact.kind in {*VOLTAGES, Kind.CURRENT_DC}
    ]
    yield from together(measured, lambda fact: (fact.point.key, fact.kind))


def _idle_rising(facts: Sequence[Fact]) -> Iterator[Hint]:
    for group in _idle(facts):
        series = [fact for fact in group if fact.state.minutes is not None]
        if len(series) < 2 or group[-1] is not series[-1] or group[-1].good:
            continue
        sizes = [fact.size for fact in series]
        climbs = all(later > sooner for sooner, later in pairwise(sizes))
        times = [fact.state.minutes or Decimal(0) for fact in series]
        if (
            climbs
            and times == sorted(times)
            and sizes[-1] >= RUNS_AWAY * sizes[0]
            and sizes[-1] >= STILL_CLIMBS * sizes[-2]
            and sizes[-1] > LEAST_BIAS
        ):
            says = (
                f"{series[-1].place}: the idle current climbs while it warms, {series[0].shown} to {series[-1].shown}. "
                "Switch off before it runs away."
            )
            then = (
                "Cold, on a lamp or a current-limited supply: is the device that senses the heat fixed to the heatsink, "
                "and are the output devices sound?"
            )
            yield Hint(says, tuple(series), Target.OUTPUT_STAGE, then)


def _idle_high(facts: Sequence[Fact]) -> Iterator[Hint]:
    for group in _idle(facts):
        last = group[-1]
        limit = last.judgement.limit if last.judgement else None
        if last.verdict is Verdict.HIGH and limit and last.size >= FAR_OVER * abs(limit):
            says = (
                f"{last.place}: far more idle current than it should be ({last.shown}). Turn it down or switch off before "
                "the parts get hot; then find what sets it."
            )
            then = "The bias adjuster's wiper and the bias supply; then the output devices, unplugged and discharged."
            yield Hint(says, (last,), Target.OUTPUT_STAGE, then)


def _bias_one_side(facts: Sequence[Fact]) -> Iterator[Hint]:
    measured = [group[-1] for group in _idle(facts)]
    for group in together(
        measured, lambda fact: (fact.point.circuit, fact.point.part, fact.kind, fact.state.words)
    ):
        most = max(group, key=lambda fact: fact.size)
        without = [fact for fact in group if fact.size <= most.size * A_TENTH and not fact.good]
        if most.size >= LEAST_BIAS and without and (most.verdict is Verdict.NONE or not most.absent):
            says = (
                f"{without[0].place}: bias on one side only, {without[0].shown} here and {most.shown} at {most.place}. "
                "Look at the side without: its devices, their emitter resistors, its bias network."
            )
            then = "Base to emitter of both sides, live; then the emitter resistors, unplugged."
            yield Hint(says, (*without, most), Target.SIDE, then)


# --- swap test --------------------------------------------------------------------------------------------------


def _swap(facts: Sequence[Fact], *, follows: bool) -> Iterator[Hint]:
    """Pairs of channels read before and after a part changed places, in which the fault moved or stayed."""
    for group in together(facts, lambda fact: (*fact.point.key[:3], fact.kind)):
        before = {fact.point.channel: fact for fact in group if fact.point.channel and not fact.state.swapped}
        after = {fact.point.channel: fact for fact in group if fact.point.channel and fact.state.swapped}
        for bad, good in _bad_and_good(before):
            here, there = after.get(bad.point.channel), after.get(good.point.channel)
            if here is None or there is None:
                continue
            if follows and there.outside and here.good:
                says = f"{bad.where}: the fault went along to channel {good.point.channel} with the part. Look at the part."
                yield Hint(
                    says, (bad, good, here, there), Target.PART, "Swap back once: it must come back as well."
                )
            if not follows and here.outside and there.good:
                says = f"{bad.where}: the fault stayed in channel {bad.point.channel}. The part is sound; look around it."
                yield Hint(
                    says,
                    (bad, good, here, there),
                    Target.AROUND,
                    "What the part is fed from and what it feeds.",
                )


def _bad_and_good(before: dict[str, Fact]) -> Iterator[tuple[Fact, Fact]]:
    for bad in before.values():
        for good in before.values():
            if bad.outside and good.good:
                yield bad, good


def _swap_follows(facts: Sequence[Fact]) -> Iterator[Hint]:
    return _swap(facts, follows=True)


def _swap_stays(facts: Sequence[Fact]) -> Iterator[Hint]:
    return _swap(facts, follows=False)


RULES = (
    Rule("dc-at-output", "DC at the output", _dc_at_output,
         "A stage with one supply has half of it at its middle, before the capacitor: type what is expected."),
    Rule("idle-rising", "Idle current climbs", _idle_rising, "Somebody turned the adjuster up between the readings."),
    Rule("idle-high", "Far too much idle current", _idle_high,
         "The limit was for another class of operation, or a signal was on.",
         quieted_by=("idle-rising",)),
    Rule("bias-one-side", "Bias on one side only", _bias_one_side, "Only one side was switched on, or has its tube in."),
    Rule("channels-differ", "One channel off, the other right", _channels_differ, "The signal went into one channel only.",
         quieted_by=("swap-follows", "swap-stays")),
    Rule("channels-unlike", "Channels apart, nothing expected", _channels_unlike,
         "Balance, a level control, or a mono source.",
         quieted_by=("swap-follows", "swap-stays")),
    Rule("channels-alike", "All channels off alike", _channels_alike,
         "Two faults of the same age, such as two dried capacitors."),
    Rule("swap-follows", "The fault follows the part", _swap_follows,
         "Two things changed places at once."),
    Rule("swap-stays", "The fault stays in its place", _swap_stays, "The fault is in the socket that both parts met."),
)  # fmt: skip
