"""From stints to what the labour costs: billable time by kind of work, rounded once per job, flat prices, a minimum.

Sources
    Rounding to tenths or quarters of an hour, upward, and a minimum charge: common practice, no source; the shop's own
    rule. EN 16931: a line's net amount is quantity x net price (BT-129, BT-146, BT-131), so the hours that are billed
    are the hours that are printed, in thousandths.
    When a stint counts as forgotten (still running, or longer than six hours): common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from shop.handbook.money import Money, UnitPrice, round_half_up

LONG_STINT = timedelta(hours=6)
SECONDS_AN_HOUR = 3600


class LabourError(ValueError):
    """Labour that can't be priced; the message is one sentence for the person."""


class Billing(StrEnum):
    """Whether a stint is charged."""

    BILLED = "billed"
    UNBILLED = "unbilled"
    WARRANTY = "warranty"


class Rounding(StrEnum):
    """How the hours of a whole job are rounded: not at all, or up to the next tenth or quarter."""

    EXACT = "exact"
    TENTHS = "tenths"
    QUARTERS = "quarters"

    @property
    def step(self) -> int:
        """The step in thousandths of an hour."""
        return {Rounding.EXACT: 1, Rounding.TENTHS: 100, Rounding.QUARTERS: 250}[self]


@dataclass(frozen=True, slots=True)
class Stint:
    """One stretch of bench time. ``key`` names it in notices; ``person`` is whoever worked; no stop: still running."""

    key: str
    person: str
    kind: str
    started: datetime
    stopped: datetime | None
    billing: Billing = Billing.BILLED

    def __post_init__(self) -> None:
        if self.stopped is not None and self.stopped < self.started:
            raise LabourError("A stint can't stop before it starts.")

    @property
    def seconds(self) -> int:
        """Whole seconds worked; none while it is running."""
        return 0 if self.stopped is None else int((self.stopped - self.started).total_seconds())


@dataclass(frozen=True, slots=True)
class FlatPrice:
    """A fixed price for common work; it stands for all the time spent on the kinds of work that it covers."""

    name: str
    price: Money
    covers: frozenset[str] = frozenset()


class Trouble(StrEnum):
    """What may be wrong with a stint."""

    RUNNING = "running"
    LONG = "long"
    OVERLAP = "overlap"
    EMPTY = "empty"


@dataclass(frozen=True, slots=True)
class Notice:
    """A fact about one stint, or two of them, for a person to look at. Nothing is mended."""

    trouble: Trouble
    keys: tuple[str, ...]
    seconds: int
    sentence: str


@dataclass(frozen=True, slots=True)
class LabourLine:
    """The hours of one kind of work: seconds worked, thousandths of an hour billed, rate and amount."""

    kind: str
    seconds: int
    quantity_thousandths: int
    rate: UnitPrice
    amount: Money


@dataclass(frozen=True, slots=True)
class LabourBill:
    """What the labour on one job comes to. ``top_up`` fills it up to the minimum charge."""

    lines: tuple[LabourLine, ...]
    flats: tuple[FlatPrice, ...]
    top_up: Money
    total: Money
    billed_seconds: int
    flat_seconds: int
    unbilled_seconds: int
    warranty_seconds: int


def bill_labour(
    stints: Sequence[Stint],
    *,
    rates: Mapping[str, UnitPrice],
    currency: str,
    rounding: Rounding = Rounding.TENTHS,
    flats: Sequence[FlatPrice] = (),
    minimum: Money | None = None,
) -> LabourBill:
    """Price the stints of one job. Running stints count for nothing yet; struck-out ones are not handed in.

    The hours are rounded once for the job and then shared out over the kinds of work by largest remainders, so that
    their sum is the rounded whole; a kind whose share is nothing has no line. The minimum holds as soon as anything is
    billed. Raises LabourError when a kind of work has no rate.
    """
    covered = frozenset[str]().union(*(flat.covers for flat in flats))
    spent = _seconds(stints, covered)
    by_kind: dict[str, int] = {}
    for stint in stints:
        if stint.billing is Billing.BILLED and stint.kind not in covered and stint.seconds:
            by_kind[stint.kind] = by_kind.get(stint.kind, 0) + stint.seconds
    quantities = _rounded_hours(list(by_kind.values()), rounding.step)
    lines = tuple(
        _line(kind, seconds, quantity, rates)
        for (kind, seconds), quantity in zip(by_kind.items(), quantities, strict=True)
        if quantity
    )
    worked = Money.sum([*(line.amount for line in lines), *(flat.price for flat in flats)], currency)
    top_up = Money.zero(currency)
    if minimum is not None and (lines or flats) and worked < minimum:
        top_up = minimum - worked
    return LabourBill(lines, tuple(flats), top_up, worked + top_up, *spent)


def notice(
    stints: Sequence[Stint], *, now: datetime, long_stint: timedelta = LONG_STINT
) -> tuple[Notice, ...]:
    """What looks wrong: stints still running, very long ones, empty ones, and two of one person at the same time.

    A running stint is taken to last until ``now`` in this. In order of their start.
    """
    found = []
    ordered = sorted(stints, key=lambda stint: stint.started)
    for place, stint in enumerate(ordered):
        found += _alone(stint, now, long_stint)
        for other in ordered[place + 1 :]:
            if other.started >= (stint.stopped or now):
                break
            shared = _shared_seconds(stint, other, now)
            if shared:
                sentence = f"Two stints of one person lie over each other for {_spoken(shared)}."
                found.append(Notice(Trouble.OVERLAP, (stint.key, other.key), shared, sentence))
    return tuple(found)


def _seconds(stints: Sequence[Stint], covered: frozenset[str]) -> tuple[int, int, int, int]:
    """Seconds billed by the hour, covered by a flat price, unbilled, and under warranty."""
    billed = flat = unbilled = warranty = 0
    for stint in stints:
        match stint.billing:
            case Billing.UNBILLED:
                unbilled += stint.seconds
            case Billing.WARRANTY:
                warranty += stint.seconds
            case _ if stint.kind in covered:
                flat += stint.seconds
            case _:
                billed += stint.seconds
    return billed, flat, unbilled, warranty


def _line(kind: str, seconds: int, quantity: int, rates: Mapping[str, UnitPrice]) -> LabourLine:
    if kind not in rates:
        raise LabourError(f"There is no hourly rate for {kind}.")
    return LabourLine(kind, seconds, quantity, rates[kind], rates[kind].times(quantity))


def _rounded_hours(seconds: Sequence[int], step: int) -> list[int]:
    """Thousandths of an hour for each kind of work; their sum is the job's time rounded to the step.

    Steps of a tenth or a quarter go upward; the thousandth itself goes to the nearest.
    """
    unit = step * SECONDS_AN_HOUR
    whole = sum(seconds) * 1000
    steps = round_half_up(whole, unit) if step == 1 else -(-whole // unit)
    shares = [divmod(each * 1000, unit) for each in seconds]
    counts = [count for count, _ in shares]
    by_remainder = sorted(range(len(counts)), key=lambda place: -shares[place][1])
    for place in by_remainder[: steps - sum(counts)]:
        counts[place] += 1
    return [count * step for count in counts]


def _alone(stint: Stint, now: datetime, long_stint: timedelta) -> list[Notice]:
    """What is odd about one stint by itself."""
    lasted = int(((stint.stopped or now) - stint.started).total_seconds())
    if stint.stopped is None:
        return [
            Notice(Trouble.RUNNING, (stint.key,), lasted, f"A stint has been running for {_spoken(lasted)}.")
        ]
    if stint.stopped == stint.started:
        return [Notice(Trouble.EMPTY, (stint.key,), 0, "A stint stopped in the second it started.")]
    if stint.stopped - stint.started > long_stint:
        return [
            Notice(
                Trouble.LONG,
                (stint.key,),
                lasted,
                f"A stint lasted {_spoken(lasted)}: was the stop forgotten?",
            )
        ]
    return []


def _shared_seconds(one: Stint, other: Stint, now: datetime) -> int:
    """How long two stints of one person lie over each other."""
    if one.person != other.person:
        return 0
    ends = min(one.stopped or now, other.stopped or now)
    return max(0, int((ends - max(one.started, other.started)).total_seconds()))


def _spoken(seconds: int) -> str:
    hours, minutes = divmod(round_half_up(seconds, 60), 60)
    return f"{hours} h {minutes:02d} min" if hours else f"{minutes} min"
