"""Each kind of proposal: how it is called, the form that it fills, and the action that writes it down. Declared here once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django import forms as django_forms
from django.db.models import Model

from shop.bench import actions, forms, stock
from shop.bench.actions.saying import SpokenBy
from shop.bench.models import EvidenceKind, WorkKind
from shop.bench.page import BenchPage
from shop.bench.saying import filling
from shop.counter.models import Job
from shop.frame import clock
from shop.handbook.datecodes import NotADate, read_date
from shop.handbook.spoken import Kind, Proposal
from shop.stockroom import actions as stockroom
from shop.stockroom.models import Part


class HeardReadingForm(forms.ReadingForm):
    """A reading that was heard: its test point is chosen from a list."""

    def __init__(self, *args: object, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, job=job, **kwargs)
        field: Any = self.fields["test_point"]
        field.widget = django_forms.Select(choices=[("", "Another place"), *field.choices[:-1]])


class HeardTraceForm(forms.EvidenceForm):
    """A trace that was heard: a date that can be read in several ways is chosen, or left open."""

    chosen = django_forms.TypedChoiceField(  # type: ignore[assignment]
        label="It can be read in several ways",
        coerce=int,
        empty_value=None,
        required=False,
        widget=django_forms.RadioSelect,
    )

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, job=job, **kwargs)
        for name in ("kind",):
            self.fields[name].widget = django_forms.Select(choices=EvidenceKind.choices)
        marking = self["marking"].value() or ""
        field: Any = self.fields["chosen"]
        field.choices = [("", "Leave it open"), *((str(at), text) for at, text in _readings(marking))]

    @property
    def is_doubtful(self) -> bool:
        """Whether the marking can be read in more than one way."""
        field: Any = self.fields["chosen"]
        return len(field.choices) > 2


def _readings(marking: str) -> list[tuple[int, str]]:
    """The ways in which a marking is a date."""
    try:
        return [(at, one.reading) for at, one in enumerate(read_date(marking, clock.today()))]
    except NotADate:
        return []


class HeardPartForm(forms.FitForm):
    """A part that was heard: what lies in the drawers under these words is offered."""

    def __init__(self, *args: object, job: Job, drawers: stock.Drawers, **kwargs: object) -> None:
        self.drawers = drawers
        super().__init__(*args, job=job, **kwargs)

    def _at_first(self) -> list[Part]:
        return self._like(str(self["drawer"].value() or ""))

    def _like(self, words: str) -> list[Part]:
        return self.drawers.like(words)


class SpentForm(forms.BenchForm):
    """Time that was spent, up to the moment at which it was said."""

    minutes = django_forms.IntegerField(
        label="Minutes",
        min_value=1,
        max_value=16 * 60,
        error_messages={
            "required": "Say how many minutes.",
            "invalid": "Say it in whole minutes.",
            "min_value": "Say how many minutes.",
            "max_value": "That is longer than sixteen hours.",
        },
        widget=django_forms.TextInput(attrs={"inputmode": "numeric", "class": "w-short"}),
    )
    kind = django_forms.ChoiceField(label="Work", choices=WorkKind, required=False)


@dataclass(frozen=True, slots=True)
class KindOfCard:
    """How one kind of proposal is shown and taken."""

    label: str
    form: type[forms.BenchForm]
    fields: tuple[str, ...]
    """Those that can be changed; the first ones are what its line says."""
    fill: Callable[[BenchPage, Proposal], filling.Filled]
    write: Callable[[Any, SpokenBy], Model]
    line_kind: str
    why_alone: str = ""
    """Why it is never taken along with all that is sure."""
    with_points: bool = False
    with_drawers: bool = False
    said_in: int = 4
    """How many of the fields its line says."""


def _spent(form: SpentForm, by: SpokenBy) -> Model:
    until = by.at
    return actions.add_stint(
        job=by.job,
        started_at=until - dt.timedelta(minutes=form.cleaned_data["minutes"]),
        stopped_at=until,
        kind=form.cleaned_data["kind"] or WorkKind.REPAIR,
        by=by.staff,
    )


_WORDS: dict[str, Any] = {
    "form": forms.FindingForm,
    "fields": ("text",),
    "fill": filling.words,
    "write": lambda form, by: actions.add_finding(job=by.job, text=form.cleaned_data["text"], by=by.staff),
    "line_kind": "finding",
}
_TRACE: dict[str, Any] = {
    "form": HeardTraceForm,
    "fields": ("where", "marking", "kind", "chosen", "note"),
    "write": lambda form, by: actions.add_evidence(**form.facts(), job=by.job, by=by.staff),
    "line_kind": "evidence",
    "said_in": 2,
}

KINDS: dict[Kind, KindOfCard] = {
    Kind.READING: KindOfCard(
        "Reading",
        HeardReadingForm,
        ("where", "channel", "typed", "expected", "against", "condition", "quantity", "test_point", "meter"),
        filling.reading,
        lambda form, by: actions.add_reading(**form.facts(), as_said=True, job=by.job, by=by.staff),
        "reading",
        with_points=True,
        said_in=7,
    ),
    Kind.FINDING: KindOfCard("Finding", **_WORDS),
    Kind.TRACE: KindOfCard("Evidence of earlier work", fill=filling.trace, **_TRACE),
    Kind.DEVICE: KindOfCard("Device", fill=filling.device, **_TRACE),
    Kind.PART: KindOfCard(
        "Part fitted",
        HeardPartForm,
        ("drawer", "position", "quantity", "part", "state", "unit_price", "free", "under_warranty"),
        filling.part,
        lambda form, by: stockroom.fit_part(**form.facts(), job=by.job, by=by.staff),
        "part",
        "It comes from stock.",
        with_drawers=True,
        said_in=3,
    ),
    Kind.WORK: KindOfCard("Work done", **_WORDS),
    Kind.TEMPORARY: KindOfCard(
        "Temporarily installed",
        forms.TemporaryForm,
        ("what", "where"),
        filling.temporary,
        lambda form, by: actions.put_in_temporarily(
            job=by.job, what=form.cleaned_data["what"], where=form.cleaned_data["where"], by=by.staff
        ),
        "temporary",
    ),
    Kind.CONDITION: KindOfCard("Condition", **_WORDS),
    Kind.MISSING: KindOfCard("Did not come with it", **_WORDS),
    Kind.CONCLUSION: KindOfCard(
        "Conclusion",
        forms.ConclusionForm,
        ("failed", "position", "mode", "remedy", "known_by", "outcome"),
        filling.conclusion,
        lambda form, by: actions.conclude(**form.facts(), job=by.job, by=by.staff),
        "conclusion",
        "You write it yourself.",
        said_in=1,
    ),
    Kind.TEST: KindOfCard("Test", why_alone="You say that it passed.", **_WORDS),
    Kind.TIME: KindOfCard(
        "Time spent", SpentForm, ("minutes", "kind"), filling.time, _spent, "stint", "It is billed."
    ),
    Kind.TODO: KindOfCard(
        "To do",
        forms.LeftOffForm,
        ("text",),
        filling.words,
        lambda form, by: actions.leave_off(job=by.job, text=form.cleaned_data["text"], by=by.staff),
        "left_off",
    ),
    Kind.QUESTION: KindOfCard("Ask the customer", **_WORDS),
}
