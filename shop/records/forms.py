"""What a person may type in the records, and the sentence they get when it is wrong."""

from __future__ import annotations

from django import forms
from django.core.exceptions import ValidationError

from shop.handbook.words import stored_tokens
from shop.premises.formwork import PlainForm

MOST_PHRASES = 12


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
