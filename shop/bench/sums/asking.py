"""What every sum of the bench has: fields, an answer in lines, and the words in which it is noted on a job."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, ClassVar, Unpack

from django import forms
from django.core.exceptions import ValidationError

from shop.bench.forms.proving import MeasuredField
from shop.frame.formwork import BareForm, Unlabelled
from shop.frame.models import Measures
from shop.frame.number_field import NumberField
from shop.frame.profile import the_profile
from shop.frame.spelling import engineering
from shop.handbook.datecodes import NotADate
from shop.handbook.designations import NoDesignation
from shop.handbook.in_words import rounded
from shop.handbook.quantities import Kind, Unreadable, parse
from shop.handbook.refusal import Refused

REFUSALS = (Refused, NoDesignation, NotADate, Unreadable)
"""What the handbook says when it can't work with a value; each is one sentence for the person."""

INFINITE = Decimal("Infinity")
MM_PER_INCH = Decimal("25.4")


@dataclass(frozen=True, slots=True)
class Said:
    """One line of an answer. ``mark`` is a verdict's name, empty where nothing is judged; ``stamp`` is its word here."""

    label: str
    words: str
    mark: str = ""
    stamp: str = ""


class OpenField(MeasuredField):
    """A value for which over range tells something: its clean value is then infinite."""

    def clean(self, value: object) -> Decimal | None:
        """Read the value; over range is infinity."""
        text = forms.CharField.clean(self, value)
        if not text:
            return None
        try:
            quantity = parse(text, self.kind)
        except Unreadable as error:
            raise ValidationError(str(error)) from error
        return INFINITE if quantity.over_range else quantity.value


class SumForm(BareForm):
    """One sum: what is typed into it, and what the handbook makes of that. Nothing is kept."""

    slug: ClassVar[str]
    title: ClassVar[str]
    about: ClassVar[str]
    caution: ClassVar[str] = ""
    words: ClassVar[str] = ""
    """Other words under which a person looks for it."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.said: tuple[Said, ...] = ()
        for field in self.fields.values():
            if field.required:
                field.error_messages["required"] = "This is needed for the calculation."
            if isinstance(field, forms.ChoiceField):
                field.error_messages["invalid_choice"] = "Choose one of these."

    def reckon(self) -> Iterator[Said]:
        """The lines of the answer from clean values; may raise what stands in REFUSALS."""
        raise NotImplementedError

    def clean(self) -> dict[str, object]:
        """Work the sum out once every field can be read."""
        data = super().clean() or self.cleaned_data
        if not self.errors:
            try:
                self.said = tuple(self.reckon())
            except REFUSALS as refusal:
                raise ValidationError(str(refusal)) from refusal
        return data

    @property
    def answerless(self) -> str:
        """Why there is no answer yet, while one types: the first thing that can't be read, not what is still empty."""
        wrong = [said for name, errors in self.errors.items() for said in errors if self._is_filled(name)]
        return str(wrong[0]) if wrong else ""

    def _is_filled(self, name: str) -> bool:
        return name not in self.fields or bool(str(self[name].value() or "").strip())

    @property
    def note(self) -> str:
        """The sum as one line of a job's findings: what was typed, then what came out."""
        typed = [f"{field.label} {self._typed(field)}" for field in self if self._typed(field)]
        found = [f"{one.label}: {one.words}".rstrip(".") for one in self.said]
        return f"{self.title}. {', '.join(typed)}. {'. '.join(found)}."

    def _typed(self, bound: forms.BoundField) -> str:
        """What stands in a field, a choice by its words."""
        value = str(bound.value() or "").strip()
        offered = dict(getattr(bound.field, "choices", ()))
        return str(offered.get(value, value)) if value else ""


def of_unit(value: Decimal, unit: str) -> str:
    """A computed value as it is shown: four digits and the prefix that suits it."""
    return engineering(value, unit, 4)


def volts(label: str, kind: Kind = Kind.VOLTAGE_DC, **kwargs: Unpack[Unlabelled]) -> MeasuredField:
    """A field for a voltage."""
    return MeasuredField(kind=kind, label=label, **kwargs)


def ohms(label: str, **kwargs: Unpack[Unlabelled]) -> MeasuredField:
    """A field for a resistance."""
    return MeasuredField(kind=Kind.RESISTANCE, label=label, **kwargs)


def watts(label: str, **kwargs: Unpack[Unlabelled]) -> MeasuredField:
    """A field for a power."""
    return MeasuredField(kind=Kind.POWER, label=label, **kwargs)


def farads(label: str, **kwargs: Unpack[Unlabelled]) -> MeasuredField:
    """A field for a capacitance."""
    return MeasuredField(kind=Kind.CAPACITANCE, label=label, **kwargs)


def hertz(label: str, **kwargs: Unpack[Unlabelled]) -> MeasuredField:
    """A field for a frequency."""
    return MeasuredField(kind=Kind.FREQUENCY, label=label, **kwargs)


def amperes(label: str, kind: Kind = Kind.CURRENT_DC, **kwargs: Unpack[Unlabelled]) -> MeasuredField:
    """A field for a current."""
    return MeasuredField(kind=kind, label=label, **kwargs)


_BETWEEN = re.compile(r"\s*[;+]\s+|;|,\s+|\s+(?=[-+−–]?[.,]?[0-9])").split
_COMMA = re.compile(r"(?<=[0-9A-Za-zΩµ]),(?=[0-9])")


def several(typed: str, kind: Kind, example: str) -> list[Decimal]:
    """Values parted by spaces, semicolons, a plus, or a comma; raises Refused where a comma may be a decimal mark.

    ``12 mV, 3 mV``, ``4k7 10k``, ``4,7k; 10k``, ``4k7,10k``.
    """
    parts = [one for one in _BETWEEN(typed.strip().strip(";,")) if one]
    if len(parts) == 1 and _COMMA.search(parts[0]):
        parts = _by_comma(parts[0], kind)
    values = [parse(one, kind) for one in parts]
    if not values or any(one.over_range for one in values):
        raise Refused(f"Type the values with a space between them, such as {example}.")
    return [one.value for one in values]


def _by_comma(typed: str, kind: Kind) -> list[str]:
    """The parts of ``4k7,10k``; what may be one number too, such as ``4,7k``, is refused."""
    try:
        parse(typed, kind)
    except Unreadable:
        return typed.split(",")
    raise Refused(
        "A comma between two figures may part two values or belong to one: put a space between values."
    )


def _tiny(mode: str) -> forms.TextInput:
    return forms.TextInput(attrs={"inputmode": mode, "class": "w-tiny", "autocomplete": "off"})


def number(label: str, **kwargs: Unpack[Unlabelled]) -> NumberField:
    """A field for a number whose unit stands in its label."""
    kwargs.setdefault("widget", _tiny("decimal"))
    kwargs.setdefault("error_messages", {"invalid": "Type a number, such as 12.5."})
    return NumberField(label=label, **kwargs)


class LengthField(NumberField):
    """Millimeters, or inches where the unit is typed behind the number: `2.5 in`, `2.5"`."""

    def to_python(self, value: Any) -> Any:
        """The length in millimeters; one inch is 25.4 mm exactly (international yard and pound agreement of 1959)."""
        found = re.fullmatch(
            r"(.+?)\s*(mm|in|in\.|inch|inches|[\"″])", str(value or "").strip(), re.IGNORECASE
        )
        if found is None:
            return super().to_python(value)
        number = super().to_python(found[1])
        return number if found[2].lower() == "mm" or number is None else number * MM_PER_INCH


def length(label: str, **kwargs: Unpack[Unlabelled]) -> LengthField:
    """A field for a length, whose label says mm."""
    kwargs.setdefault("widget", _tiny("text"))
    kwargs.setdefault("error_messages", {"invalid": "Type a length, such as 12.5 or 0.5 in."})
    return LengthField(label=f"{label}, mm", **kwargs)


def of_length(*millimeters: Decimal, digits: int = 4) -> str:
    """A length, or from one to another, as it is shown: in millimeters, and in inches where the shop measures so."""
    said = f"{' to '.join(rounded(one, digits) for one in millimeters)} mm"
    if the_profile().measures != Measures.IMPERIAL:
        return said
    return f"{said} ({' to '.join(rounded(one / MM_PER_INCH, digits) for one in millimeters)} in)"


def whole(label: str, **kwargs: Unpack[Unlabelled]) -> forms.IntegerField:
    """A field for a whole number that isn't negative."""
    wrong = dict.fromkeys(("invalid", "min_value", "max_value"), "Type a whole number from 0 to 100000.")
    kwargs.setdefault("widget", _tiny("numeric"))
    kwargs.setdefault("error_messages", wrong)
    return forms.IntegerField(label=label, min_value=0, max_value=100_000, **kwargs)


def choice(label: str, offered: Sequence[tuple[str, str]], **kwargs: Unpack[Unlabelled]) -> forms.ChoiceField:
    """A field with few answers, side by side up to five; the first is set where one is needed."""
    kwargs.setdefault("widget", forms.RadioSelect if len(offered) <= 5 else forms.Select)
    if kwargs.get("required", True):
        kwargs.setdefault("initial", offered[0][0])
    return forms.ChoiceField(label=label, choices=list(offered), **kwargs)


def signed(value: Decimal, unit: str, places: int = 2) -> str:
    """A difference with its sign, to so many decimal places: ``+0.25 %``; nothing is ``0 %``."""
    cut = value.quantize(Decimal(1).scaleb(-places))
    if not cut and value:
        return f"{'+' if value > 0 else '−'}{rounded(abs(value), 2)} {unit}"
    text = f"{abs(cut):f}".rstrip("0").rstrip(".") if places else f"{abs(cut):f}"
    sign = "+" if cut > 0 else "−" if cut < 0 else ""
    return f"{sign}{text} {unit}"
