"""Forms of orders: what is chosen from the list, what came."""

from __future__ import annotations

from typing import Any, TypedDict

from django import forms

from shop.frame.formwork import PlainForm, QuantityField, SumField, TextField, UnitPriceField
from shop.handbook.money import Money
from shop.stockroom.actions import Came, LineAsked, LineTyped
from shop.stockroom.forms.fields import (
    CountField,
    PartNumberField,
    WholeField,
    plain_text,
    price_typed,
    quantity_typed,
)
from shop.stockroom.models import Order, OrderLine, Supplier
from shop.stockroom.queries import OrderSheet, delivered_order


class OrderForm(PlainForm):
    """What is ordered of one supplier's part of the list: each line ticked or not, with its quantity and price."""

    supplier = forms.ModelChoiceField(Supplier.objects.order_by("name"), empty_label="Choose", required=False)
    new_supplier = forms.CharField(
        label="Or a new one", max_length=120, required=False, widget=plain_text("w-middle")
    )
    new_email = forms.EmailField(label="Its e-mail for orders", max_length=254, required=False)

    def __init__(self, *args: object, sheet: OrderSheet, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.sheet = sheet
        if sheet.supplier is not None:
            self.initial.setdefault("supplier", sheet.supplier.pk)
        for line in sheet.lines:
            self.fields[f"{line.key}-on"] = forms.BooleanField(required=False, label=line.description)
            self.fields[f"{line.key}-quantity"] = QuantityField(
                required=False, label=f"How many: {line.description}"
            )
            self.fields[f"{line.key}-cost"] = UnitPriceField(
                required=False, label=f"Price each: {line.description}"
            )
            for name in ("quantity", "cost"):
                self.fields[f"{line.key}-{name}"].widget.attrs["form"] = f"order-{self.prefix}"
            self.initial.update(
                {
                    f"{line.key}-on": line.is_needed,
                    f"{line.key}-quantity": quantity_typed(line.quantity_thousandths),
                    f"{line.key}-cost": price_typed(line.unit_cost_ten_thousandths or None),
                }
            )

    def rows(self) -> list[dict[str, Any]]:
        """The lines with their three controls, for the template."""
        return [
            {
                "line": line,
                "on": self[f"{line.key}-on"],
                "quantity": self[f"{line.key}-quantity"],
                "cost": self[f"{line.key}-cost"],
            }
            for line in self.sheet.lines
        ]

    def clean(self) -> dict[str, object]:
        """A supplier, at least one line ticked, and each that is has a quantity."""
        data = super().clean() or self.cleaned_data
        if "supplier" not in self.errors and not data.get("supplier") and not data.get("new_supplier"):
            self.add_error("supplier", "From whom? Choose one, or name a new one.")
        if data.get("supplier") and data.get("new_supplier"):
            self.add_error("new_supplier", "One of the two: the chosen one, or a new one.")
        ticked = [line for line in self.sheet.lines if data.get(f"{line.key}-on")]
        if not ticked:
            self.add_error(None, "Check at least one part.")
        for line in ticked:
            name = f"{line.key}-quantity"
            if name not in self.errors and not data.get(name):
                self.add_error(name, "How many?")
        return data

    def asked(self) -> list[LineAsked]:
        """The ticked lines as `open_order` takes them."""
        data = self.cleaned_data
        return [
            LineAsked(
                part=line.standing.part if line.standing is not None else None,
                description="" if line.standing is not None else line.description,
                quantity_thousandths=data[f"{line.key}-quantity"],
                unit_cost_ten_thousandths=data[f"{line.key}-cost"] or 0,
                wanted=line.wants,
            )
            for line in self.sheet.lines
            if data[f"{line.key}-on"]
        ]


class CameForm(PlainForm):
    """What a wanted part cost that came without an order."""

    cost = UnitPriceField(label="Price each", required=False)


class LineForm(PlainForm):
    """One more line on an order: a part by its number, or words."""

    part = PartNumberField(label="Our number", required=False)
    description = forms.CharField(label="Or in words", max_length=200, required=False, widget=plain_text())
    quantity = QuantityField(label="How many")
    unit_cost = UnitPriceField(label="Price each", required=False)

    def clean(self) -> dict[str, object]:
        """A part or words."""
        data = super().clean() or self.cleaned_data
        if "part" not in self.errors and not data.get("part") and not data.get("description"):
            self.add_error("part", "Say what is ordered: a part’s number, or words.")
        return data

    def asked(self) -> LineAsked:
        """The line as `add_line` takes it."""
        data = self.cleaned_data
        return LineAsked(
            part=data["part"],
            description=data["description"],
            quantity_thousandths=data["quantity"],
            unit_cost_ten_thousandths=data["unit_cost"] or 0,
        )


class ChangeLineForm(PlainForm):
    """Quantity and price of a line before the order is sent; its boxes go with the form that sends, so that nothing is lost."""

    quantity = QuantityField(label="How many")
    unit_cost = UnitPriceField(label="Price each", required=False)

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        for name in ("quantity", "unit_cost"):
            self.fields[name].widget.attrs["form"] = "send"

    @classmethod
    def of(cls, line: OrderLine) -> ChangeLineForm:
        """The form of a line as it stands."""
        initial = {
            "quantity": quantity_typed(line.quantity_thousandths),
            "unit_cost": price_typed(line.unit_cost_ten_thousandths or None),
        }
        return cls(prefix=f"l{line.pk}", initial=initial)

    def typed(self, line: OrderLine) -> LineTyped:
        """What stands in the line's boxes; call once the form is valid."""
        data = self.cleaned_data
        return LineTyped(
            line=line,
            quantity_thousandths=data["quantity"],
            unit_cost_ten_thousandths=data["unit_cost"] or 0,
        )


class ReferenceForm(PlainForm):
    """What the supplier calls the order, and where it shows how it stands."""

    reference = forms.CharField(
        label="Their order number",
        max_length=60,
        required=False,
        widget=plain_text("w-middle", spellcheck="false"),
    )
    link = forms.URLField(
        label="Web page of the order",
        max_length=500,
        required=False,
        assume_scheme="https",
        error_messages={"invalid": "Copy the whole address of the page from the browser."},
        widget=forms.URLInput(attrs={"class": "w-full"}),
    )


class SendForm(ReferenceForm):
    """Sending an order, by the e-mail button or as sent already."""

    letter = forms.BooleanField(required=False)


class DeliveryForm(PlainForm):
    """What came: a quantity for each line that is still open."""

    carriage = SumField(label="Freight and fees of the order", required=False)

    def __init__(self, *args: object, order: Order, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.lines: list[OrderLine] = delivered_order(order)
        if order.carriage_minor:
            self.initial.setdefault("carriage", Money(order.carriage_minor, order.currency))
        for line in self.lines:
            left = line.quantity_thousandths - line.received_thousandths
            self.fields[f"l{line.pk}-came"] = CountField(required=False, label=f"Came: {line.description}")
            self.fields[f"l{line.pk}-cost"] = UnitPriceField(
                required=False, label=f"Price each: {line.description}"
            )
            self.initial.update(
                {
                    f"l{line.pk}-came": quantity_typed(left),
                    f"l{line.pk}-cost": price_typed(line.unit_cost_ten_thousandths or None),
                }
            )

    def rows(self) -> list[dict[str, Any]]:
        """The lines with their controls, for the template."""
        return [
            {"line": line, "came": self[f"l{line.pk}-came"], "cost": self[f"l{line.pk}-cost"]}
            for line in self.lines
        ]

    def came(self) -> list[Came]:
        """What came, as `receive_delivery` takes it."""
        data = self.cleaned_data
        return [
            Came(
                line=line,
                quantity_thousandths=data[f"l{line.pk}-came"],
                unit_cost_ten_thousandths=data[f"l{line.pk}-cost"],
            )
            for line in self.lines
            if data[f"l{line.pk}-came"]
        ]


class SupplierFacts(TypedDict):
    """A supplier, as `add_supplier` and `change_supplier` take it."""

    name: str
    email: str
    phone: str
    our_account: str
    lead_days: int
    address: str
    note: str


class SupplierForm(PlainForm):
    """A supplier."""

    name = forms.CharField(max_length=120, widget=plain_text())
    email = forms.EmailField(label="E-mail for orders", required=False, max_length=254)
    phone = forms.CharField(max_length=40, required=False, widget=plain_text("w-middle"))
    our_account = forms.CharField(
        label="Our account there", max_length=60, required=False, widget=plain_text("w-middle")
    )
    lead_days = WholeField(label="Days until a delivery", least=0, most=400, example="7", initial=7)
    address = TextField(required=False, max_length=500)
    note = TextField(rows=2, required=False, max_length=2000)

    def facts(self) -> SupplierFacts:
        """The supplier that was typed."""
        data = self.cleaned_data
        return {
            "name": data["name"],
            "email": data["email"],
            "phone": data["phone"],
            "our_account": data["our_account"],
            "lead_days": data["lead_days"],
            "address": data["address"],
            "note": data["note"],
        }
