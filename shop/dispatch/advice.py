"""What the handbook says of a parcel: board, girth, fall, charged weight, address, lithium, cautions."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from shop.counter.models import Job, Kind
from shop.dispatch import measures
from shop.dispatch.measures import GRAMS_PER_POUND
from shop.dispatch.models import Box, Carrier, CarrierRule, Parcel
from shop.frame import spelling
from shop.frame.models import Measures
from shop.frame.profile import the_profile
from shop.handbook import parcels
from shop.handbook.addresses import hints
from shop.handbook.parcels import BoxGrade, Size, Weight
from shop.handbook.parcels.cautions import MARK_MILLIMETRES
from shop.handbook.parcels.pricing import Rounding

_KINDS: dict[str, parcels.Trait] = {
    Kind.TURNTABLE: parcels.Trait.TURNTABLE,
    Kind.TAPE_DECK: parcels.Trait.TAPE,
    Kind.TELEVISION: parcels.Trait.GLASS,
}
_TRAITS = {
    "tube": parcels.Trait.TUBES,
    "crt": parcels.Trait.GLASS,
    "heavy": parcels.Trait.TRANSFORMER,
    "lithium": parcels.Trait.LITHIUM,
}
_ROUNDINGS: dict[str, Rounding] = {"up": "up", "nearest": "nearest", "none": "none"}
TENTH, HUNDREDTH = Decimal("0.1"), Decimal("0.01")
"""24 in are kept as 610 mm, which is 24.016 in, and a carrier that rounds up would charge for 25: what was kept in whole
millimetres and grams is read back no finer than a tape and a scale show it."""


@dataclass(frozen=True, slots=True)
class Advice:
    """One line of advice: what it is about, what it says, and whether it is a warning."""

    about: str
    says: str
    warns: bool = False


def advice_for(parcel: Parcel, jobs: Iterable[Job], *, on: dt.date) -> list[Advice]:
    """Everything that is to be said of a parcel before it leaves, in the order of packing."""
    size, weight = size_of(parcel), weight_of(parcel)
    lines = board(size, weight, box=parcel.box, double_boxed=parcel.double_boxed)
    lines += [*lithium(parcel), *girth(size), *fall(weight)]
    lines += charged(size, weight, [parcel.carrier] if parcel.carrier else carriers_in_use(), on=on)
    lines += [
        Advice("Address", hint) for hint in hints(parcel.address, parcel.country, the_profile().country)
    ]
    return lines


def cautions_for(jobs: Iterable[Job], weight: Weight) -> list[str]:
    """What to see to while packing these units, in the order in which it is done."""
    jobs = list(jobs)
    traits = {_KINDS[job.unit.model.kind] for job in jobs if job.unit.model.kind in _KINDS}
    traits |= {_TRAITS[trait] for job in jobs for trait in job.unit.model.traits if trait in _TRAITS}
    if any(job.unit.mains for job in jobs):
        traits.add(parcels.Trait.MAINS_LEAD)
    return [caution.text for caution in parcels.packing_cautions(traits, weight)]


def carriers_in_use() -> list[Carrier]:
    """The carriers to choose from, by name."""
    return list(Carrier.objects.filter(retired_at=None).order_by("name")[:12])


def size_of(parcel: Parcel) -> Size:
    """The parcel's outside in the shop's measure."""
    return in_shop_measure((parcel.length_mm, parcel.width_mm, parcel.height_mm))


def in_shop_measure(sides_mm: tuple[int, int, int]) -> Size:
    """Three sides in millimetres as a size in the shop's measure."""
    length, width, height = (Decimal(mm) / 10 for mm in sides_mm)
    size = Size(length, width, height, "cm")
    if the_profile().measures != Measures.IMPERIAL:
        return size
    return size.to("in").each(lambda side: side.quantize(TENTH, ROUND_HALF_UP))


def weight_of(parcel: Parcel) -> Weight:
    """The parcel's weight in the shop's measure."""
    if the_profile().measures == Measures.IMPERIAL:
        pounds = Decimal(parcel.weight_grams) / GRAMS_PER_POUND
        return Weight(max(pounds.quantize(HUNDREDTH, ROUND_HALF_UP), HUNDREDTH), "lb")
    return Weight(Decimal(parcel.weight_grams) / 1000, "kg")


def board(size: Size, weight: Weight, *, box: Box | None = None, double_boxed: bool = False) -> list[Advice]:
    """What board carries that weight in that size, and whether the chosen box is of it."""
    grade = parcels.box_grade(weight, size, "single") or parcels.box_grade(weight, size, "double")
    if grade is None:
        return [
            Advice(
                "Board",
                "No corrugated box is made for this size and weight: use a crate or a pallet.",
                warns=True,
            )
        ]
    from_weight = measures.by_measure("20 lb", "9 kg")
    hint = "" if double_boxed else f" A box in a box is safer for anything fragile or from {from_weight} on."
    advised = parcels.advised_edge_crush(weight)
    counters = (
        f" Shippers’ counters advise {measures.edge_crush(advised)} for a single parcel." if advised else ""
    )
    lines = [
        Advice(
            "Board",
            f"{grade.wall.capitalize()} wall with a maker’s stamp of at least {_needs(grade)} "
            f"(Rule 41 / Item 222).{counters}{hint}",
        )
    ]
    return [*lines, *_stamp(box, weight, size)] if box is not None else lines


def _stamp(box: Box, weight: Weight, size: Size) -> list[Advice]:
    wall = "double" if box.wall == "double" else "single"
    needed = parcels.box_grade(weight, size, "double" if wall == "double" else "single")
    if needed is None:
        return [Advice("This box", f"No {wall} wall is made for that: take a stronger box.", warns=True)]
    if box.ect is None and box.burst is None:
        return [Advice("This box", f"Look at the stamp on “{box}”: it needs {_needs(needed)}.")]
    strong = (box.ect or 0) >= needed.edge_crush or (box.burst or 0) >= needed.burst
    stamped = measures.edge_crush(box.ect) if box.ect else measures.burst(box.burst or 0)
    if strong:
        return [Advice("This box", f"“{box}”, stamped {stamped}, carries it.")]
    return [
        Advice("This box", f"“{box}” is stamped {stamped}; this parcel needs {_needs(needed)}.", warns=True)
    ]


def _needs(grade: BoxGrade) -> str:
    return f"{measures.edge_crush(grade.edge_crush)} edge crush or {measures.burst(grade.burst)} burst"


def lithium(parcel: Parcel) -> list[Advice]:
    """What lies inside, and the mark on the box."""
    if not parcel.lithium:
        return []
    if not parcel.lithium_needs_mark:
        return [Advice("Lithium", f"{parcel.lithium}.")]
    (wide, high), (least_wide, least_high) = MARK_MILLIMETRES
    return [
        Advice(
            "Lithium",
            f"{parcel.lithium}. The box needs the lithium mark: red hatched edge, {wide} × {high} mm, "
            f"on a small box {least_wide} × {least_high} mm.",
            warns=True,
        )
    ]


def girth(size: Size) -> list[Advice]:
    """Length and girth together: what postal limits are written in."""
    return [
        Advice("Size", f"Length and girth together: {spelling.tenths(size.length_plus_girth)} {size.unit}.")
    ]


def fall(weight: Weight) -> list[Advice]:
    """How far the parcel must be able to fall."""
    try:
        drop = parcels.drop_height(weight)
    except parcels.ParcelError as error:
        return [Advice("Handling", str(error), warns=True)]
    height = f"{drop.inches} in" if the_profile().measures == Measures.IMPERIAL else f"{drop.millimetres} mm"
    return [Advice("Handling", f"At this weight it must stand a fall of {height} on every corner (ISTA 1A).")]


def charged(size: Size, weight: Weight, carriers: Sequence[Carrier], *, on: dt.date) -> list[Advice]:
    """What each carrier charges for by the shop's own table of that day, and what is over its limits."""
    rules: dict[int, CarrierRule] = {}
    begun = CarrierRule.objects.filter(carrier__in=carriers, from_date__lte=on).order_by("from_date")
    for rule in begun:
        rules[rule.carrier_id] = rule
    lines: list[Advice] = []
    for carrier in carriers:
        if carrier.pk in rules:
            lines += _by_rule(carrier, rules[carrier.pk], size, weight)
    return lines


def _by_rule(carrier: Carrier, rule: CarrierRule, size: Size, weight: Weight) -> list[Advice]:
    billed = parcels.billable(size, weight, dim_rule_of(rule))
    price = _price(rule, billed.billed.value)
    lines = [Advice(f"{carrier}", f"{billed.why}{price}")]
    metric = rule.units == "cm_kg"
    given, heavy = size.to("cm" if metric else "in"), weight.to("kg" if metric else "lb")
    for limit, value, what, unit in (
        (rule.max_length, given.sides[0], "longest side", given.unit),
        (rule.max_length_girth, given.length_plus_girth, "length and girth", given.unit),
        (rule.max_weight, heavy.value, "weight", heavy.unit),
    ):
        if limit is not None and value > limit:
            lines.append(
                Advice(
                    f"{carrier}",
                    f"Too big: the {what} of {spelling.tenths(value)} {unit} is over this carrier’s "
                    f"{spelling.tenths(limit)} {unit}.",
                    warns=True,
                )
            )
    return lines


def dim_rule_of(rule: CarrierRule) -> parcels.DimRule:
    """A rule of the shop's table as the handbook reckons with it."""
    metric = rule.units == "cm_kg"
    return parcels.DimRule(
        group=str(rule.carrier_id),
        since=rule.from_date,
        divisor=rule.divisor,
        size_unit="cm" if metric else "in",
        weight_unit="kg" if metric else "lb",
        sides=_ROUNDINGS[rule.rounding],
        weight_step=Decimal("0.5") if metric else Decimal(1),
        source=rule.source,
        over_volume=rule.threshold,
    )


def _price(rule: CarrierRule, billed: Decimal) -> str:
    """What that weight costs by the shop's own rates."""
    rates: list[tuple[str, int]] = rule.rates
    for up_to, minor in rates:
        if billed <= Decimal(up_to):
            return f" By the shop’s table {spelling.money(minor, the_profile().currency)}."
    return " Heavier than the shop’s table of rates." if rates else ""
