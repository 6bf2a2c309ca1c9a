"""The acts of a story as sentences: how a technician would say each, and whether the record holds it as it was meant."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterable, Iterator
from decimal import Decimal
from typing import Any

from shop.bench.models import Evidence, Finding, Reading, Temporary
from shop.counter.models import Job
from shop.handbook.quantities import Kind, Unreadable, parse
from tests.bench.stories import acts
from tests.bench.stories.player import CHANNELS

IN_WORDS = {
    "V": "volts", "mV": "millivolts", "A": "amps", "mA": "milliamps", "Ω": "ohms", "kΩ": "k", "Hz": "hertz", "kHz": "kilohertz",
    "%": "percent", "pF": "picofarads", "nF": "nanofarads", "mN": "millinewtons", "g·cm": "gram centimeters", "°": "degrees",
    "g": "grams",
}  # fmt: skip
VALUE = re.compile(r"[-−]?\d[\d.]*")


def spoken(value: str) -> str:
    """A value as it is said: 45.2 volts."""
    if value == "OL":
        return "reads open"
    value = (
        value.replace("±", "plus or minus")
        .replace("−", "-")
        .replace("-", "minus ")
        .replace("° C", "degrees C")
        .replace("°", " °")
    )
    return " ".join(IN_WORDS.get(one, one) for one in value.split())


def should_be(expected: str) -> str:
    """What a value should be, as it is said."""
    return f", should be {spoken(expected)}" if expected else ""


def _row(act: acts.Row) -> str:
    place = re.sub(r"^[+−](\d+ V)$", r"\1 rail", act.place)
    place = (
        place.replace("B+", "B plus").replace(", ", " ").replace("+", "plus ").replace("−", "minus ").strip()
    )
    place += " ESR" if act.quantity == "esr" else " diode drop" if act.quantity == "diode" else ""
    if act.quantity == "text":
        return f"{place} {act.values['']}."
    kind = {"voltage_ac": " AC", "voltage_pp": " peak to peak"}.get(act.quantity, "")
    values = ", ".join(f"{column} {spoken(value)}".strip() + kind for column, value in act.values.items())
    return f"{place} {values}{should_be(act.expected)}."


def _adjust(act: acts.Adjust) -> str:
    where = f"{act.step} {act.column}".strip()
    kind = {"voltage_ac": " AC", "voltage_pp": " peak to peak"}.get(act.quantity, "")
    return (
        f"{where} {spoken(act.before)}{kind}{should_be(act.target)}. Adjusted {act.adjuster}. "
        f"{where} {spoken(act.after)}{kind}{should_be(act.target)}."
    )


def _trace(act: acts.Trace) -> str:
    if act.kind == "device":
        return f"{act.where} is not original, {act.marking}."
    if act.kind == "date_code":
        return f"{act.where} has a date code {act.marking}."
    if act.kind == "date_stamp":
        return f"Sticker {act.where} says {act.marking}."
    return f"{act.where}: {act.note}."


TOLD: dict[type[acts.Act], Callable[[Any], str]] = {
    acts.Row: _row,
    acts.Adjust: _adjust,
    acts.Finding: lambda act: act.text,
    acts.Trace: _trace,
    acts.InTheSet: lambda act: f"{act.what} temporarily, {act.where}.",
}


# --- as it was meant --------------------------------------------------------------------------------------------------


def _read(typed: str, quantity: str) -> Decimal | None:
    try:
        return parse(typed.replace("−", "-"), Kind(quantity)).value
    except (Unreadable, ValueError):
        return None


def _stands(job: Job, quantity: str, value: str, column: str, words: Iterable[str]) -> bool:
    """Whether a reading of this value and quantity stands at a place of these words."""
    wanted = value if value == "OL" else _read(value, quantity)
    for one in Reading.objects.filter(job=job):
        told = f"{one.where} {one.channel} {one.typed} {one.condition}".lower()
        same = one.over_range if value == "OL" else _read(one.typed, one.quantity) == wanted
        sided = one.channel == CHANNELS.get(column, one.channel)
        there = same and sided and one.quantity == quantity
        if wanted is not None and there and all(word in told for word in words):
            return True
    return False


SMALL = {"of", "at", "to", "the", "in", "left", "right"}


def _words(place: str) -> list[str]:
    return [one for one in re.findall(r"[a-z0-9]{2,}", place.lower()) if one not in SMALL]


def _is_trace(one: Evidence, act: acts.Trace) -> bool:
    told = f"{one.where} {one.note}".lower()
    marked = re.sub(r"\W", "", act.marking) in re.sub(r"\W", "", one.marking)
    return one.kind == act.kind and marked and all(word in told for word in _words(act.where))


def as_meant(job: Job, act: acts.Act) -> bool:
    """Whether the record holds what the act means, as a line of its kind."""
    if isinstance(act, acts.Row):
        return all(
            _stands(
                job,
                act.quantity,
                value,
                column,
                _words(act.place) + ([] if column in CHANNELS else _words(column)),
            )
            for column, value in act.values.items()
        )
    if isinstance(act, acts.Adjust):
        words = _words(act.step)
        return all(_stands(job, act.quantity, value, act.column, words) for value in (act.before, act.after))
    if isinstance(act, acts.Finding):
        told = " ".join(Finding.objects.filter(job=job).values_list("text", flat=True))
        return all(part.strip(" .;,") in told for part in re.split(r"(?<=[.;,])\s", act.text))
    if isinstance(act, acts.Trace):
        return any(_is_trace(one, act) for one in Evidence.objects.filter(job=job))
    if isinstance(act, acts.InTheSet):
        return any(act.what.lower() in str(one).lower() for one in Temporary.objects.filter(job=job))
    raise AssertionError(act)


def breaths(story: acts.Story) -> Iterator[list[acts.Act]]:
    """The acts that are said one after the other."""
    for sayable, some in itertools.groupby(story.acts, key=lambda act: type(act) in TOLD):
        if sayable:
            yield list(some)


def told(some: Iterable[acts.Act]) -> str:
    """The sentences of these acts, one behind the other."""
    return " ".join(TOLD[type(one)](one) for one in some)
