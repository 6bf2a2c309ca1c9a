"""Forms of one kind of part."""

from __future__ import annotations

from typing import Any, TypedDict

from django import forms

from shop.counter.models import Unit
from shop.frame.formwork import PlainForm, QuantityField, TextField, UnitPriceField
from shop.stockroom.actions import NumberGiven
from shop.stockroom.forms.fields import (
    CountField,
    PartNumberField,
    plain_text,
    price_typed,
    quantity_typed,
    state_field,
)
from shop.stockroom.marking import KINDS, NO_VALUE
from shop.stockroom.models import Part, Supplier
from shop.stockroom.queries import donor_units

MOST_DONORS = 50


class PartFacts(TypedDict):
    """A kind of part, as `add_part` and `change_part` take it."""

    description: str
    designation: str
    quantity_kind: str
    rating: str
    tolerance: str
    package: str
    drawer: str
    number: str
    price_ten_thousandths: int | None
    preferred_supplier: Supplier | None
    reorder_at_thousandths: int | None
    reorder_quantity_thousandths: int | None
    note: str


class PartForm(PlainForm):
    """A kind of part as it is written down."""

    description = forms.CharField(
        label="What it is",
        max_length=200,
        widget=plain_text(),
        help_text="Resistor, carbon film · Belt, flat · Transistor",
        error_messages={"required": "Say what it is."},
    )
    designation = forms.CharField(
        label="Type or value",
        max_length=60,
        required=False,
        widget=plain_text("w-middle", spellcheck="false"),
        help_text="2SC1815-GR · 4k7 5% · 4.7 µF 63 V",
    )
    quantity_kind = forms.ChoiceField(
        label="It is",
        required=False,
        choices=[("", "Read it from what is typed"), *KINDS.items(), (NO_VALUE, "A name, no value")],
        widget=forms.Select(attrs={"class": "w-middle"}),
    )
    rating = forms.CharField(
        max_length=60, required=False, widget=plain_text("w-short"), help_text="0.25 W, 63 V"
    )
    tolerance = forms.CharField(max_length=20, required=False, widget=plain_text("w-short"))
    package = forms.CharField(
        max_length=60, required=False, widget=plain_text("w-short"), help_text="TO-92, axial"
    )
    drawer = forms.CharField(max_length=40, required=False, widget=plain_text("w-short"))
    number = forms.CharField(
        label="Our number",
        max_length=40,
        required=False,
        widget=plain_text("w-short", spellcheck="false"),
        help_text="Empty: the next of the shop’s own.",
    )
    price = UnitPriceField(
        label="Price to the customer", required=False, help_text="Empty: by the price rule."
    )
    preferred_supplier = forms.ModelChoiceField(
        Supplier.objects.order_by("name"), label="Usually from", required=False, empty_label="Nobody yet"
    )
    reorder_at = CountField(
        label="Order again at", required=False, help_text="Empty: worked out from use and lead time."
    )
    reorder_quantity = QuantityField(label="Usual quantity", required=False)
    note = TextField(rows=2, required=False, max_length=2000)

    def facts(self, *, number: str = "") -> PartFacts:
        """The part that was typed; `number` is its own where none was."""
        data = self.cleaned_data
        return {
            "description": data["description"],
            "designation": data["designation"],
            "quantity_kind": data["quantity_kind"],
            "rating": data["rating"],
            "tolerance": data["tolerance"],
            "package": data["package"],
            "drawer": data["drawer"],
            "number": data["number"] or number,
            "price_ten_thousandths": data["price"],
            "preferred_supplier": data["preferred_supplier"],
            "reorder_at_thousandths": data["reorder_at"],
            "reorder_quantity_thousandths": data["reorder_quantity"],
            "note": data["note"],
        }

    @staticmethod
    def facts_of(part: Part) -> dict[str, object]:
        """What the form shows of a part that is there."""
        return {
            "description": part.description,
            "designation": part.designation,
            "quantity_kind": part.quantity_kind,
            "rating": part.rating,
            "tolerance": part.tolerance,
            "package": part.package,
            "drawer": part.drawer,
            "number": part.number,
            "price": price_typed(part.price_ten_thousandths),
            "preferred_supplier": part.preferred_supplier_id,
            "reorder_at": quantity_typed(part.reorder_at_thousandths),
            "reorder_quantity": quantity_typed(part.reorder_quantity_thousandths),
            "note": part.note,
        }


class ReceiveForm(PlainForm):
    """Parts that came without an order."""

    quantity = QuantityField(label="How many")
    unit_cost = UnitPriceField(
        label="Cost of one", required=False, help_text="Empty: as those in the drawer."
    )
    state = state_field(required=False)
    note = forms.CharField(
        max_length=200, required=False, widget=plain_text(), help_text="From whom, which invoice."
    )


class SalvageForm(PlainForm):
    """Parts taken out of a donor unit."""

    quantity = QuantityField(label="How many")
    donor = forms.ModelChoiceField(
        Unit.objects.none(), required=False, label="Out of", empty_label="A unit that is not in the book"
    )
    note = forms.CharField(
        max_length=200, required=False, widget=plain_text(), help_text="Position, what was measured."
    )

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["donor"]
        field.queryset = donor_units()


class ScrapForm(PlainForm):
    """Parts thrown away."""

    quantity = QuantityField(label="How many")
    reason = forms.CharField(max_length=200, label="Why", widget=plain_text())


class CountForm(PlainForm):
    """What really lies in one drawer."""

    counted = CountField(label="Counted")


class NumberForm(PlainForm):
    """What a maker or a supplier calls it."""

    number = forms.CharField(max_length=80, widget=plain_text("w-middle", spellcheck="false"))
    maker = forms.CharField(max_length=80, required=False, widget=plain_text("w-middle"))
    supplier = forms.ModelChoiceField(
        Supplier.objects.order_by("name"), required=False, empty_label="None: it is the maker’s number"
    )
    price = UnitPriceField(label="Costs there", required=False)

    def given(self) -> NumberGiven:
        """The number, as `name_part` takes it."""
        data = self.cleaned_data
        return NumberGiven(
            number=data["number"],
            maker=data["maker"],
            supplier=data["supplier"],
            price_ten_thousandths=data["price"],
        )


class SubstituteForm(PlainForm):
    """Which part may be fitted instead of this one."""

    substitute = PartNumberField(label="Number of the substitute")
    condition = forms.CharField(
        max_length=200, required=False, widget=plain_text(), help_text="Pins turned round; not above 50 V."
    )
    both_ways = forms.BooleanField(label="It works the other way too", required=False)


class PicturesForm(PlainForm):
    """A photograph, a data sheet."""

    photo = forms.FileField(
        label="Photograph",
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )
    data_sheet = forms.FileField(
        label="Data sheet, as PDF",
        required=False,
        widget=forms.FileInput(attrs={"accept": "application/pdf"}),
    )
