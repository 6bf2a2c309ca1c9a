"""Forms of what goes back to a supplier, and of what a donor unit still has inside."""

from __future__ import annotations

from typing import Any, TypedDict

from django import forms

from shop.counter.models import Job
from shop.frame.formwork import PlainForm, QuantityField, SumField
from shop.stockroom.forms.fields import plain_text, quantity_typed
from shop.stockroom.models import OrderLine, Part, PartFitted, PartSentBack, Supplier

LINES = 20


class BackFacts(TypedDict):
    """What goes back, as `send_back` takes it."""

    quantity_thousandths: int
    fault: str
    supplier: Supplier
    order_line: OrderLine | None
    expected_minor: int | None
    note: str
    want_again: bool


class SendBackForm(PlainForm):
    """A wrong, fake or dead part: how many, why, to whom, and what is owed for it."""

    quantity = QuantityField(label="How many")
    fault = forms.ChoiceField(
        label="What is wrong with it", choices=PartSentBack.Fault, widget=forms.RadioSelect
    )
    line = forms.ModelChoiceField(
        OrderLine.objects.none(), label="It came with", required=False, empty_label="None of these orders"
    )
    supplier = forms.ModelChoiceField(
        Supplier.objects.order_by("name"),
        label="Goes back to",
        required=False,
        empty_label="Whoever the order was from",
    )
    expected = SumField(label="Credit that is owed", required=False, help_text="Empty: what was paid for it.")
    want_again = forms.BooleanField(label="The job needs another one", required=False, initial=True)
    note = forms.CharField(
        max_length=200, required=False, widget=plain_text(), help_text="Markings, what was measured."
    )

    def __init__(
        self,
        *args: object,
        part: Part,
        fitted: PartFitted | None = None,
        job: Job | None = None,
        **kwargs: object,
    ) -> None:
        super().__init__(*args, **kwargs)
        came = OrderLine.objects.filter(part=part, received_thousandths__gt=0).select_related(
            "order__supplier"
        )
        newest = list(came.order_by("-id")[:LINES])
        lines: Any = self.fields["line"]
        lines.queryset = came.filter(pk__in=[line.pk for line in newest])
        lines.label_from_instance = lambda line: f"{line.order} from {line.order.supplier}"
        if newest:
            self.initial.setdefault("line", newest[0].pk)
        if fitted is not None:
            self.initial.setdefault("quantity", quantity_typed(fitted.quantity_thousandths))
            self.fields["quantity"].disabled = True
        else:
            self.initial.setdefault("quantity", "1")
        if job is None and fitted is None:
            del self.fields["want_again"]

    def clean(self) -> dict[str, object]:
        """The supplier is the order's, unless it is said."""
        data = super().clean() or self.cleaned_data
        line = data.get("line")
        if not data.get("supplier"):
            data["supplier"] = line.order.supplier if line is not None else None
        if data["supplier"] is None and "supplier" not in self.errors:
            self.add_error("supplier", "To whom does it go back?")
        return data

    def facts(self) -> BackFacts:
        """What goes back."""
        data = self.cleaned_data
        return {
            "quantity_thousandths": data["quantity"],
            "fault": data["fault"],
            "supplier": data["supplier"],
            "order_line": data["line"],
            "expected_minor": data["expected"],
            "note": data["note"],
            "want_again": bool(data.get("want_again")),
        }


class CreditForm(PlainForm):
    """The credit that came for what went back."""

    credited = SumField(label="Credit that came", help_text="0 where the supplier refused it.")
    reference = forms.CharField(
        label="Number of the credit note", max_length=60, required=False, widget=plain_text("w-middle")
    )


class InsideForm(PlainForm):
    """What can still be had from a donor unit."""

    description = forms.CharField(label="Still inside", max_length=200, widget=plain_text())
    quantity = QuantityField(label="How many", initial="1")
