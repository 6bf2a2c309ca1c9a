"""One reading against what was expected: the verdict, how far off in decades, and one sentence of why.

Sources
    Too close to call: the limit lies within the meter's uncertainty of the reading, so that neither side can be
    asserted (decision rule with a guard band as wide as the uncertainty: JCGM 106:2012, from memory).
    Open and short (common practice, no source):
      * a resistance, ESR, inductance or diode drop that is over range where a finite value was expected is open, if
        the meter reaches past the expected limit; so is a resistance of 1000 times the highest expected or more;
      * a resistance of 1 Ω or less where at least 10 Ω was expected is short, as is one of a thousandth of the lowest
        expected or less; 1 Ω is about what leads and contacts add;
      * a diode test under 0.05 V where at least that was expected is short.
    A negative rail is judged by its amount: −12.6 V is low where −15 V ± 5 % was expected (common practice, no source).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum

from ..in_words import rounded
from ..meters import CalibrationState, Meter, MeterError, calibration, uncertainty
from ..quantities import Kind, Quantity, engineering
from .expected import SWAPPABLE, Expected, shown

DECADES_TO_OPEN = 3
LEADS_AND_CONTACTS = Decimal(1)
LEAST_FOR_A_SHORT = Decimal(10)
SHORTED_JUNCTION = Decimal("0.05")

_RESISTIVE = frozenset({Kind.RESISTANCE, Kind.ESR})
_OPEN_WHEN_OVER_RANGE = _RESISTIVE | {Kind.DIODE, Kind.INDUCTANCE}
_NO_RATIO = frozenset({Kind.LEVEL, Kind.TEMPERATURE})
_ZERO = Decimal(0)
_HUNDREDTH = Decimal("0.01")


class Verdict(StrEnum):
    """What a reading came to; the value is what a table of readings keeps."""

    NONE = ""
    WITHIN = "within"
    LOW = "low"
    HIGH = "high"
    OPEN = "open"
    SHORT = "short"
    TOO_CLOSE = "too_close"

    @property
    def label(self) -> str:
        """The verdict on a screen or a card."""
        return _LABELS[self]


_LABELS = {
    Verdict.NONE: "Nothing expected",
    Verdict.WITHIN: "Within",
    Verdict.LOW: "Low",
    Verdict.HIGH: "High",
    Verdict.OPEN: "Open",
    Verdict.SHORT: "Short",
    Verdict.TOO_CLOSE: "Too close to call",
}


class Incomparable(ValueError):
    """A reading was held against an expectation of another quantity."""


@dataclass(frozen=True, slots=True)
class Judgement:
    """What one reading came to.

    ``why``: one sentence. ``decades``: log10 of the reading over the nearest limit, positive above it and negative
    below, to 0.01; None where there is no ratio (zero, another sign, dB, temperature, over range). ``limit``: that
    limit, in the base unit and with its own sign. ``half_width``: the meter's uncertainty, None where no meter told.
    ``remarks``: what else must be said of it, such as an expired calibration.
    """

    verdict: Verdict
    why: str
    decades: Decimal | None = None
    limit: Decimal | None = None
    half_width: Decimal | None = None
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Case:
    """A reading and its limits turned so that more is always further up, whatever the sign of the rail."""

    value: Decimal
    low: Decimal | None
    high: Decimal | None
    turned: bool

    @classmethod
    def of(cls, value: Decimal, expected: Expected) -> _Case:
        if expected.either_sign:
            return cls(abs(value), None, expected.high, turned=value < 0)
        low, high = expected.low, expected.high
        if expected.kind in SWAPPABLE and low is not None and high is not None and high <= 0 and low < 0:
            return cls(-value, -high, -low, turned=True)
        return cls(value, expected.low, expected.high, turned=False)

    def back(self, limit: Decimal) -> Decimal:
        """A limit with the sign it was typed with."""
        return -limit if self.turned else limit

    def decades_from(self, limit: Decimal) -> Decimal | None:
        """log10 of the value over this limit, where both are above zero."""
        if limit <= 0 or self.value <= 0:
            return None
        return (self.value / limit).log10()

    def nearest(self) -> Decimal:
        """The limit nearest to the value: by their ratio, or by their difference where there is no ratio."""
        limits = [limit for limit in (self.low, self.high) if limit is not None]
        if self.value > 0 and all(limit > 0 for limit in limits):
            return min(limits, key=lambda limit: max(self.value / limit, limit / self.value))
        return min(limits, key=lambda limit: abs(self.value - limit))


def judge(
    reading: Quantity,
    expected: Expected | None,
    meter: Meter | None = None,
    *,
    condition: str = "",
    on: date | None = None,
    full_scale: Decimal | None = None,
) -> Judgement:
    """Hold one reading against what was expected.

    ``meter``: which meter it was read on, so that its uncertainty counts; ``full_scale``: the range set by hand;
    ``on``: the day of the reading, for the calibration; ``condition``: how it was taken, repeated in the sentence.
    Raises Incomparable where reading and expectation are of different units.
    """
    told = f" ({condition})" if condition else ""
    if expected is None:
        size = "Over range" if reading.value.is_infinite() else shown(reading.value, reading.unit)
        return Judgement(Verdict.NONE, f"{size}{told}: nothing is expected here.")
    if reading.unit != expected.unit:
        raise Incomparable(f"A reading in {reading.unit or 'hFE'} can't be held against {expected}.")
    half_width, remarks = _worth(reading, expected, meter, full_scale)
    if meter and on and (state := calibration(meter, on)).state is CalibrationState.EXPIRED:
        remarks += (state.sentence,)
    if reading.over_range:
        verdict, why = _over_range(reading, expected, meter)
        return Judgement(verdict, f"{why}{told}.", remarks=remarks)
    if expected.no_path:
        verdict = _where_no_path_is(reading, expected.kind)
        why = f"{shown(reading.value, reading.unit)} where no path is expected{told}."
        return Judgement(verdict, why, half_width=half_width, remarks=remarks)
    judged = _against_limits(reading, expected, half_width)
    return replace(judged, why=f"{judged.why}{told}.", remarks=remarks)


def _against_limits(reading: Quantity, expected: Expected, half_width: Decimal | None) -> Judgement:
    """A reading with a known value against limits; the sentence still lacks its condition and its full stop."""
    case = _Case.of(reading.value, expected)
    verdict = _verdict(case, expected.kind, half_width or _ZERO)
    limit = case.nearest()
    decades = None if expected.kind in _NO_RATIO else case.decades_from(limit)
    return Judgement(
        verdict,
        _why(verdict, case, limit, reading, expected, half_width),
        decades=None if decades is None else decades.quantize(_HUNDREDTH, ROUND_HALF_UP) + _ZERO,
        limit=case.back(limit),
        half_width=half_width,
    )


def _worth(
    reading: Quantity, expected: Expected, meter: Meter | None, full_scale: Decimal | None
) -> tuple[Decimal | None, tuple[str, ...]]:
    """The meter's uncertainty at this reading, and a remark where it can't tell."""
    if meter is None or reading.over_range:
        return None, ()
    try:
        return uncertainty(meter, reading, expected.kind, full_scale=full_scale).half_width, ()
    except MeterError as refusal:
        return None, (str(refusal),)


# --- the verdict ------------------------------------------------------------------------------------------------


def _verdict(case: _Case, kind: Kind, half_width: Decimal) -> Verdict:
    """Each verdict but too close is asserted only where the whole of the uncertainty lies on its side."""
    least, most = case.value - half_width, case.value + half_width
    if kind in _RESISTIVE and case.high is not None and least >= case.high.scaleb(DECADES_TO_OPEN) > 0:
        return Verdict.OPEN
    if case.low is not None and _is_short(most, case.low, kind):
        return Verdict.SHORT
    if case.low is not None and most < case.low:
        return Verdict.LOW
    if case.high is not None and least > case.high:
        return Verdict.HIGH
    inside = (case.low is None or least >= case.low) and (case.high is None or most <= case.high)
    return Verdict.WITHIN if inside else Verdict.TOO_CLOSE


def _is_short(value: Decimal, low: Decimal, kind: Kind) -> bool:
    if kind is Kind.DIODE:
        return abs(value) < SHORTED_JUNCTION <= low
    if kind is not Kind.RESISTANCE or value < 0:
        return False
    next_to_nothing = value <= LEADS_AND_CONTACTS and low >= LEAST_FOR_A_SHORT
    return next_to_nothing or value.scaleb(DECADES_TO_OPEN) <= low


def _where_no_path_is(reading: Quantity, kind: Kind) -> Verdict:
    next_to_nothing = SHORTED_JUNCTION if kind is Kind.DIODE else LEADS_AND_CONTACTS
    return Verdict.SHORT if abs(reading.value) <= next_to_nothing else Verdict.LOW


def _over_range(reading: Quantity, expected: Expected, meter: Meter | None) -> tuple[Verdict, str]:
    """A reading of which only a lower bound is known: what was typed (``>200 MΩ``), or how far the meter reaches."""
    if expected.no_path:
        return Verdict.WITHIN, "Over range, and no path is expected"
    case = _Case.of(reading.value, expected)
    if case.value < 0:
        return (Verdict.LOW if case.low is not None else Verdict.WITHIN), f"Over range below {expected}"
    bound = reading.known
    if bound is None and meter is not None:
        bound = meter.reaches(expected.kind)
    if case.high is None:
        return _over_a_low_limit(case, expected, bound)
    if bound is not None and abs(bound) < case.high:
        return Verdict.TOO_CLOSE, (
            f"The meter stops at {shown(bound, expected.unit)}, and {expected} is expected: use one that reaches further"
        )
    if expected.kind in _OPEN_WHEN_OVER_RANGE:
        return Verdict.OPEN, f"Over range where {expected} is expected: open"
    return Verdict.HIGH, f"Over range where {expected} is expected"


def _over_a_low_limit(case: _Case, expected: Expected, bound: Decimal | None) -> tuple[Verdict, str]:
    if bound is None:
        return (
            Verdict.TOO_CLOSE,
            f"Over range tells only that the meter stops: say which meter, for {expected}",
        )
    reach = shown(bound, expected.unit)
    if case.low is not None and abs(bound) >= case.low:
        return Verdict.WITHIN, f"More than {reach}, and {expected} is expected"
    return (
        Verdict.TOO_CLOSE,
        f"The meter stops at {reach}, and {expected} is expected: use one that reaches further",
    )


# --- the sentence -----------------------------------------------------------------------------------------------


def _why(
    verdict: Verdict,
    case: _Case,
    limit: Decimal,
    reading: Quantity,
    expected: Expected,
    half_width: Decimal | None,
) -> str:
    size = shown(reading.value, reading.unit)
    worth = engineering(half_width or _ZERO, reading.unit, 2)
    edge = shown(case.back(limit), expected.unit)
    if verdict is Verdict.WITHIN:
        return f"{size} is within what is expected, {expected}"
    if verdict is Verdict.TOO_CLOSE:
        return f"{size} is too close to {edge} to call: the meter is good to ±{worth}"
    if verdict is Verdict.OPEN:
        return f"{size} where {expected} is expected: open"
    if verdict is Verdict.SHORT:
        return f"{size} where {expected} is expected: short"
    if _other_polarity(case, expected):
        return f"{size} where {_wanted(expected)} is expected: the other polarity, so the leads first"
    return f"{size} is {_how_far(verdict, case, limit, expected)}: {_wanted(expected)} is expected"


def _wanted(expected: Expected) -> str:
    """What is expected as it was typed, its unit added where that was left out; in words where nothing was typed."""
    typed = re.sub(r"(?:^|(?<=\s))-(?=\d)", "−", " ".join(expected.typed.split()).rstrip("."))
    if not typed:
        return str(expected)
    if not expected.unit or _WITH_UNIT(typed) or (expected.kind is Kind.PERCENT and "%" in typed):
        return typed
    nominal, sign, rest = typed.partition(" ±")
    return f"{nominal} {expected.unit}{sign}{rest}" if sign else f"{typed} {expected.unit}"


_WITH_UNIT = re.compile(r"\d\s*(?!(?:to|and|at)\b)[^\W\d_]|\d\s*[°Ω]").search


def _other_polarity(case: _Case, expected: Expected) -> bool:
    """Whether the amount would do, with its sign the other way round."""
    one_sided = case.low is not None and case.low > 0 and expected.kind in SWAPPABLE
    return one_sided and case.value < 0 and case.low is not None and -case.value >= case.low * _A_FIFTH


_A_FIFTH = Decimal("0.2")
TWICE = Decimal(2)
FAR = Decimal(10)


def _how_far(verdict: Verdict, case: _Case, limit: Decimal, expected: Expected) -> str:
    """How far outside, as one would say it: a difference, percent up to twice, times above that, far below a tenth."""
    side = "too low" if verdict is Verdict.LOW else "too high"
    if expected.kind is Kind.PERCENT:
        return side
    decades = None if expected.kind in _NO_RATIO else case.decades_from(limit)
    if decades is None:
        return f"{shown(_rounded(abs(case.value - limit)), expected.unit)} {side}"
    if verdict is Verdict.LOW and case.value * FAR <= limit:
        return "far too low"
    if case.value >= limit * TWICE:
        return f"{rounded(case.value / limit, 2)} times the most"
    return f"{rounded(abs(case.value - limit) / limit * 100, 2)} % {side}"


def _rounded(value: Decimal) -> Decimal:
    """Two digits are enough of a distance."""
    return Decimal(f"{value:.2g}") if value else value
