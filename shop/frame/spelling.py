"""How sums, times and quantities are written for a person: by the customs in force, in plain words.

Everything here takes a value and returns text. The template filters of `house` are these functions.
"""

from __future__ import annotations

import datetime as dt
import re
import time
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from typing import Literal

from babel.dates import format_date, format_skeleton, format_time
from babel.numbers import format_currency, format_decimal, get_decimal_symbol
from django.utils import timezone

from shop.frame import clock
from shop.frame.customs import locale
from shop.handbook import quantities
from shop.handbook.money import Money, UnitPrice, currency_named

Blank = Literal[""] | None
"""What templates hand in where there is nothing to write."""

MINUTE, HOUR, DAY = 60, 3600, 86400
HALF_A_YEAR = 182

_WRITTEN_DAY = re.compile(
    r"\b(?:\d{1,2} (?:January|February|March|April|May|June|July|August|September|October|November|December) \d{4}"
    r"|\d{4}-\d\d-\d\d)\b"
)
"""A day as the handbook writes it, which knows no country."""


def _as_price(value: Money | UnitPrice | int, currency: str) -> Money | UnitPrice:
    return Money(value, currency) if isinstance(value, int) else value


def _digits(price: Money | UnitPrice) -> int:
    """Decimals to write: the currency's, and all four of a unit price that needs them."""
    return max(currency_named(price.currency).digits, len(price.plain.partition(".")[2]))


def money(value: Money | UnitPrice | int | Blank, currency: str = "") -> str:
    """A sum with its currency's sign: `$1,234.50`, `1.234,50 €`. A whole number counts minor units of `currency`."""
    if value is None or value == "":
        return ""
    price = _as_price(value, currency)
    pattern = (
        locale()
        .currency_formats["standard"]
        .pattern.replace("0.00", f"0.{'0' * _digits(price)}" if _digits(price) else "0")
    )
    text = format_currency(
        price.decimal, price.currency, format=pattern, locale=locale(), currency_digits=False
    )
    # a currency without a sign of its own is written with a space between its letters and the digits
    return _plain_spaces(re.sub(r"(?<=[A-Za-z])(?=\d)", "\u00a0", text))


def amount(value: Money | UnitPrice | int | Blank, currency: str = "") -> str:
    """A sum without its sign, for columns whose head names the currency: `1,234.50`."""
    if value is None or value == "":
        return ""
    price = _as_price(value, currency)
    digits = _digits(price)
    return _plain_spaces(
        format_decimal(price.decimal, format=f"#,##0.{'0' * digits}" if digits else "#,##0", locale=locale())
    )


def decimal_mark() -> str:
    """The decimal mark in force, as `Money.parse` knows it: `,` or `.`."""
    return "," if get_decimal_symbol(locale()) == "," else "."


def typed(value: Money | UnitPrice | str) -> str:
    """A number as one types it into a box here: the decimal mark in force, no grouping: `1234,50`.

    A text is a plain number with a decimal point.
    """
    return (value if isinstance(value, str) else value.plain).replace(".", decimal_mark())


def tenths(value: Decimal) -> str:
    """A measure rounded half up to a tenth, without a tenth that is none: `12.4`, `12,4`, `24`."""
    rounded = value.quantize(Decimal("0.1"), ROUND_HALF_UP)
    return str(format_decimal(rounded, format="0.#", locale=locale()))


def hours(seconds: int | dt.timedelta | Blank) -> str:
    """Bench time in hours and minutes, rounded to the minute: `1 h 25 min`, `40 min`."""
    if seconds is None or seconds == "":
        return ""
    whole = seconds.total_seconds() if isinstance(seconds, dt.timedelta) else seconds
    minutes = int((whole + MINUTE / 2) // MINUTE)
    full, rest = divmod(minutes, 60)
    if not full:
        return f"{rest} min"
    return f"{full} h {rest:02d} min" if rest else f"{full} h"


def quantity(thousandths: int | Blank) -> str:
    """A quantity kept in thousandths: `2`, `0.5`, `1,250`."""
    if thousandths is None or thousandths == "":
        return ""
    return str(format_decimal(Decimal(thousandths).scaleb(-3), format="#,##0.###", locale=locale()))


def percent(value: Decimal | int | Blank) -> str:
    """A rate in per cent, without zeros at its end: `9.5 %`, `9,5 %`."""
    if value is None or value == "":
        return ""
    return f"{format_decimal(value, format='0.######', locale=locale())} %"


def engineering(value: Decimal | float | str | None, unit: str = "", digits: int = 4) -> str:
    """A measured value with the prefix that suits it: `4.7 µF`, `12.6 kΩ`. What is no number is shown as it is."""
    if value is None or value == "":
        return ""
    try:
        exact = value if isinstance(value, Decimal) else Decimal(str(value))
    except InvalidOperation:
        return str(value)
    return quantities.engineering(exact, unit, digits) if exact.is_finite() else str(value)


def day(value: dt.date | dt.datetime | None) -> str:
    """A date in words, as the customs in force write it: `November 25, 2026`, `25 November 2026`."""
    return "" if not value else str(format_date(_local(value), format="long", locale=locale()))


def short_day(value: dt.date | dt.datetime | None) -> str:
    """A date that can't be read two ways, for columns: `Nov 25, 2026`, `25 Nov 2026`."""
    return "" if not value else str(format_date(_local(value), format="medium", locale=locale()))


def days_spelled(text: str) -> str:
    """A sentence of the handbook with its days written as the shop writes them: “4 March 1982” as `Mar 4, 1982`."""
    return _WRITTEN_DAY.sub(_spelled, text)


def month(value: dt.date | None) -> str:
    """A month with its year: `November 2026`."""
    return "" if not value else str(format_skeleton("yMMMM", value, locale=locale()))


def month_name(value: dt.date) -> str:
    """A month without its year, as short as it is written: `Nov`."""
    return str(format_date(value, format="LLL", locale=locale()))


def year(value: dt.date | dt.datetime | None) -> str:
    """The year: `2026`."""
    return "" if not value else f"{_local(value):%Y}"


def moment(value: dt.datetime | None) -> str:
    """Date and time of day in the shop's time zone: `Nov 25, 2026, 2:05 PM`."""
    if not value:
        return ""
    local = _noon(value)
    time = format_time(local, format="short", locale=locale())
    return _plain_spaces(f"{format_date(local, format='medium', locale=locale())}, {time}")


def weekday(value: dt.date | dt.datetime | None) -> str:
    """The day of the week and the date, for promises: `Wed, Nov 25`; with its year where that is half a year ahead or more."""
    if not value:
        return ""
    day = clock.day_of(value) if isinstance(value, dt.datetime) else value
    far = (day - clock.today()).days > HALF_A_YEAR
    return _plain_spaces(format_skeleton("yMMMEd" if far else "MMMEd", _noon(value), locale=locale()))


def since(value: dt.date | dt.datetime | None, until: dt.datetime | None = None) -> str:
    """How long it has been, in one plain unit: `40 min`, `5 h`, `1 day`, `3 weeks`, `2 years`. The future counts as now."""
    if not value:
        return ""
    if not isinstance(value, dt.datetime):
        days = (clock.day_of(until) if until else clock.today()) - value
        return _days(days.days) if days.days > 0 else "today"
    seconds = ((until or clock.now()) - value).total_seconds()
    if seconds < DAY:
        return _time(max(0, int(seconds)))
    return _days(int(seconds // DAY))


def ago(value: dt.date | dt.datetime | None, until: dt.datetime | None = None) -> str:
    """When it was: `just now`, `40 min ago`, `3 days ago`."""
    span = since(value, until)
    return span if span in {"", "today", "just now"} else f"{span} ago"


def file_size(size: int | None) -> str:
    """A file's size as a person says it: `350 kB`, `2.4 MB`."""
    if size is None:
        return ""
    if size < 1000:
        return f"{size} bytes"
    unit, scale = next(
        ((unit, scale) for unit, scale in (("kB", 10**3), ("MB", 10**6)) if size < scale * 999.5),
        ("GB", 10**9),
    )
    shown = size / scale
    return f"{shown:.0f} {unit}" if shown >= 10 else f"{shown:.1f} {unit}"


def _spelled(found: re.Match[str]) -> str:
    """One written day; what is no day of the calendar stays as it stands."""
    form = "%d %B %Y" if " " in found[0] else "%Y-%m-%d"
    try:
        return short_day(dt.date(*time.strptime(found[0], form)[:3]))
    except ValueError:
        return found[0]


def _plain_spaces(text: str) -> str:
    """Write narrow no-break spaces as ordinary no-break ones: few fonts have them."""
    return str(text).replace("\u202f", "\u00a0")


def _local(value: dt.date | dt.datetime) -> dt.date | dt.datetime:
    return clock.local(value) if isinstance(value, dt.datetime) and timezone.is_aware(value) else value


def _noon(value: dt.date | dt.datetime) -> dt.datetime:
    local = _local(value)
    return local if isinstance(local, dt.datetime) else dt.datetime.combine(local, dt.time(12))


def _time(seconds: int) -> str:
    if seconds < MINUTE:
        return "just now"
    if seconds < HOUR:
        return f"{seconds // MINUTE} min"
    return f"{seconds // HOUR} h"


def _days(days: int) -> str:
    for most, length, word in ((14, 1, "day"), (61, 7, "week"), (731, 30, "month")):
        if days < most:
            return _counted(days // length, word)
    return _counted(days * 4 // 1461, "year")


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def sentence(words: str) -> str:
    """Words that somebody typed, ended as a sentence: with a full stop unless they end with one already."""
    text = words.strip()
    return text if not text or text[-1] in ".!?…" else f"{text}."
