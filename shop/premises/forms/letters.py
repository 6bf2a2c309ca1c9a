"""A letter of the outbox, as it is changed before it goes."""

from __future__ import annotations

from typing import TypedDict

from django import forms

from shop.frame.formwork import PlainForm, TextField


class LetterFacts(TypedDict):
    """A letter, as `change_message` takes it."""

    to: str
    subject: str
    body: str


class LetterForm(PlainForm):
    """To whom, about what, and what it says."""

    to = forms.EmailField(max_length=254)
    subject = forms.CharField(max_length=200)
    body = TextField(label="Letter", rows=14, max_length=20_000)

    def facts(self) -> LetterFacts:
        """The letter as it was typed."""
        data = self.cleaned_data
        return {"to": data["to"], "subject": data["subject"], "body": data["body"]}
