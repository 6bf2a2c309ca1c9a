"""Markings read without a job beside them: a date, and a device's designation."""

from __future__ import annotations

from collections.abc import Iterator

from django import forms

from shop.bench.judging import not_told
from shop.bench.sums.asking import Said, SumForm, choice, of_unit
from shop.frame import clock
from shop.frame.spelling import short_day
from shop.handbook.addresses import COUNTRIES
from shop.handbook.datecodes import Certainty, read_date
from shop.handbook.designations import read_designation
from shop.handbook.in_words import listed, plain
from shop.handbook.marks import colors, plugs, sources

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
        held: dict[str, str] = {}
        for one in read_date(data["marking"], clock.today()):
            code = (
                one.reading.removeprefix("source ").split(",")[0] if one.reading.startswith("source ") else ""
            )
            held |= {code: sources.SOURCES[code]} if code in sources.SOURCES else {}
            first, last = short_day(one.first), short_day(one.last)
            days = first if first == last else f"{first} to {last}"
            doubtful = one.certainty is Certainty.DOUBTFUL
            yield Said(one.reading, days, "close" if doubtful else "", "doubtful")
        for code, name in held.items():
            yield Said(f"Source {code}", f"{name} ({sources.AS_OF})")


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


class ColorsSum(SumForm):
    """Color codes of capacitors and inductors."""

    slug = "color-code"
    title = "Colors of capacitors and coils"
    about = "Tantalum beads, film capacitors with stripes, inductors with bands."
    words = "colour bands code tantalum inductor choke"

    body = choice("It is a", [(one.value, one.value.capitalize()) for one in colors.Body])
    bands = forms.CharField(label="Colors, in order", max_length=80, help_text="yellow violet red silver")

    def reckon(self) -> Iterator[Said]:
        """The value and what else the colors tell."""
        data = self.cleaned_data
        found = colors.read_colors(data["bands"], colors.Body(data["body"]))
        yield Said("Value", of_unit(found.value, found.unit))
        if found.percent is not None:
            yield Said("Tolerance", f"±{found.percent} %")
        if found.volt is not None:
            yield Said("Voltage", f"{plain(found.volt)} V")
        yield Said("Check", "makers’ codes differed: measure it before you trust it")


class SourceSum(SumForm):
    """An EIA source code."""

    slug = "eia-source"
    title = "EIA source code"
    about = "Whose the digits before the date are, on a pot, transformer, tube or loudspeaker."
    words = "maker manufacturer code potentiometer loudspeaker transformer dating"

    code = forms.CharField(label="The digits before the date", max_length=4, help_text="137")

    def reckon(self) -> Iterator[Said]:
        """The name and how far it may be trusted."""
        data = self.cleaned_data
        yield Said("Held by", sources.source_name(data["code"]))
        yield Said("Source", f"{sources.AS_OF}; the registrar’s list (ECIA) decides")


class OutletSum(SumForm):
    """A country's outlet."""

    slug = "plug"
    title = "Plug and line by country"
    about = "Which plug, voltage and frequency a set meets where it goes."
    words = "mains outlet socket voltage hertz 50 60 travel abroad"

    country = choice("Country", [(code, COUNTRIES[code].name.title()) for code in sorted(plugs.PLUGS)])

    def reckon(self) -> Iterator[Said]:
        """Plug, voltage, frequency."""
        data = self.cleaned_data
        found = plugs.outlet(data["country"])
        yield Said("Plug", f"type {found.letters} (IEC’s letters; check the plug itself)")
        volt = "differs by region" if found.volt is None else f"{plain(found.volt)} V"
        yield Said("Line", f"{volt}, {found.hertz} Hz: {found.source}")


class SafetyMarkSum(SumForm):
    """X and Y on a capacitor."""

    slug = "safety-mark"
    title = "X and Y on a capacitor"
    about = "What the class on a safety capacitor means, and where it may stand."
    caution = "Unplugged and discharged. Across the line nothing without such a mark."
    words = "x1 x2 y1 y2 class safety capacitor line filter"

    marking = forms.CharField(label="What stands on it", max_length=80, help_text="0.1 µF X2 275 V MKP")

    def reckon(self) -> Iterator[Said]:
        """Each class, or that there is none."""
        data = self.cleaned_data
        found = plugs.safety_classes(data["marking"])
        if not found:
            yield Said("Class", "none is marked: not for the line, whatever its voltage", "high", "no")
        for one in found:
            yield Said(one, f"{plugs.CLASSES[one]} (IEC 60384-14; check the current edition)")
