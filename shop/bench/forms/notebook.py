"""The notebook: what is temporarily installed, where one stopped, steps of a checklist, and parts in one go."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypedDict

from django import forms

from shop.bench import listing
from shop.bench.forms.entry import BenchForm
from shop.bench.models import FittedList, Taking, Temporary
from shop.counter.models import Job
from shop.frame.formwork import TextField
from shop.handbook.parts_list import ListError

USUAL = (
    *("Lamp in series", "Jumper", "Leg lifted", "Bigger fuse", "Protection bypassed", "Bias turned down"),
    *("Part pulled", "Shorted with solder", "Cover off"),
)
"""What is usually in a set for a while: common practice, no source."""

_PLAIN = {"autocomplete": "off", "enterkeyhint": "done"}


class TemporaryForm(BenchForm):
    """Something that is in the set, or out of it, for the time of the work."""

    usual = forms.ChoiceField(
        label="Usual",
        choices=[(one, one) for one in USUAL],
        required=False,
        widget=forms.RadioSelect,
    )
    what = forms.CharField(
        label="What",
        max_length=120,
        required=False,
        help_text="Or in words, with its place behind a comma",
        widget=forms.TextInput(attrs=_PLAIN),
    )
    where = forms.CharField(
        label="Where",
        max_length=160,
        required=False,
        help_text="Line cord, R735",
        widget=forms.TextInput(attrs={"autocomplete": "off", "enterkeyhint": "done", "data-after-tile": ""}),
    )

    def clean(self) -> dict[str, object]:
        """What was typed, else what was touched."""
        data = super().clean() or self.cleaned_data
        data["what"] = data.get("what") or data.get("usual") or ""
        if not data.get("where"):
            data["what"], _, data["where"] = (one.strip() for one in data["what"].partition(","))
        if not data["what"] and "what" not in self.errors:
            self.add_error("what", "Say what is temporarily installed.")
        return data


class PutBackForm(BenchForm):
    """Which of what is temporarily installed is put back."""

    temporary = forms.ModelChoiceField(
        queryset=Temporary.objects.none(),
        widget=forms.HiddenInput,
        error_messages={
            "required": "Choose what is put back.",
            "invalid_choice": "That is put back already, or of another job.",
        },
    )

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, job=job, **kwargs)
        field: Any = self.fields["temporary"]
        field.queryset = Temporary.objects.filter(job=self.job, struck_at__isnull=True)


class StopForm(BenchForm):
    """Stop the clock, and say where one stopped if it isn't for a moment only."""

    text = forms.CharField(
        label="Where I stopped",
        max_length=400,
        required=False,
        widget=forms.TextInput(
            attrs={
                "autocomplete": "off",
                "enterkeyhint": "done",
                "placeholder": "Where I stopped",
            }
        ),
    )


class LeftOffForm(BenchForm):
    """Where one stopped, while no clock runs."""

    text = forms.CharField(
        label="Where I stopped",
        max_length=400,
        widget=forms.TextInput(attrs={"autocomplete": "off", "enterkeyhint": "done"}),
        error_messages={"required": "Say where you stopped."},
    )


class TickFacts(TypedDict):
    """Steps of one checklist, as `tick` takes them."""

    checklist: str
    done: list[str]
    left_out: dict[str, str]


class ChecklistForm(BenchForm):
    """The checklists for this kind of unit: steps ticked, steps left out with a word, or all that are still open."""

    def __init__(self, *args: object, job: Job, checklists: Sequence[object] = (), **kwargs: object) -> None:
        super().__init__(*args, job=job, **kwargs)
        self.checklists = checklists

    def clean(self) -> dict[str, object]:
        """The checklist in which something was ticked: the first one, where there are several."""
        data = super().clean() or self.cleaned_data
        data["ticked"] = next((found for one in self.checklists if (found := self._of(one))), None)
        if data["ticked"] is None:
            self.add_error(None, "Check a step, or say why one is left out.")
        return data

    def _of(self, one: Any) -> TickFacts | None:
        every = self.data.get("all") == one.slug
        left_out = {
            step.text: word[:160]
            for step in one.open
            if (word := self.data.get(f"word-{step.name}", "").strip())
        }
        done = [
            step.text
            for step in one.open
            if step.text not in left_out and (every or self.data.get(f"done-{step.name}"))
        ]
        return {"checklist": one.name, "done": done, "left_out": left_out} if done or left_out else None

    def facts(self) -> TickFacts:
        """What was ticked."""
        ticked: TickFacts = self.cleaned_data["ticked"]
        return ticked


class ListFacts(TypedDict):
    """Several parts, as `fit_list` takes them."""

    text: str
    parts: list[listing.ListedPart]
    under_warranty: bool


class ListForm(BenchForm):
    """A list of parts: positions and values, with a comma between them."""

    text = TextField(
        label="Parts",
        rows=3,
        max_length=4000,
        help_text="C12 47u63, C13 C14 100u25, Q707 KSC3503 @1.20, left lead: RCA plug, C1–C12 recapped",
        widget=forms.Textarea(attrs={"rows": 3, "spellcheck": "false", "autocapitalize": "off"}),
        error_messages={"required": "Type positions and values: C12 47u63, C13 100u25."},
    )
    under_warranty = forms.BooleanField(label="Under warranty, not charged", required=False)

    def clean(self) -> dict[str, object]:
        """Look for each part in the drawers; a list that was only opened is shown before it is fitted."""
        data = super().clean() or self.cleaned_data
        if "text" not in data:
            return data
        try:
            data["parts"] = listing.parts_of(data["text"], self.job)
        except ListError as error:
            self.add_error("text", str(error))
            return data
        if any(one.listed.opens and one.listed.what for one in data["parts"]):
            posted: Any = self.data
            self.data = posted.copy()
            self.data["text"] = listing.spelled_out(data["parts"])  # type: ignore[index]
            self.add_error(
                "text", "This is the list from the model file: take out what was not renewed, then fit it."
            )
        return data

    def facts(self) -> ListFacts:
        """The parts that were listed."""
        data = self.cleaned_data
        return {"text": data["text"], "parts": data["parts"], "under_warranty": data["under_warranty"]}


class TakeBackForm(BenchForm):
    """Which list of parts is taken back."""

    fitted = forms.ModelChoiceField(
        queryset=FittedList.objects.none(),
        widget=forms.HiddenInput,
        error_messages={
            "required": "Choose a list.",
            "invalid_choice": "That list is taken back already, or of another job.",
        },
    )

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, job=job, **kwargs)
        field: Any = self.fields["fitted"]
        field.queryset = FittedList.objects.filter(job=self.job)


class TakeWordsBackForm(BenchForm):
    """Which taking of what was said is taken back."""

    taking = forms.ModelChoiceField(
        queryset=Taking.objects.none(),
        widget=forms.HiddenInput,
        error_messages={
            "required": "Choose what is taken back.",
            "invalid_choice": "That is taken back already, or of another job.",
        },
    )

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, job=job, **kwargs)
        field: Any = self.fields["taking"]
        field.queryset = Taking.objects.filter(job=self.job)
