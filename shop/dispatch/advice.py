"""What the handbook says of a parcel: dimensional weight, girth, board, drop height, box plan, cautions."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from shop.counter.models import Job, Kind
from shop.dispatch.measures import GRAMS_PER_POUND
from shop.dispatch.models import CarrierRule, Parcel
from shop.handbook import parcels
from shop.premises.models import Measures
from shop.premises.profile import the_profile

_KINDS = {
    Kind.TURNTABLE: parcels.Trait.TURNTABLE,
    Kind.TAPE_DECK: parcels.Trait.TAPE,
    Kind.TELEVISION: parcels.Trait.GLASS,
}
_TRAITS = {
    "tube": parcels.Trait.TUBES,
    "crt": parcels.Trait.GLASS,
    "heavy": parcels.Trait.TRANSFORMER,
}


@dataclass(frozen=True, slots=True)
class Advice:
    """One line of advice: what it is about, what it says, and whether it is a warning."""

    about: str
    says: str
    warns: bool = False


def advice_for(parcel: Parcel, jobs: Iterable[Job], *, on: dt.date) -> list[Advice]:
    """Everything that is to be said of a parcel before it leaves, in the order of packing."""
    size, weight = _size(parcel), _weight(parcel)
    lines = [_board(size, weight, double_boxed=parcel.double_boxed), _girth(size), _drop(weight)]
    rule = (
        CarrierRule.objects.filter(carrier=parcel.carrier, from_date__lte=on).first()
        if parcel.carrier
        else None
    )
    if rule is not None:
        lines += _by_rule(rule, size, weight)
    traits = {_KINDS[job.unit.model.kind] for job in jobs if job.unit.model.kind in _KINDS}
    traits |= {_TRAITS[trait] for job in jobs for trait in job.unit.model.traits if trait in _TRAITS}
    lines += [Advice("Packing", caution.text) for caution in parcels.packing_cautions(traits, weight)]
    return lines


def _size(parcel: Parcel) -> parcels.Size:
    size = parcels.Size(
        *(Decimal(mm) / 10 for mm in (parcel.length_mm, parcel.width_mm, parcel.height_mm)), "cm"
    )
    return size.to("in") if the_profile().measures == Measures.IMPERIAL else size


def _weight(parcel: Parcel) -> parcels.Weight:
    if the_profile().measures == Measures.IMPERIAL:
        return parcels.Weight(Decimal(parcel.weight_grams) / GRAMS_PER_POUND, "lb")
    return parcels.Weight(Decimal(parcel.weight_grams) / 1000, "kg")


def _board(size: parcels.Size, weight: parcels.Weight, *, double_boxed: bool) -> Advice:
    grade = parcels.box_grade(weight, size, "single") or parcels.box_grade(weight, size, "double")
    if grade is None:
        return Advice(
            "Board",
            "No corrugated box is made for this size and weight: use a crate or a pallet.",
            warns=True,
        )
    hint = "" if double_boxed else " A box in a box is safer for anything fragile or over 30 lb (14 kg)."
    return Advice(
        "Board",
        f"{grade.wall.capitalize()} wall with a maker’s stamp of at least {grade.edge_crush} lb/in edge crush or "
        f"{grade.burst} lb/in² burst (Rule 41 / Item 222).{hint}",
    )


def _girth(size: parcels.Size) -> Advice:
    return Advice("Size", f"Length and girth together: {_plain(size.length_plus_girth)} {size.unit}.")


def _drop(weight: parcels.Weight) -> Advice:
    try:
        drop = parcels.drop_height(weight)
    except parcels.ParcelError as error:
        return Advice("Handling", str(error), warns=True)
    height = f"{drop.inches} in" if the_profile().measures == Measures.IMPERIAL else f"{drop.millimetres} mm"
    return Advice("Handling", f"At this weight it must stand a fall of {height} on every corner (ISTA 1A).")


def _by_rule(rule: CarrierRule, size: parcels.Size, weight: parcels.Weight) -> list[Advice]:
    metric = rule.units == "cm_kg"
    dim = parcels.DimRule(
        group=str(rule.carrier_id),
        since=rule.from_date,
        divisor=rule.divisor,
        size_unit="cm" if metric else "in",
        weight_unit="kg" if metric else "lb",
        sides=rule.rounding,
        weight_step=Decimal("0.5") if metric else Decimal(1),
        source=rule.source,
        over_volume=rule.threshold,
    )
    lines = [Advice("Charged weight", parcels.billable(size, weight, dim).why)]
    given, heavy = size.to(dim.size_unit), weight.to(dim.weight_unit)
    for limit, value, what, unit in (
        (rule.max_length, given.sides[0], "longest side", dim.size_unit),
        (rule.max_length_girth, given.length_plus_girth, "length and girth", dim.size_unit),
        (rule.max_weight, heavy.value, "weight", dim.weight_unit),
    ):
        if limit is not None and value > limit:
            lines.append(
                Advice(
                    "Too big",
                    f"The {what} of {_plain(value)} {unit} is over this carrier’s {_plain(limit)} {unit}.",
                    warns=True,
                )
            )
    return lines


def _plain(value: Decimal) -> str:
    return f"{value.quantize(Decimal('0.1')).normalize():f}"
