"""The lines of an estimate or an invoice, typed as a sheet: one row a line, all looked at together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, TypedDict

from django import forms
from django.core.exceptions import ValidationError
from django.forms.utils import ErrorDict

from shop.counter.models import Job
from shop.frame import clock, spelling
from shop.frame.formwork import PlainForm, QuantityField, TextField, UnitPriceField, whole_number
from shop.frame.profile import the_profile
from shop.handbook.minimum_amount import puts_a_minimum
from shop.handbook.money import UnitPrice
from shop.office import charging, discounts
from shop.office.models import PERCENT, Estimate, Invoice, LineKind, PricedLine
from shop.office.pricing import PricedItem, as_items, rules_on
from shop.office.taxing import STANDARD, rates_in_use
from shop.stockroom.models import PartState

MOST_LINES = 400
BLANK_ROWS = ((LineKind.LABOUR, "h"), (LineKind.PART, "pc"))
UNITS = [("pc", "pc"), ("h", "h"), ("m", "m"), ("kg", "kg"), (PERCENT, PERCENT)]


def _refuse_minimum(words: str) -> None:
    if puts_a_minimum(words):
        by_law = the_profile().law.cited("16 CCR 2722")
        raise ValidationError(f"Name the sum itself: an estimate may not be put as a minimum amount{by_law}.")


class SignedQuantityField(QuantityField):
    """A quantity that may be negative, where a line takes something off."""

    def clean(self, value: object) -> int | None:
        """Whole thousandths, with the sign that was typed."""
        text = str(value or "").strip()
        thousandths = super().clean(text.lstrip("-\N{MINUS SIGN}"))
        return -thousandths if thousandths and text[:1] in {"-", "\N{MINUS SIGN}"} else thousandths


class LineForm(PlainForm):
    """One row of the sheet. A row with neither words nor price is no line."""

    kind = forms.ChoiceField(choices=LineKind, initial=LineKind.LABOUR)
    description = forms.CharField(max_length=300, required=False, widget=forms.TextInput)
    quantity = SignedQuantityField(
        required=False, widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
    )
    unit = forms.ChoiceField(choices=UNITS, initial="pc")
    unit_price = UnitPriceField(
        label="Price each",
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    part_state = forms.ChoiceField(
        label="State", required=False, choices=[("", "—"), *PartState.choices], help_text="Of a part."
    )
    under_warranty = forms.BooleanField(required=False, label="Under warranty")
    rate = forms.ChoiceField(required=False, label="Rate of tax")
    margin = forms.BooleanField(required=False, label="Margin scheme")
    job = forms.ChoiceField(required=False, label="Job")
    sources = forms.CharField(required=False, max_length=20_000, widget=forms.HiddenInput)
    remove = forms.BooleanField(required=False, label="Remove")

    def __init__(
        self,
        *args: object,
        jobs: Sequence[Job] = (),
        rates: Sequence[str] = (STANDARD,),
        takes_off: bool = False,
        **kwargs: object,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.takes_off = takes_off
        del self.fields["once"]
        self.jobs = {str(job.pk): job for job in jobs}
        self._choose("job", [(key, job.number) for key, job in self.jobs.items()])
        self._choose("rate", [(rate, rate) for rate in rates])

    def _choose(self, name: str, choices: list[tuple[str, str]]) -> None:
        choice: Any = self.fields[name]
        choice.choices = choices

    @property
    def is_line(self) -> bool:
        """Whether the row says anything; call once the form was looked at."""
        data = self.cleaned_data
        return not data.get("remove") and self._says_something(data)

    def _says_something(self, data: Mapping[str, object]) -> bool:
        off = data.get("unit") == PERCENT and data.get("quantity")
        return bool(data.get("description") or data.get("unit_price") or off)

    def clean_description(self) -> str:
        """Words that can be seen, and no minimum amounts: an estimate names a sum, not a “from” (16 CCR 2722)."""
        description: str = self.cleaned_data["description"]
        if not any(sign.isprintable() and not sign.isspace() for sign in description):
            return ""
        if not self.takes_off:
            _refuse_minimum(description)
        return description

    def clean_sources(self) -> tuple[str, ...]:
        """What of the records the line charges, as the page had it."""
        words = tuple(self.cleaned_data["sources"].split())
        try:
            for word in words:
                charging.read(word)
        except ValueError as error:
            raise ValidationError("This line names no source. Load the page again.") from error
        return words

    def clean_quantity(self) -> int | None:
        """Beside a discount only an invoice may have a line that takes something off."""
        thousandths: int | None = self.cleaned_data["quantity"]
        discount = self.cleaned_data.get("kind") == LineKind.DISCOUNT
        if thousandths is not None and thousandths < 0 and not (self.takes_off or discount):
            raise ValidationError("The quantity is more than nothing.")
        return thousandths

    def clean(self) -> dict[str, object]:
        """A line has words, and a price even if it is nothing."""
        data = super().clean() or self.cleaned_data
        if data.get("remove") or self.errors or not self._says_something(data):
            return data
        if data.get("unit") == PERCENT:
            self._look_at_percent(data)
        if not data.get("description"):
            self.add_error("description", "Say what this line is for.")
        if data.get("unit_price") is None and data.get("unit") != PERCENT:
            self.add_error("unit_price", "Say the price of one; 0 if nothing is charged.")
        return data

    def _look_at_percent(self, data: Mapping[str, object]) -> None:
        """A percentage is a discount of up to the whole, to two decimals, and has no price besides."""
        quantity = abs(int(str(data.get("quantity") or 0)))
        if data.get("kind") != LineKind.DISCOUNT:
            self.add_error("unit", "Only a discount is a percentage. Choose Discount, or another unit.")
        elif not quantity:
            self.add_error("quantity", "Say how many percent come off.")
        elif quantity > 100_000:
            self.add_error("quantity", "A discount takes off 100 % at most.")
        elif quantity % 10:
            self.add_error("quantity", "A percentage has two decimals at most.")
        if data.get("unit_price"):
            self.add_error(
                "unit_price", "A percentage has no price: leave this empty, or choose the unit pc."
            )

    def full_clean(self) -> None:
        """A row that is taken out is not held against anybody, whatever stands in it."""
        super().full_clean()
        if self.is_bound and self.data.get(self.add_prefix("remove")):
            self._errors = ErrorDict()

    def item(self, currency: str) -> PricedItem:
        """The line as the office prices it; call once the form is valid."""
        data = self.cleaned_data
        is_part, is_discount = data["kind"] == LineKind.PART, data["kind"] == LineKind.DISCOUNT
        quantity, price = data["quantity"] or 1000, data["unit_price"]
        if data["unit"] == PERCENT:
            price, quantity = abs(quantity) // 10, 0
        return PricedItem(
            kind=data["kind"],
            description=data["description"],
            unit_price=UnitPrice(price, currency),
            quantity_thousandths=-abs(quantity) if is_discount else quantity,
            unit=data["unit"],
            part_state=(data["part_state"] or PartState.NEW) if is_part else "",
            under_warranty=data["under_warranty"] and not is_discount,
            rate=STANDARD if is_discount else data["rate"] or STANDARD,
            margin=data["margin"] and not is_discount,
            sources=data["sources"],
            job=self.jobs.get(data["job"] or "") or next(iter(self.jobs.values()), None),
        )


class LineSheet:
    """All rows of one paper under the prefixes l0, l1, ... with some blank ones at the end."""

    def __init__(
        self,
        data: Mapping[str, object] | None,
        *,
        lines: Sequence[PricedLine] = (),
        currency: str,
        jobs: Sequence[Job] = (),
        takes_off: bool = False,
    ) -> None:
        self.currency, self.jobs, self.takes_off = currency, jobs, takes_off
        self.rates = rates_in_use()
        self.margin_scheme = rules_on(clock.today()).margin_scheme
        self.bound = data is not None
        self.sent = _count(data) if data is not None else 0
        if data is not None:
            self.rows = [self._row(at, data) for at in range(min(self.sent, 2 * MOST_LINES))]
            return
        filled = [self._row(at, initial=_typed(item)) for at, item in enumerate(self._written(lines))]
        blank = [
            self._row(at, initial={"kind": kind, "unit": unit})
            for at, (kind, unit) in enumerate(BLANK_ROWS, len(filled))
        ]
        self.rows = [*filled, *blank]

    def _row(self, at: int, data: Mapping[str, object] | None = None, **more: object) -> LineForm:
        return LineForm(
            data, prefix=f"l{at}", jobs=self.jobs, rates=self.rates, takes_off=self.takes_off, **more
        )

    @property
    def several_rates(self) -> bool:
        """Whether the shop tells several rates of tax apart."""
        return len(self.rates) > 1

    @property
    def several_jobs(self) -> bool:
        """Whether each line has to say which job it is for."""
        return len(self.jobs) > 1

    def is_valid(self) -> bool:
        """Every row is looked at, so that all that is wrong is said at once."""
        return not self.too_many and all([*(row.is_valid() for row in self.rows)])

    @property
    def too_many(self) -> str:
        """The sentence where more rows were sent than a paper takes; none of them is lost without a word."""
        if self.sent <= MOST_LINES:
            return ""
        return f"That is {self.sent} lines: up to {MOST_LINES} go on one paper. Put the rest on another."

    def items(self) -> list[PricedItem]:
        """The lines in their order; call once the sheet is valid."""
        return [row.item(self.currency) for row in self.rows if row.is_line]

    def differs_from(self, lines: Sequence[PricedLine]) -> bool:
        """Whether what was typed is not what is written; call once the sheet is valid."""
        typed = self.items()
        return (typed if self.several_jobs else [replace(item, job=None) for item in typed]) != self._written(
            lines
        )

    def _written(self, lines: Sequence[PricedLine]) -> list[PricedItem]:
        """The lines that are written, each discount as it was typed; with their jobs where there are several."""
        by_id = {job.pk: job for job in self.jobs} if self.several_jobs else {}
        items = zip(as_items(lines, self.currency), lines, strict=True)
        return discounts.together(
            [replace(item, job=by_id.get(getattr(line, "job_id", None) or 0)) for item, line in items]
        )


def _count(data: Mapping[str, object]) -> int:
    return whole_number(str(data.get("count", "0")), digits=6) or 0


def _typed(item: PricedItem) -> dict[str, object]:
    """A line as somebody would type it."""
    in_percent = item.unit == PERCENT
    signed = item.unit_price.ten_thousandths * 10 if in_percent else item.quantity_thousandths
    thousandths = abs(signed)
    sign = "-" if signed < 0 else ""
    quantity = sign + f"{thousandths // 1000}.{thousandths % 1000:03d}".rstrip("0").rstrip(".")
    return {
        "kind": item.kind,
        "description": item.description,
        "quantity": spelling.typed(quantity),
        "unit": item.unit,
        "unit_price": None if item.unpriced or in_percent else item.unit_price,
        "part_state": item.part_state,
        "under_warranty": item.under_warranty,
        "rate": item.rate,
        "margin": item.margin,
        "job": str(item.job.pk) if item.job else "",
        "sources": " ".join(item.sources),
    }


class EstimateHead(TypedDict):
    """What stands around the lines of an estimate, as `draft_estimate` takes it."""

    days_needed: int | None
    diagnosis_only: bool
    lump_sum: bool
    note: str


class EstimateHeadForm(PlainForm):
    """What stands around the lines of an estimate."""

    days_needed = forms.IntegerField(
        required=False,
        min_value=1,
        max_value=999,
        label="Working days needed",
        widget=forms.NumberInput(attrs={"class": "w-tiny"}),
    )
    diagnosis_only = forms.BooleanField(
        required=False, label="Finding the fault only; the repair gets an estimate of its own"
    )
    lump_sum = forms.BooleanField(
        required=False, label="One price for the whole; parts are named without prices of their own"
    )
    note = TextField(required=False, rows=2, max_length=2000, label="Note on the paper")

    def clean_note(self) -> str:
        """No minimum amount beside the lines either."""
        note: str = self.cleaned_data["note"]
        _refuse_minimum(note)
        return note

    @classmethod
    def of(cls, estimate: Estimate) -> dict[str, object]:
        """What stands around the lines of a draft, as the form's first values."""
        return {name: getattr(estimate, name) for name in cls.base_fields if name != "once"}

    def facts(self) -> EstimateHead:
        """What was typed."""
        data = self.cleaned_data
        return {
            "days_needed": data["days_needed"],
            "diagnosis_only": data["diagnosis_only"],
            "lump_sum": data["lump_sum"],
            "note": data["note"],
        }

    def differs_from(self, estimate: Estimate) -> bool:
        """Whether what was typed is not what is written; call once the form is valid."""
        return any(getattr(estimate, name) != value for name, value in self.facts().items())


class InvoiceHead(TypedDict):
    """What stands around the lines of an invoice, as `set_invoice_lines` takes it."""

    note: str
    lump_sum: bool


class InvoiceHeadForm(PlainForm):
    """What stands around the lines of an invoice."""

    note = TextField(required=False, rows=2, max_length=2000, label="Note on the paper")
    lump_sum = forms.BooleanField(
        required=False, label="One price for the whole; parts are named without prices of their own"
    )

    def facts(self) -> InvoiceHead:
        """What was typed."""
        data = self.cleaned_data
        return {
            "note": data["note"],
            "lump_sum": data["lump_sum"],
        }

    def differs_from(self, invoice: Invoice) -> bool:
        """Whether what was typed is not what is written; call once the form is valid."""
        return any(getattr(invoice, name) != value for name, value in self.facts().items())
