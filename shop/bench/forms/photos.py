"""What is said of one photograph: caption, what it shows, its pair, who gets to see it, and marks on it."""

from __future__ import annotations

import json
from typing import Any, TypedDict

from django import forms
from django.core.exceptions import ValidationError

from shop.bench.forms.entry import BenchForm
from shop.counter.models import Job, JobPicture
from shop.keeping.marks import Mark, UnreadableMarks, read_marks


class PhotoFacts(TypedDict):
    """What a photograph shows, as `describe_picture` takes it."""

    caption: str
    shows: str
    in_report: bool
    for_customer: bool
    marks: list[Mark]
    pair: JobPicture | None


class PhotoForm(BenchForm):
    """One kept photograph. `others` are those of the same job that may be its pair."""

    caption = forms.CharField(label="Caption", max_length=200, required=False)
    shows = forms.ChoiceField(label="It shows", choices=JobPicture.Shows, widget=forms.RadioSelect)
    pair = forms.ChoiceField(label="Before and after: belongs with", required=False, widget=forms.RadioSelect)
    in_report = forms.BooleanField(label="Into the repair report", required=False)
    for_customer = forms.BooleanField(label="The customer may see it", required=False)
    marks = forms.CharField(max_length=100_000, required=False, widget=forms.HiddenInput)

    def __init__(
        self, *args: object, job: Job, kept: JobPicture, others: list[JobPicture], **kwargs: object
    ) -> None:
        kwargs["initial"] = {
            "caption": kept.caption,
            "shows": kept.shows,
            "pair": str(kept.pair_id or ""),
            "in_report": kept.in_report,
            "for_customer": kept.for_customer,
            "marks": json.dumps(kept.picture.marks),
        }
        super().__init__(*args, job=job, **kwargs)
        self.others = {str(one.pk): one for one in others}
        field: Any = self.fields["pair"]
        field.choices = [("", "None"), *((pk, str(one)) for pk, one in self.others.items())]

    def clean_marks(self) -> list[Mark]:
        """Only what marks consist of."""
        try:
            return read_marks(self.cleaned_data["marks"])
        except UnreadableMarks as error:
            raise ValidationError(str(error)) from error

    def facts(self) -> PhotoFacts:
        """What was said of it."""
        data = self.cleaned_data
        return {
            "caption": data["caption"],
            "shows": data["shows"],
            "in_report": data["in_report"],
            "for_customer": data["for_customer"],
            "marks": data["marks"],
            "pair": self.others.get(data["pair"]),
        }
