"""One row of an old list, read as a job, or one sentence why it can't be."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from babel.dates import get_month_names

from shop.counter.keys import name_key
from shop.counter.models import Kind
from shop.counter.stages import ENDED, Outcome, Stage
from shop.frame.cells import FORMULA
from shop.handbook import openrepair
from shop.records.bringing_in.outcomes import STILL_HERE, USUAL

UNKNOWN = "unknown"
LONGEST_TEXT = 20_000
YEARS_BACK = 99
"""A job's number tells the year by two digits."""

_KINDS = {name_key(kind.label): kind.value for kind in Kind} | {
    name_key(kind.value): kind.value for kind in Kind
}
_KINDS |= {
    name_key(name): kind
    for name, kind in {
        "Hi-Fi separates": Kind.AMPLIFIER,
        "Hi-Fi integrated": Kind.RECEIVER,
        "Musical instrument": Kind.SYNTHESIZER,
        "Portable radio": Kind.RADIO,
        "Flat screen": Kind.TELEVISION,
        "Desktop computer": Kind.COMPUTER,
        "Laptop": Kind.COMPUTER,
    }.items()
}
_STAGES = {name_key(one.label): one.value for one in Stage} | {
    name_key(one.value): one.value for one in Stage
}
_BETWEEN = r"(?:[-/.] ?| )"
_NUMBERS = re.compile(rf"(\d{{4}}|\d{{1,2}}){_BETWEEN}(\d{{1,2}}){_BETWEEN}(\d{{4}}|\d{{1,2}})(?:[T ,].*)?")
_WORD = r"([^\W\d_]{3,})\.?"
_DAY_MONTH = re.compile(rf"(\d{{1,2}})(?:st|nd|rd|th|\.)?[- /]*{_WORD}[-, /]*(\d{{4}}|\d{{2}})(?:[ ,].*)?")
_MONTH_DAY = re.compile(rf"{_WORD} *(\d{{1,2}})(?:st|nd|rd|th)?[-, ]+(\d{{4}}|\d{{2}})(?:[ ,].*)?")
_SERIAL = re.compile(r"(\d{5})(?:\.\d+)?")
_SERIAL_ZERO = dt.date(1899, 12, 30)
"""Day 0 of the numbers by which spreadsheets keep days since March 1900. Source: ECMA-376 part 1, 18.17.4, from memory."""

_UNSEEN = dict.fromkeys(
    map(ord, "\0\ufeff\u200b\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
)
"""Signs that are not seen, such as those that turn the direction of writing."""

_LANGUAGES = ("en", "en_GB", "de", "de_AT", "fr", "nl", "es", "it")


class Unreadable(ValueError):
    """Why a row can't be taken; the message is one sentence."""


@dataclass(frozen=True, slots=True)
class OldJob:
    """One old job, as a row says it. `outcome_said` is its word for the outcome where nobody knows what it means."""

    came: dt.date
    ended: dt.date | None
    stage: str
    complaint: str
    maker: str
    model: str
    kind: str
    serial: str
    customer: str
    phone: str
    email: str
    finding: str
    failed: str
    remedy: str
    outcome: str
    outcome_said: str
    number: str
    year_built: int | None
    provider: str
    category: str
    barrier: str
    country: str

    @property
    def ended_as(self) -> str:
        """The outcome in words, or where it stands."""
        return str(Outcome(self.outcome).label if self.outcome else Stage(self.stage).label)


def read(
    cells: Sequence[str],
    columns: Mapping[str, int],
    *,
    month_first: bool,
    today: dt.date,
    outcomes: Mapping[str, str] = USUAL,
) -> OldJob:
    """Read one row by the columns that were matched. Raises Unreadable with the first thing that is wrong.

    `outcomes` says what a word for the outcome means, by its key.
    """
    told = {key: _cell(cells, at) for key, at in columns.items()}
    came = _day(told.get("came", ""), "day it came", month_first=month_first, today=today)
    stage, outcome, outcome_said = _end(told, outcomes)
    ended = _ended(told.get("ended", ""), came, stage, month_first=month_first, today=today)
    model = told.get("model", "")
    complaint = told.get("complaint", "") or model
    if not complaint:
        raise Unreadable("There is neither a complaint nor a model.")
    for name, text in told.items():
        if len(text) > LONGEST_TEXT:
            raise Unreadable(f"The text of “{name}” is longer than the {LONGEST_TEXT:,} characters that fit.")
    said = told.get("kind", "")
    kind = Kind(_KINDS.get(name_key(said), Kind.OTHER))
    return OldJob(
        came=came,
        ended=ended,
        stage=stage,
        complaint=complaint,
        maker=told.get("maker", "")[:120] or UNKNOWN,
        model=model[:120] or _unnamed(kind),
        kind=kind,
        serial=told.get("serial", "")[:80],
        customer=told.get("customer", "")[:160],
        phone=told.get("phone", "")[:60],
        email=told.get("email", "")[:254] if "@" in told.get("email", "") else "",
        finding=told.get("finding", ""),
        failed=told.get("failed", "")[:200],
        remedy=told.get("remedy", ""),
        outcome=outcome,
        outcome_said=outcome_said,
        number=told.get("number", "")[:60],
        year_built=_year(told.get("year_built", "")),
        provider=told.get("provider", "")[:120],
        category=said if said in openrepair.CATEGORY_IDS else "",
        barrier=told.get("barrier", "")[:120],
        country=country if (country := told.get("country", "").upper()) in openrepair.COUNTRIES else "",
    )


def _unnamed(kind: Kind) -> str:
    """The model where a row names none: one for each kind, so that a turntable isn't taken for its maker's radio."""
    return UNKNOWN if kind == Kind.OTHER else f"{UNKNOWN} {kind.label.lower()}"


def _end(told: Mapping[str, str], outcomes: Mapping[str, str]) -> tuple[str, str, str]:
    """Where the job stands, how it ended, and the list's own word for it where nobody knows what that means."""
    word = told.get("outcome", "")
    if word:
        means = outcomes.get(name_key(word), "")
        outcome, said = (means or Outcome.UNKNOWN), ("" if means else word[:80])
    else:
        outcome, said = (Outcome.REPAIRED if told.get("remedy") else Outcome.UNKNOWN), ""
    typed = told.get("stage", "")
    if typed and name_key(typed) not in _STAGES:
        raise Unreadable(f"“{typed[:40]}” is no stage that this shop knows.")
    stage = (
        _STAGES[name_key(typed)] if typed else Stage.BOOKED_IN if outcome == STILL_HERE else Stage.GONE_HOME
    )
    if stage in ENDED and stage != Stage.CALLED_OFF:
        return stage, (Outcome.UNKNOWN if outcome == STILL_HERE else outcome), said
    return stage, ("" if outcome == STILL_HERE or not word else outcome), said


def _ended(typed: str, came: dt.date, stage: str, *, month_first: bool, today: dt.date) -> dt.date | None:
    """The day a job ended; where the list does not say it, the day it came. None of one that has not ended."""
    if stage not in ENDED or (stage == Stage.CALLED_OFF and not typed):
        return None
    if not typed:
        return came
    ended = _day(typed, "day it went home", month_first=month_first, today=today)
    if ended < came:
        raise Unreadable("It went home before it came.")
    return ended


def digest_of(cells: Sequence[str], columns: Mapping[str, int], *, repeat: int) -> str:
    """What tells a row from every other: what its matched columns say, and which of several equal rows it is."""
    said = {key: _cell(cells, at) for key, at in sorted(columns.items())}
    return hashlib.sha256(json.dumps([said, repeat], ensure_ascii=False).encode()).hexdigest()


def _cell(cells: Sequence[str], at: int) -> str:
    """What a cell says, without the apostrophe that keeps a spreadsheet from reckoning with it (`cells.cell`)."""
    text = cells[at].translate(_UNSEEN).strip() if at < len(cells) else ""
    return text[1:] if text.startswith("'") and text[1:].startswith(FORMULA) else text


def _year(typed: str) -> int | None:
    found = re.search(r"(?<!\d)(1[89]\d\d|20\d\d)(?!\d)", typed)
    return int(found[1]) if found else None


def _day(typed: str, called: str, *, month_first: bool, today: dt.date) -> dt.date:
    if not typed:
        raise Unreadable(f"The {called} is missing.")
    if serial := _SERIAL.fullmatch(typed):
        told = _SERIAL_ZERO + dt.timedelta(days=int(serial[1]))
    else:
        told = _written_day(typed, called, month_first=month_first, today=today)
    first = today.year - YEARS_BACK
    if not dt.date(first, 1, 1) <= told <= today:
        raise Unreadable(f"The {called}, “{typed[:40]}”, lies in the future or before {first}.")
    return told


def _written_day(typed: str, called: str, *, month_first: bool, today: dt.date) -> dt.date:
    year, month, day = _in_numbers(typed, month_first=month_first) or _with_a_name(typed) or ("", 0, 0)
    try:
        return dt.date(int(year) if len(year) == 4 else _century(int(year), today), month, day)
    except ValueError:
        raise Unreadable(f"The {called}, “{typed[:40]}”, is no date.") from None


def _in_numbers(typed: str, *, month_first: bool) -> tuple[str, int, int] | None:
    """Year as typed, month and day of a date such as 2019-03-04, 04.03.19 or 3/4/2019.

    Dots have the day first wherever the shop is: no country writes the month first and dots. Source: Unicode CLDR, short dates.
    """
    found = _NUMBERS.fullmatch(typed)
    if not found:
        return None
    first, second, third = found.groups()
    if len(first) == 4:
        return first, int(second), int(third)
    month, day = (
        (int(first), int(second)) if month_first and "." not in typed[:3] else (int(second), int(first))
    )
    return (third, day, month) if month > 12 >= day else (third, month, day)


def month_comes_first(days: Iterable[str]) -> bool | None:
    """How a list writes its dates, by those that can be read in one way only; None where none tells, or they disagree."""
    told: set[bool] = set()
    for found in filter(None, map(_NUMBERS.fullmatch, days)):
        first, second = int(found[1]), int(found[2])
        if len(found[1]) < 4 and (first > 12) != (second > 12):
            told.add(second > 12)
    return told.pop() if len(told) == 1 else None


def _with_a_name(typed: str) -> tuple[str, int, int] | None:
    """Year as typed, month and day of a date such as 4-Mar-19, 4. März 2019 or March 4, 2019."""
    if found := _DAY_MONTH.fullmatch(typed):
        day, name, year = found.groups()
    elif found := _MONTH_DAY.fullmatch(typed):
        name, day, year = found.groups()
    else:
        return None
    return year, _month_names().get(name.casefold(), 0), int(day)


@cache
def _month_names() -> dict[str, int]:
    """The months as neighbouring languages write them, in full and short. Source: Unicode CLDR through Babel."""
    known = {
        name.casefold().rstrip("."): month
        for language in _LANGUAGES
        for context in ("format", "stand-alone")
        for width in ("wide", "abbreviated")
        for month, name in get_month_names(width, context, language).items()
    }
    return known | {"mrz": 3}  # what spreadsheets in German write for März


def _century(two_digits: int, today: dt.date) -> int:
    """Two digits of a year as the latest year that has come."""
    year = today.year - today.year % 100 + two_digits % 100
    return year if year <= today.year else year - 100
