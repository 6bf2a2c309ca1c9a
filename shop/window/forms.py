"""What a customer may type at the window, and what the shop answers."""

from __future__ import annotations

from typing import Any, TypedDict

from django import forms

from shop.frame.formwork import PlainForm, TextField
from shop.handbook.law.distance import DistanceLaw
from shop.office.models import Authorisation, EstimateLine
from shop.window.actions import LONGEST_WORD

ANSWERS = [
    (Authorisation.Answer.YES, "Yes, go ahead"),
    (Authorisation.Answer.PARTLY, "Yes, but only what I check"),
    (Authorisation.Answer.NO, "No, do not repair it"),
]
ANSWERS_AFTER_A_YES = [
    *ANSWERS[:2],
    (Authorisation.Answer.NO, "No to this; what I agreed to before stands"),
    (Authorisation.Answer.WITHDRAWN, "No, do not repair it at all"),
]


ORDERS = {Authorisation.Answer.YES, Authorisation.Answer.PARTLY}


class AnswerGiven(TypedDict):
    """What `answer_estimate` takes of the customer's answer."""

    answer: str
    given_by: str
    accepted_lines: list[int]
    conditions: str
    begins_early: bool | None


class AnswerForm(PlainForm):
    """The answer to an estimate: yes, part of it or no, with the name typed and ticked."""

    answer = forms.ChoiceField(
        choices=ANSWERS,
        label="Your answer",
        widget=forms.RadioSelect,
        error_messages={"required": "Choose yes, part of it, or no."},
    )
    accepted = forms.MultipleChoiceField(
        required=False,
        label="Only this",
        widget=forms.CheckboxSelectMultiple,
        help_text="If you say yes to part of it.",
    )
    conditions = TextField(required=False, rows=2, max_length=1000, label="Anything we should know")
    given_by = forms.CharField(
        max_length=160, label="Your name", widget=forms.TextInput(attrs={"autocomplete": "name"})
    )
    meant = forms.BooleanField(
        label="I am the owner or may answer for them, and this is my answer.",
        error_messages={"required": "Check this box, so that we know that you mean it."},
    )

    begins_early = forms.BooleanField(required=False)

    def __init__(
        self,
        *args: object,
        lines: list[EstimateLine],
        agreed_before: bool = False,
        distance: DistanceLaw | None = None,
        **kwargs: object,
    ) -> None:
        super().__init__(*args, **kwargs)
        answer: Any = self.fields["answer"]
        if agreed_before:
            answer.choices = ANSWERS_AFTER_A_YES
        self.distance = distance
        if distance is None:
            del self.fields["begins_early"]
        else:  # a yes is an order, and has its button; a no has another
            self.fields["begins_early"].label = distance.request
            self.noes = [one for one in answer.choices if one[0] not in ORDERS]
            answer.required = "no" not in self.data
            answer.choices = [one for one in answer.choices if one[0] in ORDERS]
        accepted: Any = self.fields["accepted"]
        accepted.choices = [(str(line.pk), line.description) for line in lines if not line.takes_off]

    def clean(self) -> dict[str, object]:
        """A part of it needs a tick, and ticking everything is a yes."""
        data = super().clean() or self.cleaned_data
        if self.distance is not None and (refused := self.data.get("no")):
            if refused not in dict(self.noes):
                raise forms.ValidationError("Choose yes, part of it, or no.")
            data["answer"], data["begins_early"] = refused, None
        if data.get("answer") == Authorisation.Answer.PARTLY:
            everything = len(self.fields["accepted"].choices)  # type: ignore[attr-defined]
            if not data.get("accepted"):
                self.add_error("accepted", "Check what we should do.")
            elif len(data["accepted"]) == everything:
                data["answer"] = Authorisation.Answer.YES
        return data

    def facts(self) -> AnswerGiven:
        """The answer, for the action that writes it down."""
        data = self.cleaned_data
        return {
            "answer": data["answer"],
            "given_by": data["given_by"],
            "accepted_lines": [int(pk) for pk in data["accepted"]],
            "conditions": data["conditions"],
            "begins_early": data.get("begins_early"),
        }


class WithdrawForm(PlainForm):
    """What identifies who takes a contract back, and where the receipt goes."""

    given_by = forms.CharField(
        max_length=160, label="Your name", widget=forms.TextInput(attrs={"autocomplete": "name"})
    )
    email = forms.EmailField(
        required=False,
        max_length=254,
        label="E-mail for the receipt",
        help_text="It lies under your papers here, too.",
        error_messages={"invalid": "Write the whole address."},
    )


class WordForm(PlainForm):
    """A word to the shop, or back."""

    text = TextField(label="Message to the shop", rows=3, max_length=LONGEST_WORD)


class ReplyForm(WordForm):
    """What the shop answers."""

    text = TextField(label="Message to the customer", rows=3, max_length=LONGEST_WORD)
