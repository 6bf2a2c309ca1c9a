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
from shop.counter.stages import Outcome
from shop.frame.cells import FORMULA
from shop.handbook import openrepair

UNKNOWN = "unknown"
LONGEST_TEXT = 8000
FIRST_YEAR = 1900

_OUTCOMES: dict[str, str] = {
    **{name_key(outcome.label): outcome.value for outcome in Outcome},
    **{outcome.value: outcome.value for outcome in Outcome},
    **openrepair.OUTCOMES,
    **dict.fromkeys(("fixed", "done", "ok", "yes", "completed", "success"), Outcome.REPAIRED.value),
    **dict.fromkeys(("no", "not repaired", "failed", "returned"), Outcome.UNREPAIRED.value),
    **dict.fromkeys(("scrap", "scrapped", "ber", "uneconomic", "dead"), Outcome.BEYOND.value),
    **dict.fromkeys(("nff", "no fault"), Outcome.NO_FAULT.value),
    **dict.fromkeys(("partly", "part"), Outcome.PARTLY.value),
    **dict.fromkeys(("repariert", "fertig", "erledigt", "ja"), Outcome.REPAIRED.value),
    **dict.fromkeys(("nicht repariert", "nein"), Outcome.UNREPAIRED.value),
    **dict.fromkeys(("totalschaden", "unwirtschaftlich"), Outcome.BEYOND.value),
    **dict.fromkeys(("kein fehler", "ohne befund"), Outcome.NO_FAULT.value),
}
_KNOWN_OUTCOMES = ", ".join(str(outcome.label).lower() for outcome in Outcome)
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
_SAYS_NOTHING = {"", "unknown", "open", "n a", "na"}
_BETWEEN = r"(?:[-/.] ?| )"
_NUMBERS = re.compile(rf"(\d{{4}}|\d{{1,2}}){_BETWEEN}(\d{{1,2}}){_BETWEEN}(\d{{4}}|\d{{1,2}})(?:[T ,].*)?")
_WORD = r"([^\W\d_]{3,})\.?"
_DAY_MONTH = re.compile(rf"(\d{{1,2}})(?:st|nd|rd|th|\.)?[- /]*{_WORD}[-, /]*(\d{{4}}|\d{{2}})(?:[ ,].*)?")
_MONTH_DAY = re.compile(rf"{_WORD} *(\d{{1,2}})(?:st|nd|rd|th)?[-, ]+(\d{{4}}|\d{{2}})(?:[ ,].*)?")
_LANGUAGES = ("en", "en_GB", "de", "de_AT", "fr", "nl", "es", "it")


class Unreadable(ValueError):
    """Why a row can't be taken; the message is one sentence."""


@dataclass(frozen=True, slots=True)
class OldJob:
    """One old job, as a row says it."""

    came: dt.date
    ended: dt.date
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
    number: str
    year_built: int | None

    @property
    def ended_as(self) -> str:
        """The outcome in words."""
        return Outcome(self.outcome).label


def read(cells: Sequence[str], columns: Mapping[str, int], *, month_first: bool, today: dt.date) -> OldJob:
    """Read one row by the columns that were matched. Raises Unreadable with the first thing that is wrong."""
    told = {key: _cell(cells, at) for key, at in columns.items()}
    came = _day(told.get("came", ""), "day it came", month_first=month_first, today=today)
    ended_text = told.get("ended", "")
    ended = _day(ended_text, "day it went home", month_first=month_first, today=today) if ended_text else came
    if ended < came:
        raise Unreadable("It went home before it came.")
    model = told.get("model", "")
    complaint = told.get("complaint", "") or model
    if not complaint:
        raise Unreadable("There is neither a complaint nor a model.")
    for name, text in told.items():
        if len(text) > LONGEST_TEXT:
            raise Unreadable(
                f"The text of “{name}” is {len(text):,} characters long; up to {LONGEST_TEXT:,} fit."
            )
    remedy = told.get("remedy", "")
    return OldJob(
        came=came,
        ended=ended,
        complaint=complaint,
        maker=told.get("maker", "")[:120] or UNKNOWN,
        model=model[:120] or UNKNOWN,
        kind=_KINDS.get(name_key(told.get("kind", "")), Kind.OTHER),
        serial=told.get("serial", "")[:80],
        customer=told.get("customer", "")[:160],
        phone=told.get("phone", "")[:60],
        email=told.get("email", "")[:254] if "@" in told.get("email", "") else "",
        finding=told.get("finding", ""),
        failed=told.get("failed", "")[:200],
        remedy=remedy,
        outcome=_outcome(told.get("outcome", ""), remedy),
        number=told.get("number", "")[:60],
        year_built=_year(told.get("year_built", "")),
    )


def digest_of(cells: Sequence[str], columns: Mapping[str, int], *, repeat: int) -> str:
    """What tells a row from every other: what its matched columns say, and which of several equal rows it is."""
    said = {key: _cell(cells, at) for key, at in sorted(columns.items())}
    return hashlib.sha256(json.dumps([said, repeat], ensure_ascii=False).encode()).hexdigest()


def _cell(cells: Sequence[str], at: int) -> str:
    """What a cell says, without the apostrophe that keeps a spreadsheet from reckoning with it (`cells.cell`)."""
    text = cells[at].replace("\0", "").strip() if at < len(cells) else ""
    return text[1:] if text.startswith("'") and text[1:].startswith(FORMULA) else text


def _outcome(typed: str, remedy: str) -> str:
    key = name_key(typed)
    if key in _SAYS_NOTHING:
        return Outcome.REPAIRED if remedy else Outcome.UNREPAIRED
    if key not in _OUTCOMES:
        raise Unreadable(
            f"The outcome “{typed[:40]}” is none that this shop knows. It knows: {_KNOWN_OUTCOMES}."
        )
    return _OUTCOMES[key]


def _year(typed: str) -> int | None:
    found = re.search(r"(?<!\d)(1[89]\d\d|20\d\d)(?!\d)", typed)
    return int(found[1]) if found else None


def _day(typed: str, called: str, *, month_first: bool, today: dt.date) -> dt.date:
    if not typed:
        raise Unreadable(f"The {called} is missing.")
    year, month, day = _in_numbers(typed, month_first=month_first) or _with_a_name(typed) or ("", 0, 0)
    try:
        told = dt.date(int(year) if len(year) == 4 else _century(int(year), today), month, day)
    except ValueError:
        raise Unreadable(f"The {called}, “{typed[:40]}”, is no date.") from None
    if not dt.date(FIRST_YEAR, 1, 1) <= told <= today:
        raise Unreadable(f"The {called}, “{typed[:40]}”, lies in the future or before {FIRST_YEAR}.")
    return told


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
