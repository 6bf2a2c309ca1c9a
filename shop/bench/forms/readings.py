"""A reading: which quantity, where, what the meter shows, and what is expected there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypedDict

from django import forms

from shop.bench.forms.entry import BenchForm
from shop.bench.models import IN_WORDS, Meter, Reading
from shop.counter.models import ChannelOf, Job, TestPoint
from shop.handbook.isolation import Role
from shop.handbook.quantities import Kind, with_unit

QUANTITIES = [*((kind.value, kind.label) for kind in Kind), (IN_WORDS, "Result in words")]
CHANNELS = [("", "None"), *((one.value, one.label) for one in ChannelOf if one.value)]
ROLES = [("", "As its words say"), *((role.value, role.label) for role in Role)]


@dataclass(frozen=True, slots=True)
class OfferedPoint:
    """A test point as a tile offers it; `last` is the verdict of the last reading there on this job."""

    pk: int
    key: str
    name: str
    place: str
    quantity: str
    expected: str
    condition: str
    channel: str
    role: str
    last: str | None


class ReadingFacts(TypedDict):
    """A measured value, as `add_reading` takes it."""

    test_point: TestPoint | None
    where: str
    against: str
    adjuster: str
    quantity: str
    typed: str
    expected: str
    condition: str
    channel: str
    role: str
    meter: Meter | None
    after_repair: bool
    instead_of: Reading | None


class ReadingForm(BenchForm):
    """One measured value, from its panel or from a cell of the sheet.

    A chosen test point brings its place, quantity, condition and expectation along. `unit` is the cell's, for a number that was
    typed alone; `instead_of` is the reading that a cell typed anew corrects.
    """

    test_point = forms.ChoiceField(label="Test point", required=False, widget=forms.RadioSelect)
    where = forms.CharField(
        label="Where",
        max_length=160,
        required=False,
        help_text="TP4, motor supply",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    against = forms.CharField(
        label="Against",
        max_length=80,
        required=False,
        help_text="Chassis, emitter, the other end",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    adjuster = forms.CharField(max_length=60, required=False, widget=forms.HiddenInput)
    quantity = forms.ChoiceField(label="What is measured", choices=QUANTITIES, required=False)
    typed = forms.CharField(
        label="The meter shows",
        max_length=60,
        widget=forms.TextInput(attrs={"autocomplete": "off", "inputmode": "text", "spellcheck": "false"}),
        error_messages={"required": "Type what the meter shows."},
    )
    expected = forms.CharField(
        label="Expected",
        max_length=80,
        required=False,
        help_text="12 V ± 5 %, 5 to 20 ohm, at most 50 mV",
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )
    condition = forms.CharField(
        label="Condition", max_length=160, required=False, help_text="Playing, warm, no load"
    )
    channel = forms.CharField(
        label="Channel", max_length=20, required=False, widget=forms.Select(choices=CHANNELS)
    )
    role = forms.ChoiceField(label="What the point is to its circuit", choices=ROLES, required=False)
    meter = forms.ChoiceField(label="Meter", required=False)
    after_repair = forms.BooleanField(label="After the repair", required=False)
    unit = forms.CharField(max_length=10, required=False, widget=forms.HiddenInput)
    instead_of = forms.IntegerField(required=False, min_value=1, widget=forms.HiddenInput)

    def __init__(
        self,
        *args: object,
        job: Job,
        points: Sequence[TestPoint] = (),
        meters: Sequence[Meter] = (),
        **kwargs: object,
    ) -> None:
        super().__init__(*args, job=job, **kwargs)
        self._verdicts: dict[int, str] = {}
        self.points = {str(point.pk): point for point in points}
        self.meters = {str(meter.pk): meter for meter in meters}
        fields: Any = self.fields
        fields["test_point"].choices = [
            *((pk, point.name) for pk, point in self.points.items()),
            ("", "Another place"),
        ]
        fields["meter"].choices = [
            ("", "No meter named"),
            *((pk, one.name) for pk, one in self.meters.items()),
        ]

    quick = ("voltage_dc", "voltage_ac", "resistance", "diode", "current_dc", "capacitance")
    """Quantities that are chosen with one touch: common practice, no source."""

    def mark_measured(self, readings: Sequence[Reading]) -> None:
        """Show at each test point what was last read there."""
        self._verdicts = {
            one.test_point_id: one.verdict for one in readings if one.test_point_id and one.struck_at is None
        }

    @property
    def kinds(self) -> list[Kind]:
        """All quantities, with the units of their keypads."""
        return list(Kind)

    @property
    def offered(self) -> list[OfferedPoint]:
        """The test points as tiles, with what was last read there on this job."""
        return [
            OfferedPoint(
                pk=point.pk,
                key=key,
                name=f"{point.name} {point.channel}"
                if point.channel and point.channel not in point.name
                else point.name,
                place=point.where or point.name,
                quantity=point.quantity,
                expected=point.expected,
                condition=point.condition,
                channel=point.channel,
                role=point.role,
                last=self._verdicts.get(point.pk),
            )
            for key, point in self.points.items()
        ]

    def clean(self) -> dict[str, object]:
        """Fill what was left empty from the test point, then ask for what is still missing."""
        data = super().clean() or self.cleaned_data
        point = self.points.get(data.get("test_point") or "")
        data["test_point"] = point
        data["meter"] = self.meters.get(data.get("meter") or "")
        if point is not None:
            filled = {"where": point.where or point.name, "quantity": point.quantity}
            for name in ("condition", "expected", "channel", "role"):
                filled[name] = getattr(point, name)
            for name, value in filled.items():
                data[name] = data.get(name) or value
        if data.get("quantity") != IN_WORDS:
            data["typed"] = with_unit(data.get("typed", ""), data.get("unit", ""))[:60]
        pk = data.get("instead_of")
        data["instead_of"] = Reading.objects.filter(pk=pk, job=self.job).first() if pk else None
        if not data.get("where") and "where" not in self.errors:
            self.add_error("where", "Say where it was measured, or choose a test point.")
        if not data.get("quantity") and "quantity" not in self.errors:
            self.add_error("quantity", "Choose what was measured.")
        return data

    def facts(self) -> ReadingFacts:
        """The reading that was typed."""
        data = self.cleaned_data
        return {
            "test_point": data["test_point"],
            "where": data["where"],
            "against": data["against"],
            "adjuster": data["adjuster"],
            "quantity": data["quantity"],
            "typed": data["typed"],
            "expected": data["expected"],
            "condition": data["condition"],
            "channel": data["channel"],
            "role": data["role"],
            "meter": data["meter"],
            "after_repair": data["after_repair"],
            "instead_of": data["instead_of"],
        }
