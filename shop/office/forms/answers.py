"""The customer's answer: everything that 16 CCR 2722 asks to be noted when it was oral."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, TypedDict

from django import forms
from django.core.files.base import File

from shop.frame import clock
from shop.frame.formwork import PlainForm, SumField, TextField
from shop.frame.profile import the_profile
from shop.keeping.fields import DrawnField
from shop.office.models import Authorisation, Estimate, EstimateLine
from shop.office.pricing import rules_on

NOT_BY_STAFF = {Authorisation.How.WINDOW}


def ways(*, drawn: bool) -> list[tuple[str, str]]:
    """How an answer may be given to somebody of the shop; drawn ones only where the shop has switched that on."""
    left_out = NOT_BY_STAFF if drawn else {*NOT_BY_STAFF, Authorisation.How.DRAWN}
    return [(how.value, how.label) for how in Authorisation.How if how not in left_out]


UP_TO = {Authorisation.Answer.UP_TO, Authorisation.Answer.DIAGNOSIS, Authorisation.Answer.WITHDRAWN}


class AnswerFacts(TypedDict):
    """The customer's answer, as `record_answer` takes it."""

    answer: str
    how: str
    given_by: str
    phone_called: str
    up_to_minor: int | None
    accepted_lines: list[int]
    message: File[bytes] | None
    drawing: File[bytes] | None
    conditions: str
    begins_early: bool | None
    additional_work: str
    additional_minor: int


class AnswerForm(PlainForm):
    """An answer that somebody of the shop writes down, to `estimate` where one is with the customer."""

    estimate = forms.IntegerField(required=False, widget=forms.HiddenInput)  # the one that the page showed
    answer = forms.ChoiceField(choices=Authorisation.Answer, widget=forms.RadioSelect)
    how = forms.ChoiceField(label="How it was given", widget=forms.RadioSelect)
    given_by = forms.CharField(
        label="Name of who gave it",
        max_length=160,
        widget=forms.TextInput(attrs={"autocomplete": "off", "class": "w-middle"}),
    )
    phone_called = forms.CharField(
        label="Phone number called",
        required=False,
        max_length=60,
        widget=forms.TextInput(attrs={"class": "w-short"}),
    )
    ticked = forms.BooleanField(
        required=False,
        label="The person named has typed the name and checks this box: I agree to this estimate",
    )
    up_to = SumField(
        required=False,
        label="Up to, in all before tax",
        help_text="With “takes back”: what may be charged all the same for what was done.",
    )
    accepted_lines = forms.TypedMultipleChoiceField(
        label="Lines accepted", required=False, coerce=int, widget=forms.CheckboxSelectMultiple
    )
    message = forms.FileField(
        required=False,
        label="What the customer wrote",
        help_text="The letter or e-mail as PDF or text, kept with the answer.",
    )
    drawing = DrawnField()
    begins_early = forms.BooleanField(
        required=False, label="Asked expressly to begin before the right to withdraw ends"
    )
    conditions = TextField(required=False, rows=2, max_length=2000, label="Conditions of the consent")
    additional_work = TextField(
        required=False,
        rows=2,
        max_length=2000,
        label="Additional parts and labor",
        help_text="Where more than the estimate was agreed, or more on top of what is agreed.",
    )
    additional = SumField(required=False, label="Total additional cost, before tax")

    def __init__(
        self, *args: object, estimate: Estimate | None = None, at_a_distance: bool = False, **kwargs: object
    ) -> None:
        super().__init__(*args, **kwargs)
        if not at_a_distance:
            del self.fields["begins_early"]
        self.answered = estimate
        self.may_be_drawn = rules_on(clock.today()).drawn_signature
        how: Any = self.fields["how"]
        how.choices = ways(drawn=self.may_be_drawn)
        choice: Any = self.fields["accepted_lines"]
        lines: Iterable[EstimateLine] = estimate.lines.all() if estimate else ()
        choice.choices = [(line.pk, line.description) for line in lines if not line.takes_off]

    def clean(self) -> dict[str, object]:
        """What each answer needs beside itself."""
        data = super().clean() or self.cleaned_data
        shown = data.get("estimate")
        if shown is not None and (self.answered is None or shown != self.answered.pk):
            self.add_error(
                None, "Another estimate stands here by now. Look at it, then write down the answer."
            )
        if data.get("how") == Authorisation.How.PHONE and not data.get("phone_called"):
            by_law = the_profile().law.cited("16 CCR 2722(a)")
            self._ask("phone_called", f"Note the phone number called{by_law}.")
        if data.get("how") == Authorisation.How.SIGNED and not data.get("ticked"):
            self._ask("ticked", "Let the person check the box: they agree.")
        if data.get("how") == Authorisation.How.DRAWN and data.get("drawing") is None:
            self._ask("how", "Draw the signature in the box, or choose another way.")
        if data.get("answer") == Authorisation.Answer.UP_TO and data.get("up_to") is None:
            self._ask("up_to", "Say up to which sum.")
        if data.get("answer") == Authorisation.Answer.PARTLY and not data.get("accepted_lines"):
            self._ask("accepted_lines", "Check the lines that were accepted.")
        if data.get("answer") == Authorisation.Answer.MORE and not (
            data.get("additional") or data.get("accepted_lines")
        ):
            self._ask("additional", "Say what the additional work costs in all, before tax.")
        if data.get("additional_work") and data.get("additional") is None:
            self._ask("additional", "Say what the additional work costs in all, before tax.")
        if data.get("additional") and not data.get("additional_work"):
            self._ask("additional_work", "Say which additional parts and labor this covers.")
        return data

    def _ask(self, field: str, sentence: str) -> None:
        if field not in self.errors:
            self.add_error(field, sentence)

    def facts(self) -> AnswerFacts:
        """The answer that was given."""
        data = self.cleaned_data
        return {
            "answer": data["answer"],
            "how": data["how"],
            "given_by": data["given_by"],
            "phone_called": data["phone_called"],
            "up_to_minor": data["up_to"] if data["answer"] in UP_TO else None,
            "accepted_lines": data["accepted_lines"],
            "message": data["message"],
            "drawing": data["drawing"] if data["how"] == Authorisation.How.DRAWN else None,
            "conditions": data["conditions"],
            "begins_early": data.get("begins_early"),
            "additional_work": data["additional_work"],
            "additional_minor": data["additional"] or 0,
        }
