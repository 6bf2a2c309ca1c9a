"""Kinds of parts: added, changed, given numbers and substitutes."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.core.files.uploadedfile import UploadedFile

from shop.frame import numbers
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.keeping.pictures import take_file, take_picture
from shop.stockroom.marking import (
    NO_VALUE,
    Ambiguous,
    key_of,
    marking_of,
    percent_of,
    rated_in,
    ratings_of,
    tolerance_of,
    words_of,
)
from shop.stockroom.models import Part, PartNumber, StockLevel, Substitute, Supplier

PART_SERIES = "part"
NO_YEAR = 0
"""The shop's own part numbers go on from year to year."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberGiven:
    """What a maker or a supplier calls a part, and what one cost there, in ten-thousandths of the major unit."""

    number: str
    maker: str = ""
    supplier: Supplier | None = None
    price_ten_thousandths: int | None = None


def add_part(
    *,
    description: str,
    by: Staff | None,
    number: str = "",
    designation: str = "",
    quantity_kind: str = "",
    rating: str = "",
    tolerance: str = "",
    package: str = "",
    drawer: str = "",
    price_ten_thousandths: int | None = None,
    reorder_at_thousandths: int | None = None,
    reorder_quantity_thousandths: int | None = None,
    preferred_supplier: Supplier | None = None,
    numbers_given: Sequence[NumberGiven] = (),
    note: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Part:
    """Write a kind of part down, with an empty drawer. Without a number of its own it gets the shop's next: `P-0042`.

    `designation` is a type number or a value (`4k7 5%`), which is read; `quantity_kind` decides where it can mean two, and
    `"none"` says that it is a name. Prices are ten-thousandths of the major unit, quantities thousandths.
    """
    if not description.strip():
        raise Refusal("Say what it is.", field="description")
    with acting(by=by, at=at, once=once_key) as act:
        part = Part(
            number=_number(number),
            description=description.strip(),
            designation=designation.strip(),
            quantity_kind=quantity_kind,
            rating=rating.strip(),
            tolerance=tolerance.strip(),
            package=package.strip(),
            drawer=drawer.strip(),
            price_ten_thousandths=price_ten_thousandths,
            reorder_at_thousandths=reorder_at_thousandths,
            reorder_quantity_thousandths=reorder_quantity_thousandths,
            preferred_supplier=preferred_supplier,
            note=note.strip(),
        )
        _read(part)
        _fold(part, [given.number for given in numbers_given])
        part.save(force_insert=True)
        StockLevel.objects.create(part=part)
        for given in numbers_given:
            _write_number(part, given)
        act.record("part.added", subject=part)
    return part


def change_part(
    *,
    part: Part,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
    **changes: Any,
) -> Part:
    """Put right what is known of a kind of part. `changes` are fields of `Part`; stock changes only through the ledger."""
    with acting(by=by, at=at, once=once_key) as act:
        if "number" in changes and key_of(changes["number"]) != key_of(part.number):
            changes["number"] = _number(changes["number"])
        for name, value in changes.items():
            setattr(part, name, value.strip() if isinstance(value, str) else value)
        if not part.description:
            raise Refusal("Say what it is.", field="description")
        _read(part)
        _fold(part, part.numbers.values_list("number", flat=True))
        part.save()
        act.record("part.changed", subject=part, fields=sorted(changes))
    return part


def name_part(
    *,
    part: Part,
    given: NumberGiven,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> PartNumber:
    """Note what a maker or a supplier calls it. The same number of the same supplier again takes the new price."""
    with acting(by=by, at=at, once=once_key) as act:
        number = _write_number(part, given)
        _refold(part)
        act.record("part.named", subject=part)
    return number


def forget_number(
    *, number: PartNumber, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Part:
    """Take a maker's or a supplier's number away that was wrong."""
    part = number.part
    with acting(by=by, at=at, once=once_key) as act:
        PartNumber.objects.filter(pk=number.pk).delete()
        _refold(part)
        act.record("part.number_taken_away", subject=part)
    return part


def picture_part(
    *,
    part: Part,
    by: Staff,
    photo: UploadedFile | None = None,
    data_sheet: UploadedFile | None = None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Part:
    """Keep a photograph of it, or its data sheet; the last one of each counts."""
    if photo is None and data_sheet is None:
        raise Refusal("Choose a photograph or a data sheet.", field="photo")
    with acting(by=by, at=at, once=once_key) as act:
        if photo is not None:
            part.photo = take_picture(photo, by=by, field="photo")
        if data_sheet is not None:
            part.data_sheet = take_file(data_sheet, by=by, field="data_sheet")
        part.save(update_fields=["photo", "data_sheet"])
        act.record("part.pictured", subject=part)
    return part


def retire_part(
    *, part: Part, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Part:
    """Stop stocking it: it is offered nowhere. What was fitted of it stays as it was."""
    with acting(by=by, at=at, once=once_key) as act:
        level = StockLevel.objects.filter(part=part).first()
        if level is not None and level.quantity_thousandths:
            raise Refusal(
                f"There are {level.quantity_thousandths / 1000:g} in the drawer: scrap or fit them first."
            )
        if not Part.objects.filter(pk=part.pk, retired_at=None).update(retired_at=act.at):
            raise Refusal("It was taken out of the drawers already.")
        part.retired_at = act.at
        act.record("part.retired", subject=part)
    return part


def bring_back_part(
    *, part: Part, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Part:
    """Stock it again."""
    with acting(by=by, at=at, once=once_key) as act:
        Part.objects.filter(pk=part.pk).update(retired_at=None)
        part.retired_at = None
        act.record("part.brought_back", subject=part)
    return part


def allow_substitute(
    *,
    part: Part,
    stands_in_for: Part,
    by: Staff | None,
    condition: str = "",
    both_ways: bool = False,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Substitute:
    """`part` may stand in for another under a condition; the reverse holds only where it is said too."""
    if part.pk == stands_in_for.pk:
        raise Refusal("A part is no substitute for itself.", field="substitute")
    with acting(by=by, at=at, once=once_key) as act:
        substitute, _ = Substitute.objects.update_or_create(
            part=part, stands_in_for=stands_in_for, defaults={"condition": condition.strip()}
        )
        if both_ways:
            Substitute.objects.update_or_create(
                part=stands_in_for, stands_in_for=part, defaults={"condition": condition.strip()}
            )
        act.record("substitute.allowed", subject=stands_in_for, substitute=part.pk, both_ways=both_ways)
        act.made(substitute)
    return substitute


def withdraw_substitute(
    *,
    substitute: Substitute,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> None:
    """One part may no longer stand in for another; the reverse direction is not touched."""
    with acting(by=by, at=at, once=once_key) as act:
        act.record("substitute.withdrawn", subject=substitute.stands_in_for, substitute=substitute.part_id)
        Substitute.objects.filter(pk=substitute.pk).delete()


def _number(number: str) -> str:
    """A part's own number, unlike every other; the next of the shop's series when none was given."""
    typed = number.strip()
    while not typed:
        offered = f"P-{numbers.take(PART_SERIES, NO_YEAR):04d}"
        if not Part.objects.filter(number__iexact=offered).exists():
            return offered
    if not key_of(typed):
        raise Refusal("A number has at least one letter or digit.", field="number")
    if Part.objects.filter(number__iexact=typed).exists():
        raise Refusal(f"There is a part {typed} already.", field="number")
    return typed


def _read(part: Part) -> None:
    """Fill the columns that the search reads from what is written on the part."""
    try:
        marking = marking_of(part.designation, kind=part.quantity_kind, description=part.description)
    except Ambiguous as error:
        raise Refusal(str(error), field="quantity_kind") from error
    ratings = ratings_of(part.rating) + (marking.quantity.ratings if marking else ())
    tolerance = tolerance_of(part.tolerance) or (marking.quantity.tolerance if marking else None)
    no_kind = NO_VALUE if part.quantity_kind == NO_VALUE else ""
    columns = {
        "quantity_kind": marking.kind if marking else no_kind,
        "value": marking.value if marking else None,
        "value_sort": float(marking.value) if marking else None,
        "rated_volts": rated_in(ratings, "V"),
        "rated_watts": rated_in(ratings, "W"),
        "rated_amperes": rated_in(ratings, "A"),
        "tolerance_percent": percent_of(tolerance),
    }
    for name, value in columns.items():
        setattr(part, name, value)


def _fold(part: Part, others: Sequence[str] | Any) -> None:
    part.designation_folded = key_of(part.designation)[:60]
    part.words = words_of(
        part.number,
        part.description,
        part.designation,
        part.rating,
        part.tolerance,
        part.package,
        part.drawer,
        *others,
    )


def _refold(part: Part) -> None:
    _fold(part, list(part.numbers.values_list("number", flat=True)))
    part.save(update_fields=["designation_folded", "words"])


def _write_number(part: Part, given: NumberGiven) -> PartNumber:
    folded = key_of(given.number)[:80]
    if not folded:
        raise Refusal("A number has at least one letter or digit.", field="number")
    number, _ = PartNumber.objects.update_or_create(
        part=part,
        folded=folded,
        maker=given.maker.strip(),
        supplier=given.supplier,
        defaults={"number": given.number.strip()},
    )
    if given.price_ten_thousandths is not None:
        number.price_ten_thousandths = given.price_ten_thousandths
        number.save(update_fields=["price_ten_thousandths"])
    return number
