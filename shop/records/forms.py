"""What a person may type in the records, and the sentence they get when it is wrong."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from shop.handbook.words import stored_tokens
from shop.premises.formwork import PlainForm
from shop.records.bringing_in.columns import COLUMNS
from shop.records.models import Batch

MOST_PHRASES = 12
LARGEST_LIST = 40 << 20


class SaveSearchForm(PlainForm):
    """Keep the present search under a name."""

    name = forms.CharField(max_length=80, label="Keep this search as")
    query = forms.CharField(max_length=400, widget=forms.HiddenInput, label="Search")


class SynonymForm(PlainForm):
    """One row of words that mean the same."""

    words = forms.CharField(
        max_length=300,
        label="Words that mean the same",
        help_text="With commas: scratchy, crackles, noisy pot",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def clean_words(self) -> str:
        """At least two different words or phrases, each with a letter or digit in it."""
        phrases = [" ".join(phrase.split()) for phrase in self.cleaned_data["words"].split(",")]
        meant = {stored_tokens(phrase): phrase for phrase in phrases if stored_tokens(phrase)}
        if len(meant) < 2:
            raise ValidationError("Type two words or more that differ, with commas between them.")
        if len(meant) > MOST_PHRASES:
            raise ValidationError(
                f"Up to {MOST_PHRASES} words go into one row; make a second row of the rest."
            )
        return ", ".join(meant.values())


class BatchForm(PlainForm):
    """A list of old jobs as a file."""

    file = forms.FileField(
        label="List of old jobs",
        help_text="CSV or XLSX, one job a row, with a header. Nothing is brought in before you have seen how it is read.",
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,.xlsx"}),
        error_messages={"required": "Choose a file.", "empty": "This file is empty."},
    )

    def clean_file(self) -> Any:
        """Neither too large nor something else."""
        file = self.cleaned_data["file"]
        if file.size > LARGEST_LIST:
            raise ValidationError(
                f"This file is larger than {LARGEST_LIST >> 20} MB. Split it, or use the command bring_in."
            )
        return file


class MatchForm(PlainForm):
    """Which column of the list holds what; one choice for each thing that a job may have."""

    def __init__(self, *args: Any, batch: Batch, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [
            ("", "not in this list"),
            *((str(at), name or f"column {at + 1}") for at, name in enumerate(batch.header)),
        ]
        for column in COLUMNS:
            self.fields[column.key] = forms.ChoiceField(
                choices=choices,
                required=column.required,
                label=column.label,
                initial=str(batch.columns.get(column.key, "")),
                error_messages={"required": f"Choose the column that holds it: {column.label.lower()}."},
            )

    @property
    def columns(self) -> dict[str, int]:
        """The place of the column chosen for each thing."""
        return {
            column.key: int(self.cleaned_data[column.key])
            for column in COLUMNS
            if self.cleaned_data.get(column.key)
        }

    def clean(self) -> dict[str, Any]:
        """No column means two things."""
        data = super().clean() or self.cleaned_data
        taken: dict[str, str] = {}
        for column in COLUMNS:
            at = data.get(column.key)
            if at and at in taken:
                self.add_error(column.key, f"This column was chosen for “{taken[at].lower()}” already.")
            elif at:
                taken[at] = column.label
        return data


class ForgetForm(PlainForm):
    """The customer's name, typed once more: what is forgotten can't be brought back."""

    typed = forms.CharField(
        max_length=160,
        label="Type the name to forget it",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, *args: Any, name: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.name = name

    def clean_typed(self) -> str:
        """The very name."""
        typed = str(self.cleaned_data["typed"])
        if " ".join(typed.split()).casefold() != " ".join(self.name.split()).casefold():
            raise ValidationError(f"That is not the name; it is written “{self.name}”.")
        return typed
