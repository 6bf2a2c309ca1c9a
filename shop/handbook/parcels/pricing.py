"""What a carrier charges for: dimensional weight, size limits and surcharges, as rules with a date and a source.

Carriers change these every year: read them as aids, check the tariff, and hand in the shop's own rules where they
differ. ``from_memory`` marks a figure that wasn't looked up.

Sources
    Divisor 139, each side rounded up to the next whole inch, from 18 August 2025 (before: to the nearest) at the two
    large private carriers of the United States; 166 at their counters: jaygroup.com, parcelindustry.com, atlanticpkg.com.
    Post of the United States: 166 from 23 June 2019 over one cubic foot (formaxdirect.com, postaladvocate.com), sides to
    the nearest inch (DMM 604.7); 139 and rounding up from 12 July 2026 (thelogisticnews.com, one trade article). Before
    2019 a divisor of 194 held for far zones only; it isn't listed.
    Metric express 5000 cm3/kg: ups.com/ca. Air cargo 6000 cm3/kg: from memory.
    Length plus girth of 108 in: cns.usps.com. Sides over 48 and 30 in: jaygroup.com. Cubic volume instead of length plus
    girth for surcharges, 8640 in3: idrivelogistics.com. Fee over 22 in or one cubic foot: Postal Bulletin 22700.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from typing import Literal

from shop.handbook.parcels.measures import ParcelError, Size, SizeUnit, Weight, WeightUnit, plain

Rounding = Literal["up", "nearest", "none"]

GROUPS: dict[str, str] = {
    "us-private": "large private carriers of the United States, daily rates",
    "us-private-counter": "large private carriers of the United States, paid at the counter",
    "us-post": "post of the United States",
    "metric-express": "express carriers, metric",
    "air-cargo": "air cargo",
}

CUBIC_FOOT = Decimal(1728)


@dataclass(frozen=True, slots=True)
class DimRule:
    """How one group of carriers turns size into weight from a day on; ``since`` None means as far back as is known.

    ``divisor`` is volume per unit of weight; ``weight_step`` is what a weight is rounded up to, None for not at all;
    ``over_volume`` is the volume that must be exceeded for the rule to apply.
    """

    group: str
    since: date | None
    divisor: Decimal
    size_unit: SizeUnit
    weight_unit: WeightUnit
    sides: Rounding
    weight_step: Decimal | None
    source: str
    over_volume: Decimal | None = None
    from_memory: bool = False


def _inches(
    group: str,
    since: date | None,
    divisor: int,
    sides: Rounding,
    source: str,
    over_volume: Decimal | None = None,
    *,
    from_memory: bool = False,
) -> DimRule:
    return DimRule(
        group,
        since,
        Decimal(divisor),
        "in",
        "lb",
        sides,
        Decimal(1),
        source,
        over_volume,
        from_memory=from_memory,
    )


DIM_RULES: tuple[DimRule, ...] = (
    _inches("us-private", None, 139, "nearest", "rounding before August 2025: ups.com/ca, older page"),
    _inches("us-private", date(2025, 8, 18), 139, "up", "jaygroup.com; parcelindustry.com; atlanticpkg.com"),
    _inches("us-private-counter", None, 166, "nearest", "check the tariff", from_memory=True),
    _inches("us-private-counter", date(2025, 8, 18), 166, "up", "jaygroup.com; parcelindustry.com"),
    _inches(
        "us-post", date(2019, 6, 23), 166, "nearest", "formaxdirect.com, June 2019; DMM 604.7", CUBIC_FOOT
    ),
    _inches(
        "us-post", date(2026, 7, 12), 139, "up", "thelogisticnews.com, notice of 11 May 2026", CUBIC_FOOT
    ),
    DimRule("metric-express", None, Decimal(5000), "cm", "kg", "none", None, "ups.com/ca"),
    DimRule("air-cargo", None, Decimal(6000), "cm", "kg", "none", None, "check the tariff", from_memory=True),
)


@dataclass(frozen=True, slots=True)
class Billable:
    """The weight that is paid for, how it came about, and the sentence that says so.

    ``dimensional`` is None where the rule doesn't apply because the parcel is small.
    """

    rounded: Size
    volume: Decimal
    dimensional: Weight | None
    actual: Weight
    billed: Weight
    why: str


def dim_rule(group: str, on: date, rules: Iterable[DimRule] = DIM_RULES) -> DimRule:
    """The rule of a group of carriers on a day: the newest that has begun. Raises ParcelError when there is none."""
    begun = [rule for rule in rules if rule.group == group and (rule.since is None or rule.since <= on)]
    if not begun:
        raise ParcelError(f"There is no rule for “{group[:40]}” on {on.isoformat()}: write the tariff's own.")
    return max(begun, key=lambda rule: rule.since or date.min)


def billable(size: Size, weight: Weight, rule: DimRule) -> Billable:
    """The weight that a parcel is charged for under a rule: the larger of actual and dimensional weight."""
    given = size.to(rule.size_unit)
    rounded = given.each(lambda side: _rounded(side, rule.sides))
    actual = Weight(_stepped(weight.to(rule.weight_unit).value, rule.weight_step), rule.weight_unit)
    if rule.over_volume is not None and rounded.volume <= rule.over_volume:
        why = f"Charged by actual weight: {plain(rounded.volume)} {rule.size_unit}³ is not over the size that counts."
        return Billable(rounded, rounded.volume, None, actual, actual, why)
    light = Weight(_stepped(rounded.volume / rule.divisor, rule.weight_step), rule.weight_unit)
    billed, by = (light, "size") if light.value > actual.value else (actual, "actual weight")
    why = (
        f"Charged by {by}: {rounded} is {plain(rounded.volume)} {rule.size_unit}³, divided by {plain(rule.divisor)} "
        f"makes {light}, against {actual} on the scale."
    )
    return Billable(rounded, rounded.volume, light, actual, billed, why)


def _rounded(side: Decimal, rounding: Rounding) -> Decimal:
    """A side in whole units; half goes up when it goes to the nearest, and no side vanishes."""
    if rounding == "none":
        return side
    mode = ROUND_CEILING if rounding == "up" else ROUND_HALF_UP
    return max(side.quantize(Decimal(1), mode), Decimal(1))


def _stepped(value: Decimal, step: Decimal | None) -> Decimal:
    if step is None:
        return value
    return (value / step).quantize(Decimal(1), ROUND_CEILING) * step


# Limits and surcharges -----------------------------------------------------------------------------------------------

Measure = Literal["longest side", "second side", "length plus girth", "volume", "weight"]
Consequence = Literal["not carried", "oversize price", "surcharge"]


@dataclass(frozen=True, slots=True)
class SizeRule:
    """What follows when one measure of a parcel is above a limit, in inches, cubic inches or pounds, from a day on."""

    group: str
    since: date | None
    measure: Measure
    limit: Decimal
    consequence: Consequence
    source: str
    from_memory: bool = False


def _limit(
    group: str,
    measure: Measure,
    limit: int,
    consequence: Consequence,
    source: str = "",
    since: date | None = None,
) -> SizeRule:
    return SizeRule(
        group, since, measure, Decimal(limit), consequence, source or "check the tariff", not source
    )


_CUBIC_SURCHARGES = date(2025, 8, 17)

SIZE_RULES: tuple[SizeRule, ...] = (
    _limit("us-post", "length plus girth", 108, "oversize price", "cns.usps.com"),
    _limit("us-post", "length plus girth", 130, "not carried"),
    _limit("us-post", "weight", 70, "not carried"),
    _limit("us-post", "longest side", 22, "surcharge", "Postal Bulletin 22700"),
    _limit("us-post", "volume", 1728, "surcharge", "Postal Bulletin 22700"),
    _limit("us-private", "length plus girth", 165, "not carried"),
    _limit("us-private", "longest side", 108, "not carried"),
    _limit("us-private", "weight", 150, "not carried"),
    _limit("us-private", "longest side", 48, "surcharge", "jaygroup.com"),
    _limit("us-private", "second side", 30, "surcharge", "jaygroup.com"),
    _limit("us-private", "volume", 8640, "surcharge", "idrivelogistics.com", _CUBIC_SURCHARGES),
    _limit("us-private", "volume", 10_368, "surcharge", "", _CUBIC_SURCHARGES),
    _limit("us-private", "volume", 17_280, "oversize price", "", _CUBIC_SURCHARGES),
)


def rules_met(
    size: Size, weight: Weight, group: str, on: date, rules: Iterable[SizeRule] = SIZE_RULES
) -> tuple[SizeRule, ...]:
    """The limits of a group of carriers that a parcel goes beyond on a day; a measure at its limit is within it.

    What is paid at the counter has the limits of the same carriers.
    """
    groups = {group, group.removesuffix("-counter")}
    inches = size.to("in")
    longest, second, _ = inches.sides
    measured: dict[Measure, Decimal] = {
        "longest side": longest,
        "second side": second,
        "length plus girth": inches.length_plus_girth,
        "volume": inches.volume,
        "weight": weight.to("lb").value,
    }
    return tuple(
        rule
        for rule in rules
        if rule.group in groups
        and (rule.since is None or rule.since <= on)
        and measured[rule.measure] > rule.limit
    )
