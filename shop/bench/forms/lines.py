"""Findings, evidence of earlier work, photographs, the conclusion, and striking a line out."""

from __future__ import annotations

from typing import Any, TypedDict

from django import forms
from django.core.exceptions import ValidationError

from shop.bench.forms.entry import BenchForm
from shop.bench.models import EvidenceKind, FailureMode, KnownBy
from shop.counter.models import JobPicture
from shop.counter.stages import CHOSEN_OUTCOMES, Outcome
from shop.frame.formwork import TextField
from shop.handbook.cautions import CAUTIONS
from shop.keeping.fields import PhotosField

BENCH_OUTCOMES = [(one.value, one.label) for one in CHOSEN_OUTCOMES if one != Outcome.UNCLAIMED]


class FindingForm(BenchForm):
    """What was seen, in words."""

    text = TextField(
        label="What you found",
        rows=3,
        max_length=8000,
        error_messages={"required": "Say what was found."},
    )
    beyond = forms.BooleanField(label="A further fault, beyond what is agreed: stop and ask", required=False)


class EvidenceFacts(TypedDict):
    """A trace of an earlier repair, as `add_evidence` takes it."""

    kind: str
    where: str
    marking: str
    note: str
    untouched: bool
    chosen: int | None


class EvidenceForm(BenchForm):
    """A trace of an earlier repair: where it is, and what stands there."""

    kind = forms.ChoiceField(
        label="What it is",
        choices=EvidenceKind,
        initial=EvidenceKind.DATE_CODE,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what it is."},
    )
    where = forms.CharField(
        label="Where",
        max_length=160,
        widget=forms.TextInput(
            attrs={
                "autocomplete": "off",
                "autocapitalize": "characters",
                "enterkeyhint": "next",
                "data-after-tile": "",
            }
        ),
        error_messages={"required": "Say where it was found."},
    )
    marking = forms.CharField(
        label="Marking",
        max_length=120,
        required=False,
        help_text="Exactly as it stands there.",
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}
        ),
    )
    note = forms.CharField(label="Note", required=False, max_length=2000)
    untouched = forms.BooleanField(label="In its factory solder", required=False)
    chosen = forms.IntegerField(required=False, min_value=0, widget=forms.HiddenInput)

    def facts(self) -> EvidenceFacts:
        """The trace that was typed."""
        data = self.cleaned_data
        return {
            "kind": data["kind"],
            "where": data["where"],
            "marking": data["marking"],
            "note": data["note"],
            "untouched": data["untouched"],
            "chosen": data["chosen"],
        }


class PhotosForm(BenchForm):
    """Photographs from the camera, several at once."""

    photos = PhotosField(label="Photographs")
    shows = forms.ChoiceField(
        label="They show",
        choices=[
            (JobPicture.Shows.BENCH, "On the bench"),
            (JobPicture.Shows.BEFORE, "Before"),
            (JobPicture.Shows.AFTER, "After"),
        ],
        initial=JobPicture.Shows.BENCH,
        required=False,
        widget=forms.RadioSelect,
    )
    caption = forms.CharField(label="Caption", max_length=200, required=False)

    def clean_photos(self) -> list[object]:
        """At least one."""
        photos: list[Any] = self.cleaned_data["photos"]
        if not photos:
            raise ValidationError("Take or choose a photograph first.")
        return photos

    def clean_shows(self) -> str:
        """The bench, unless something else was said."""
        return self.cleaned_data["shows"] or JobPicture.Shows.BENCH


class CaptionForm(BenchForm):
    """What the photographs of an entry show, said once they are on their way."""

    of = forms.UUIDField(widget=forms.HiddenInput, error_messages={"required": "Take a photograph first."})
    shows = forms.ChoiceField(choices=[("", ""), *JobPicture.Shows.choices], required=False)
    caption = forms.CharField(label="Caption", max_length=200, required=False)


class ConclusionFacts(TypedDict):
    """What had failed and what fixed it, as `conclude` takes it."""

    failed: str
    position: str
    mode: str
    remedy: str
    outcome: str
    watch: str
    known_by: str
    tell_how_known: bool


class ConclusionForm(BenchForm):
    """What had failed, how, and what fixed it."""

    failed = forms.CharField(
        label="What had failed",
        max_length=200,
        required=False,
        help_text="Capstan motor driver IC",
        widget=forms.TextInput(attrs={"autocomplete": "off", "enterkeyhint": "next"}),
    )
    position = forms.CharField(
        label="Position",
        max_length=60,
        required=False,
        help_text="IC301, Q12",
        widget=forms.TextInput(attrs={"class": "w-short", "autocapitalize": "characters"}),
    )
    mode = forms.ChoiceField(
        label="How",
        choices=FailureMode,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose how it had failed."},
    )
    remedy = TextField(
        label="What fixed it",
        widget=forms.Textarea(attrs={"rows": 2, "data-after-tile": ""}),
        max_length=8000,
        error_messages={"required": "Say what fixed it, or why nothing did."},
    )
    outcome = forms.ChoiceField(
        label="How it ended", choices=BENCH_OUTCOMES, initial=Outcome.REPAIRED, widget=forms.RadioSelect
    )
    known_by = forms.ChoiceField(
        label="How do you know?", choices=KnownBy, required=False, widget=forms.RadioSelect
    )
    tell_how_known = forms.BooleanField(label="Print that in the report", required=False)
    watch = forms.CharField(
        label="What the customer should watch", max_length=2000, required=False, help_text="Printed for them."
    )

    def facts(self) -> ConclusionFacts:
        """What was stated."""
        data = self.cleaned_data
        return {
            "failed": data["failed"],
            "position": data["position"],
            "mode": data["mode"],
            "remedy": data["remedy"],
            "outcome": data["outcome"],
            "watch": data["watch"],
            "known_by": data["known_by"],
            "tell_how_known": data["tell_how_known"],
        }


class StrikeForm(BenchForm):
    """Why a line is struck out."""

    reason = forms.CharField(
        label="Why",
        max_length=200,
        error_messages={"required": "Say why this line is struck out."},
    )


class OverruleForm(BenchForm):
    """Why a suggestion does not hold here."""

    reason = forms.CharField(
        label="Why it doesn’t apply here",
        max_length=200,
        error_messages={"required": "Say why it does not hold here."},
    )


class CautionsForm(BenchForm):
    """Which cautions were read."""

    key = forms.MultipleChoiceField(
        choices=[(one.key, one.title) for one in CAUTIONS],
        error_messages={
            "required": "There was nothing to read.",
            "invalid_choice": "There is no such caution.",
        },
    )
