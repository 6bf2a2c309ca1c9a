"""A part fitted, from its drawer or in words, and a part that the job wants."""

from __future__ import annotations

from typing import Any, TypedDict

from django import forms

from shop.bench import stock
from shop.bench.forms.entry import BenchForm
from shop.counter.models import Job
from shop.frame.formwork import QuantityField, UnitPriceField
from shop.stockroom.models import Part, PartState


class _FromStockForm(BenchForm):
    """A part named by its number or by words; several that match are offered, none is guessed."""

    part = forms.ChoiceField(label="From the drawers", required=False, widget=forms.RadioSelect)
    drawer = forms.CharField(
        label="Part",
        max_length=120,
        required=False,
        help_text="Number, value or words: what is typed is looked for in the drawers.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )
    quantity = QuantityField(label="How many", required=False, initial="1")
    free = forms.BooleanField(label="Not from a drawer: take the words as they stand", required=False)

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, job=job, **kwargs)
        self.offered: list[Part] = []
        self.offer(self._at_first())
        chosen = self.data.get(self.add_prefix("part"), "") if self.is_bound else ""
        if chosen and chosen not in {str(part.pk) for part in self.offered}:
            known = stock.part_with(chosen)
            if known is not None:
                self.offer([*self.offered, known])

    def _at_first(self) -> list[Part]:
        """What is offered before anybody looked."""
        return []

    def _like(self, words: str) -> list[Part]:
        return stock.parts_like(words)

    def offer(self, parts: list[Part]) -> None:
        """Offer these parts to choose from."""
        self.offered = parts
        field: Any = self.fields["part"]
        field.choices = [("", "By its number or in words"), *((str(one.pk), one.number) for one in parts)]

    @property
    def offered_lines(self) -> list[stock.OfferedPart]:
        """The offered parts as tiles."""
        return stock.offered(self.offered)

    def clean(self) -> dict[str, object]:
        """Find the part that is meant, or take the words as they stand."""
        data = super().clean() or self.cleaned_data
        data["quantity"] = data.get("quantity") or 1000
        chosen, words = data.get("part") or "", data.get("drawer") or ""
        data["part"] = next((part for part in self.offered if str(part.pk) == chosen), None)
        if data["part"] is not None or "drawer" in self.errors:
            return data
        if not words:
            self.add_error("drawer", "Say which part: its number, its value or a few words.")
        elif not data.get("free"):
            data["part"] = self._found(words)
        return data

    def _found(self, words: str) -> Part | None:
        found = self._like(words)
        exact = [part for part in found if part.number.casefold() == words.casefold()]
        if len(exact or found) == 1:
            return (exact or found)[0]
        if found:
            self.offer(found)
            self.add_error("part", "Several parts match: choose one, or take the words as they stand.")
        return None


class FitFacts(TypedDict):
    """A part fitted, as `fit_part` takes it."""

    part: Part | None
    description: str
    quantity_thousandths: int
    state: str
    position: str
    unit_price_ten_thousandths: int | None
    under_warranty: bool


class FitForm(_FromStockForm):
    """A part used on the job."""

    position = forms.CharField(
        label="Position",
        max_length=60,
        required=False,
        help_text="C12, Q701",
        widget=forms.TextInput(attrs={"class": "w-short", "autocapitalize": "characters"}),
    )
    state = forms.ChoiceField(
        label="State", choices=PartState, initial=PartState.NEW, required=False, widget=forms.RadioSelect
    )
    unit_price = UnitPriceField(label="Price each", required=False, help_text="Empty: the price rule’s.")
    under_warranty = forms.BooleanField(label="Under warranty, not charged", required=False)

    def facts(self) -> FitFacts:
        """The part that was fitted."""
        data = self.cleaned_data
        return {
            "part": data["part"],
            "description": "" if data["part"] is not None else data["drawer"],
            "quantity_thousandths": data["quantity"],
            "state": data["state"] or PartState.NEW,
            "position": data["position"],
            "unit_price_ten_thousandths": data["unit_price"],
            "under_warranty": data["under_warranty"],
        }


class WantFacts(TypedDict):
    """A part that a job waits for, as `want_part` takes it."""

    part: Part | None
    description: str
    quantity_thousandths: int


class WantForm(_FromStockForm):
    """A part that the job waits for."""

    set_aside = forms.BooleanField(label="The job waits until it has come", required=False)

    def facts(self) -> WantFacts:
        """The part that is wanted."""
        data = self.cleaned_data
        return {
            "part": data["part"],
            "description": "" if data["part"] is not None else data["drawer"],
            "quantity_thousandths": data["quantity"],
        }
