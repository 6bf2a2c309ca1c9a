"""The six repairs told by sentences: what of them stands in the record as it was meant, and what that costs beside typing it.

A sentence is made of each act that can be said, as a technician would say it; acts in a row are one breath: a touch for the
box, one for the tablet's dictation, one to take what is sure, and one more for each card that waits for a touch of its own. No
letter is typed. An act that does not come out as it was meant is counted as done by hand, at what its kind cost in that story
before the sheet (the table “By kind of act” of RESULTS.md), and the touches in which it was said are counted all the same.
"""

from __future__ import annotations

import itertools
import re
import uuid
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from shop.bench.models import Evidence, Finding, Reading, Temporary
from shop.counter.models import Job
from shop.handbook.quantities import Kind, Unreadable, parse
from tests.bench.stories import acts
from tests.bench.stories.player import CHANNELS, the_job_of
from tests.bench.stories.repairs import STORIES
from tests.bench.test_saying import as_drawn, at, heard

pytestmark = pytest.mark.django_db

RESULTS = Path(__file__).with_name("RESULTS.md")
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
    place = place.replace(", ", " ").replace("+", "plus ").replace("−", "minus ").strip()
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


# --- what it costs ----------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class Cost:
    """Touches and letters."""

    touches: float = 0
    letters: float = 0


def typed_costs(story: str) -> dict[str, Cost]:
    """What each kind of act cost in a story before the sheet, one act, from the table beside this file."""
    lines = [line for line in RESULTS.read_text("utf-8").splitlines() if line.startswith("| ")]
    head = next(line for line in lines if line.startswith("| kind of act"))
    column = [one.strip() for one in head.split("|")].index(story)
    found = {}
    for line in lines:
        cells = [one.strip() for one in line.split("|")]
        if (
            hasattr(acts, cells[1])
            and len(cells) > column
            and (both := re.fullmatch(r"(\d+) / (\d+)", cells[column]))
        ):
            found[cells[1]] = Cost(int(both[1]), int(both[2]))
    return found


def breaths(story: acts.Story) -> Iterator[list[acts.Act]]:
    """The acts that are said one after the other."""
    for sayable, some in itertools.groupby(story.acts, key=lambda act: type(act) in TOLD):
        if sayable:
            yield list(some)


def say(bench: Any, job: Job, text: str) -> int:
    """Say it, take what is sure and touch what else is whole; how many touches that was."""
    sent = as_drawn(heard(bench, job, text)) | {"text": text, "once": str(uuid.uuid4())}
    touches = 3
    waiting = [name for name, value in sent.items() if name.endswith("-choice") and value == "later"]
    for name in waiting:
        sent[name] = "take"
    answer = bench.post(at(job, "say"), sent)
    if answer.status_code == 422:
        sent |= dict.fromkeys(waiting, "later")
        answer = bench.post(at(job, "say"), {**sent, "once": str(uuid.uuid4())})
        waiting = []
    assert answer.status_code < 400, answer.content.decode()[:2000]
    return touches + len(waiting)


def row_of(story: str) -> list[int]:
    """A story's row in the table: acts that can be said, as meant, touches and letters, touches and letters before."""
    row = re.search(rf"^\| {story} told ((?:\| \d+ ){{6}})\|$", RESULTS.read_text("utf-8"), re.MULTILINE)
    assert row is not None, f"{RESULTS.name} has no row for {story}"
    return [int(one) for one in re.findall(r"\d+", row[1])]


@pytest.mark.soak
@pytest.mark.parametrize("story", STORIES, ids=[story.name for story in STORIES])
def test_a_repair_that_is_told_costs_what_the_table_says(
    bench: Any, technician: Any, story: acts.Story
) -> None:
    job = the_job_of(story, technician)
    bench.post(at(job, "start"), {"once": str(uuid.uuid4()), "kind": "diagnosis"})
    typed, told, total, meant = typed_costs(story.name), Cost(), 0, 0
    before = Cost()
    for some in breaths(story):
        told.touches += say(bench, job, " ".join(TOLD[type(one)](one) for one in some))
        for act in some:
            kind = type(act).__name__
            times = sum(type(one) is type(act) for one in story.acts)
            one = Cost(typed[kind].touches / times, typed[kind].letters / times)
            before.touches, before.letters = before.touches + one.touches, before.letters + one.letters
            total += 1
            if as_meant(job, act):
                meant += 1
            else:
                told.touches, told.letters = told.touches + one.touches, told.letters + one.letters
    row = (
        total,
        meant,
        round(told.touches),
        round(told.letters),
        round(before.touches),
        round(before.letters),
    )
    print("| " + " | ".join(map(str, (f"{story.name} told", *row))) + " |")  # noqa: T201
    said, as_it_was_meant, touches, letters, *_ = row_of(story.name)
    assert (total, meant) >= (said, as_it_was_meant)
    assert told.touches <= touches + 1
    assert told.letters <= letters + 1
