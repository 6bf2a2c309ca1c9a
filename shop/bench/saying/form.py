"""The box in which one says what was found, and what is done with its cards."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.urls import reverse

from shop.bench.actions.saying import Choice, Decided
from shop.bench.forms import BenchForm
from shop.bench.models import Said
from shop.bench.page import BenchPage
from shop.bench.saying.cards import Card, Numbered, cards_of, digest_of
from shop.counter.models import Job
from shop.frame.formwork import TextField
from shop.handbook.spoken import LONGEST_LINE, read_line

LOOK = "Look at the marked cards."


def _mark(form: BenchForm, cards: Sequence[Card]) -> None:
    """Refuse the form where a card that is taken can't be."""
    if any(one.is_wrong for one in cards):
        form.add_error(None, LOOK)


class SayForm(BenchForm):
    """What was said, and its cards where they were seen; words that nobody has seen the cards of wait whole."""

    text = TextField(
        label="Say it",
        rows=3,
        max_length=LONGEST_LINE,
        widget=forms.Textarea(
            attrs={
                "rows": 3,
                "autocomplete": "off",
                "placeholder": "Relay coil reads open, should be about 650 ohms. Cleaned the volume pot.",
            }
        ),
        error_messages={"required": "Say something first."},
    )
    seen = forms.CharField(max_length=16, required=False, widget=forms.HiddenInput)

    def __init__(self, *args: object, job: Job, page: BenchPage, **kwargs: object) -> None:
        super().__init__(*args, job=job, **kwargs)
        self.page = page
        self.cards: list[Card] = []
        self.digest = ""
        self.kept: Said | None = None

    def keep(self, said: Said) -> Said:
        """Remember what was kept of this form, for where the person goes on."""
        self.kept = said
        return said

    @property
    def waits_at(self) -> str:
        """The page of words that were kept and of which nothing was taken yet; empty where there is none."""
        said, key = self.kept, self.once_key
        if said is None and key is not None:
            said = Said.objects.filter(entry=key, job=self.job).first()
        if said is None or said.takings.exists():
            return ""
        return reverse("bench:said", args=[self.job.number, said.pk])

    def clean(self) -> dict[str, object]:
        """Read the words again, and hold the cards that came along against them."""
        data = super().clean() or self.cleaned_data
        text = data.get("text")
        if not text:
            return data
        proposals = read_line(str(text))
        if not proposals:
            self.add_error("text", NOTHING)
        self.digest = digest_of(proposals)
        seen: Any = self.data if data.get("seen") == self.digest else None
        self.cards = cards_of(self.page, [Numbered(at, one) for at, one in enumerate(proposals)], seen)
        if seen is None:
            for one in self.cards:
                one.choice = Choice.LATER
        _mark(self, self.cards)
        return data

    def decided(self) -> list[Decided]:
        """What becomes of each card."""
        return [one.decided() for one in self.cards]


NOTHING = "Nothing here is for the record. What names a person or an address isn’t written down by this box."


class TakeForm(BenchForm):
    """What is done with cards that were kept for later."""

    def __init__(
        self, *args: object, job: Job, page: BenchPage, heard: Sequence[Numbered], **kwargs: object
    ) -> None:
        super().__init__(*args, job=job, **kwargs)
        self.cards = cards_of(page, heard, self.data if self.is_bound else None)  # type: ignore[arg-type]
        if self.is_bound and self.data.get("rest") == Choice.DROP:
            for one in self.cards:
                one.choice = Choice.DROP if one.choice == Choice.LATER else one.choice

    def clean(self) -> dict[str, object]:
        """Refuse where a card that is taken can't be, or where nothing was chosen."""
        data = super().clean() or self.cleaned_data
        if all(one.choice == Choice.LATER for one in self.cards):
            self.add_error(None, "Choose what is taken, or what is dropped.")
        _mark(self, self.cards)
        return data

    def decided(self) -> list[Decided]:
        """What becomes of each card."""
        return [one.decided() for one in self.cards]
