"""Markings read without a job beside them: a date, and a device's designation."""

from __future__ import annotations

from collections.abc import Iterator

from django import forms

from shop.bench.judging import not_told
from shop.bench.sums.asking import Said, SumForm
from shop.frame import clock
from shop.frame.spelling import short_day
from shop.handbook.datecodes import Certainty, read_date
from shop.handbook.designations import read_designation
from shop.handbook.in_words import listed

COPIED = {"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}


class DateSum(SumForm):
    """Every date that a marking can stand for."""

    slug = "date"
    title = "Date on a part"
    about = "Codes and stamps: every date they can stand for, up to today. The unit decides between them."

    marking = forms.CharField(
        label="What stands there",
        max_length=60,
        help_text="7832, 999832, K8, 14 MAR 1992, S53.8.14",
        widget=forms.TextInput(attrs=COPIED),
    )

    def reckon(self) -> Iterator[Said]:
        """Each reading with the days that it allows, in the order of time."""
        data = self.cleaned_data
        for one in read_date(data["marking"], clock.today()):
            first, last = short_day(one.first), short_day(one.last)
            days = first if first == last else f"{first} to {last}"
            doubtful = one.certainty is Certainty.DOUBTFUL
            yield Said(one.reading, days, "close" if doubtful else "", "doubtful")


class DeviceSum(SumForm):
    """What a device's designation says, and what it doesn't."""

    slug = "device"
    title = "Device designation"
    about = "What the number on a transistor or diode says, and what it does not."

    marking = forms.CharField(
        label="What stands on it",
        max_length=40,
        help_text="2SC1815-GR, D965, BC547B, 2N3055",
        widget=forms.TextInput(attrs=COPIED),
    )

    def reckon(self) -> Iterator[Said]:
        """Each type that the marking can be, then what none of them tells."""
        data = self.cleaned_data
        readings = read_designation(data["marking"])
        for one in readings:
            said = "; ".join(one.says) or "no more than its number"
            yield Said(one.full, said, "close" if one.guess else "", "a guess")
        if silent := not_told(readings):
            yield Said("It does not tell", listed(silent))
