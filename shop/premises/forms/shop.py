"""What may be typed on the pages about the shop itself: profile, logo, terms, numbers."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from typing import Any, cast
from urllib.parse import urlsplit

from babel import Locale
from django import forms
from django.core.exceptions import ValidationError

from shop.frame import clock
from shop.frame.customs import known_locale
from shop.frame.formwork import DigitsField, PlainForm, TextField, UnitPriceField
from shop.frame.models import Measures, PaperSize, ShopProfile
from shop.handbook import law
from shop.handbook.money import CURRENCIES, UnitPrice
from shop.premises.actions import ProfileFacts
from shop.premises.zones import zone_choices

LARGEST_NUMBER = 9_999_999
MOST_ADDRESS_LINES = 7
LONGEST_ADDRESS_LINE = 60
MOST_DAYS = 3650


def _short(**attrs: object) -> forms.TextInput:
    return forms.TextInput(attrs={"class": "w-short", "autocomplete": "off", **attrs})


def _long() -> forms.TextInput:
    return forms.TextInput(attrs={"class": "w-long"})


def _whole(label: str, least: int, most: int, **more: Any) -> forms.IntegerField:
    """A whole number between two bounds, refused with one sentence that names them."""
    sentence = f"Write a whole number from {least:,} to {most:,}."
    return forms.IntegerField(
        label=label,
        min_value=least,
        max_value=most,
        widget=_short(inputmode="numeric"),
        error_messages={"invalid": sentence, "min_value": sentence, "max_value": sentence},
        **more,
    )


class ProfileForm(PlainForm):
    """The shop as its papers name it and as it reckons."""

    name = forms.CharField(label="Name of the shop", max_length=120, widget=_long())
    owner_name = forms.CharField(label="Owner", max_length=120, required=False, widget=_long())
    address = TextField(
        label="Address", max_length=500, rows=4, help_text="As it stands on a letter, one line a line."
    )
    country = forms.CharField(
        label="Country", max_length=2, widget=_short(), help_text="Two letters, such as US, GB or DE."
    )
    phone = forms.CharField(label="Telephone", max_length=40, required=False)
    email = forms.EmailField(
        label="E-mail",
        required=False,
        max_length=254,
        error_messages={"invalid": "Write the whole address, such as bench@shop.example."},
    )
    web_address = forms.CharField(
        label="Web address",
        required=False,
        max_length=200,
        widget=_long(),
        help_text="What a camera opens from the QR codes on tags and customers’ links: the address under which this shop "
        "is reached from outside, or from the tablet. Without it a camera may open nothing.",
    )
    registration_label = forms.CharField(
        label="Registration is called",
        max_length=80,
        required=False,
        help_text="Where repairers must register: what papers call it, such as “Registration no.”.",
    )
    registration_number = forms.CharField(label="Registration number", max_length=40, required=False)
    tax_number = forms.CharField(
        label="Tax number",
        max_length=40,
        required=False,
        help_text="As invoices must name it: VAT or seller’s permit.",
    )
    currency = forms.ChoiceField(
        label="Currency",
        choices=lambda: [(code, code) for code in sorted(CURRENCIES)],
        widget=forms.Select(attrs={"class": "w-short"}),
        help_text="It changes while no job is open and nothing is owed. Rates and prices keep their figures then.",
    )
    language = forms.CharField(
        label="Language of papers",
        max_length=10,
        widget=_short(),
        help_text="Such as en-US, en-GB or en-DE: dates and sums are written as there.",
    )
    time_zone = forms.ChoiceField(
        label="Time zone",
        widget=forms.Select(attrs={"class": "w-middle", "data-device-zone": ""}),
        error_messages={
            "required": "Choose the time zone of the shop.",
            "invalid_choice": "That is no time zone’s name, such as America/Los_Angeles or Europe/Berlin.",
        },
    )
    paper_size = forms.ChoiceField(label="Paper", choices=PaperSize.choices, widget=forms.RadioSelect)
    measures = forms.ChoiceField(
        label="Sizes and weights", choices=Measures.choices, widget=forms.RadioSelect
    )
    line_voltage = _whole("Line voltage", 90, 480)
    line_frequency = _whole("Line frequency", 16, 400)
    law_profile = forms.ChoiceField(
        label="Notices on papers",
        choices=law.names,
        widget=forms.Select(attrs={"class": "w-middle"}),
        help_text="An aid, not legal advice: check what holds where you are.",
    )
    warranty_days = _whole("Warranty on repairs", 0, MOST_DAYS)
    payment_days = _whole("Invoices are due after", 0, 365)
    bench_fee_ten_thousandths = UnitPriceField(
        label="Bench fee", required=False, help_text="Suggested for each unit, before tax; empty: none."
    )
    asks_year = forms.BooleanField(label="Ask for the year of make", required=False)
    asks_address = forms.BooleanField(label="Ask for the address of who has none", required=False)
    asks_first_word = forms.BooleanField(label="Ask by when the customer hears what is wrong", required=False)

    groups: tuple[tuple[str, tuple[str, ...]], ...] = (
        ("The shop", ("name", "owner_name", "address", "country", "phone", "email", "web_address")),
        (
            "On papers",
            ("registration_label", "registration_number", "tax_number", "paper_size", "law_profile"),
        ),
        ("How it writes", ("currency", "language", "time_zone", "measures")),
        ("How it works", ("line_voltage", "line_frequency", "warranty_days", "payment_days")),
        ("At intake", ("bench_fee_ten_thousandths", "asks_year", "asks_address", "asks_first_word")),
    )
    units = {"line_voltage": "V", "line_frequency": "Hz", "warranty_days": "days", "payment_days": "days"}
    wide = frozenset({"name", "owner_name", "address", "web_address"})

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        country = str(self["country"].value() or "").upper()
        zone_field = cast("forms.ChoiceField", self.fields["time_zone"])
        zone_field.choices = zone_choices(country, str(self["time_zone"].value() or ""))

    @classmethod
    def facts_of(cls, shop: ShopProfile) -> dict[str, object]:
        """What the form starts with."""
        facts = {name: getattr(shop, name) for name in cls.base_fields if name != "once"}
        fee = shop.bench_fee_ten_thousandths
        return {
            **facts,
            "bench_fee_ten_thousandths": "" if fee is None else UnitPrice(fee, shop.currency),
        }

    def facts(self) -> ProfileFacts:
        """The clean values as the action takes them."""
        return cast(
            "ProfileFacts", {name: value for name, value in self.cleaned_data.items() if name != "once"}
        )

    def fieldsets(self) -> list[tuple[str, list[tuple[forms.BoundField, str, bool]]]]:
        """The fields in their groups, each with its unit and whether it runs across."""
        return [
            (title, [(self[name], self.units.get(name, ""), name in self.wide) for name in names])
            for title, names in self.groups
        ]

    def clean_address(self) -> str:
        """A few lines, none longer than an envelope's window."""
        lines = [line.strip() for line in str(self.cleaned_data["address"]).splitlines() if line.strip()]
        if len(lines) > MOST_ADDRESS_LINES:
            raise ValidationError(f"That is {len(lines)} lines; up to {MOST_ADDRESS_LINES} fit on a paper.")
        if any(len(line) > LONGEST_ADDRESS_LINE for line in lines):
            raise ValidationError(
                f"One line is too long: up to {LONGEST_ADDRESS_LINE} characters fit on a paper."
            )
        return "\n".join(lines)

    def clean_country(self) -> str:
        """Two letters, written in capitals."""
        country = str(self.cleaned_data["country"]).upper()
        if not country.isalpha() or country not in Locale("en").territories:
            raise ValidationError(
                "That is no country’s two-letter code: the United States are US, Germany is DE."
            )
        return country

    def clean_web_address(self) -> str:
        """The address with its scheme, without a slash at the end."""
        address = str(self.cleaned_data["web_address"]).strip()
        if not address:
            return ""
        if "://" not in address:
            address = f"https://{address}"
        if not is_web_address(address):
            raise ValidationError("Write the whole address, such as https://shop.example.")
        return address.rstrip("/")

    def clean_language(self) -> str:
        """A language whose dates and sums we can write."""
        language = str(self.cleaned_data["language"])
        if known_locale(language) is None:
            raise ValidationError("That is no language tag we know, such as en-US or en-GB.")
        return language


_HOST = re.compile(r"[a-z0-9]([a-z0-9.-]*[a-z0-9])?|[0-9a-f:.]+:[0-9a-f:.]*", re.IGNORECASE)


def is_web_address(address: str) -> bool:
    """True for an address that a camera may open: web only, a host (a bare name on the shop's network too), perhaps a path."""
    try:
        parts = urlsplit(address)
        port_is_sound = parts.port is None or parts.port > 0
    except ValueError:
        return False
    plain = not (parts.username or parts.query or parts.fragment) and not re.search(r"[^!-~]", address)
    host_is_sound = bool(_HOST.fullmatch(parts.hostname or ""))
    return parts.scheme in {"http", "https"} and host_is_sound and port_is_sound and plain


class LogoForm(PlainForm):
    """The picture at the head of papers."""

    logo = forms.FileField(
        label="Logo",
        widget=forms.FileInput(attrs={"accept": "image/*"}),
        help_text="Black on white prints best. JPEG or PNG.",
        error_messages={"required": "Choose a picture first.", "empty": "This file is empty. Send it again."},
    )


class TermsForm(PlainForm):
    """The shop's terms from a day on."""

    from_date = forms.DateField(
        label="From",
        initial=clock.today,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "That is no date of the calendar."},
    )
    text = TextField(
        label="Terms", rows=12, max_length=20_000, help_text="An empty line begins a new paragraph."
    )

    def clean_from_date(self) -> dt.date:
        """Today or later, and within a few years: yesterday's papers are printed."""
        day: dt.date = self.cleaned_data["from_date"]
        if day < clock.today():
            raise ValidationError("Terms can’t begin in the past: papers of those days are printed.")
        if day.year > clock.today().year + 5:
            raise ValidationError("That is more than five years away; check the year.")
        return day


class NextNumberForm(PlainForm):
    """Where a number series goes on."""

    series = forms.RegexField(r"^[a-z_]{1,20}$", widget=forms.HiddenInput)
    year = forms.IntegerField(min_value=2000, max_value=9999, widget=forms.HiddenInput)
    value = _whole("Next number", 1, LARGEST_NUMBER)


WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
MINUTES_OF_A_DAY = 24 * 60


class HoursField(DigitsField):
    """Hours of a day, as a number (2.5) or as hours and minutes (2:30); cleaned to minutes."""

    def clean(self, value: Any) -> int:
        """Minutes, 0 for nothing typed."""
        typed = str(super().clean(value) or "").strip().replace(",", ".")
        minutes = _minutes(typed)
        if minutes is None or not 0 <= minutes <= MINUTES_OF_A_DAY:
            raise ValidationError("Write hours between 0 and 24, such as 2, 2.5 or 2:30.")
        return minutes


def _minutes(typed: str) -> int | None:
    if not typed:
        return 0
    if match := re.fullmatch(r"([0-9]{1,3}):([0-5][0-9])", typed):
        return int(match[1]) * 60 + int(match[2])
    return round(float(typed) * 60) if re.fullmatch(r"[0-9]{1,3}(\.[0-9]{1,3})?", typed) else None


def _hours_field(label: str) -> HoursField:
    return HoursField(label=label, required=False)


class HoursForm(PlainForm):
    """Hours for the bench on each weekday, from a day on."""

    from_date = forms.DateField(
        label="From",
        initial=clock.today,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "That is no date of the calendar."},
    )
    monday = _hours_field("Monday")
    tuesday = _hours_field("Tuesday")
    wednesday = _hours_field("Wednesday")
    thursday = _hours_field("Thursday")
    friday = _hours_field("Friday")
    saturday = _hours_field("Saturday")
    sunday = _hours_field("Sunday")

    @classmethod
    def facts_of(cls, minutes: Sequence[int]) -> dict[str, object]:
        """What the form starts with."""
        return {name: f"{one / 60:g}" for name, one in zip(WEEKDAYS, minutes, strict=True)}

    @property
    def minutes(self) -> list[int]:
        """Minutes of the seven days, Monday first."""
        return [self.cleaned_data[name] for name in WEEKDAYS]

    def clean_from_date(self) -> dt.date:
        """Within a few years of today."""
        day: dt.date = self.cleaned_data["from_date"]
        return _near(day)

    def clean(self) -> dict[str, object]:
        """Some time at all: a bench that nobody works at gives no dates."""
        cleaned = super().clean() or self.cleaned_data
        if not self.errors and not any(cleaned[name] for name in WEEKDAYS):
            raise ValidationError(
                "Without bench time in the week no job is ever ready. Write hours for one day."
            )
        return cleaned


class DaysOffForm(PlainForm):
    """Days on which nothing is done."""

    first = forms.DateField(label="First day", widget=forms.DateInput(attrs={"type": "date"}))
    last = forms.DateField(
        label="Last day",
        widget=forms.DateInput(attrs={"type": "date"}),
        required=False,
        help_text="Empty: that one day.",
    )
    why = forms.CharField(label="Why", max_length=80, required=False)

    def clean_first(self) -> dt.date:
        """Within a few years of today."""
        return _near(self.cleaned_data["first"])

    def clean(self) -> dict[str, object]:
        """In order, and no longer than a year."""
        cleaned = super().clean() or self.cleaned_data
        first, last = cleaned.get("first"), cleaned.get("last") or cleaned.get("first")
        if first and last and last < first:
            self.add_error("last", "The last day lies before the first.")
        elif first and last and (last - first).days > 366:
            self.add_error("last", "That is more than a year; check the dates.")
        return {**cleaned, "last": last}


class PromiseRulesForm(PlainForm):
    """How promised dates are dealt with."""

    retell_days = _whole(
        "Tell the customer again when it moves by more than",
        0,
        60,
        help_text="A promised date that moves by more days than this is told again.",
    )
    quiet_hour = _whole(
        "Nothing loud after", 12, 24, help_text="From this hour of the evening nothing loud is planned."
    )
    on_papers = forms.BooleanField(label="Claim checks and estimates carry the date", required=False)


def _near(day: dt.date) -> dt.date:
    if abs((day - clock.today()).days) > 5 * 366:
        raise ValidationError("That is more than five years away; check the year.")
    return day
