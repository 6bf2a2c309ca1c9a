"""Week codes: YYWW, YWW and the EIA source-and-date code.

Sources
    YYWW: EIA-476, weeks 01 to 53 (ECIA NIGP 117.00, looked up). ISO 8601 for the week itself; makers who count from
    January 1, and the registrar's example from Sunday to Saturday (looked up). Source and date: EIA-476-A, at most eight
    digits together; dating guides for parts (looked up); the scheme began in 1945 (abstract of EIA-476-B, looked up).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from enum import StrEnum

from ..in_words import listed
from .candidates import Found, NoSuchDate, System

LABELLED_SINCE = 1920
SCHEME_SINCE = 1945
EARLY_WEEK = 8
"""Days: a maker who counts from the week of 1 January, Sunday first, runs ahead of ISO 8601 by 1 to 8 days."""
LATE_WEEK = 7
DATED_AHEAD = 62
"""Days in two months: how far before its printed date a source-dated part may have been made."""

_YYWW = re.compile(r"(\d\d)[-/ ]?(\d\d)", re.ASCII)
_WEEK_AND_YEAR = re.compile(r"(\d\d?)(?:[/.](\d\d)|-(5[4-9]|[6-9]\d))", re.ASCII)
"""Slash and point part either order: ``32/78`` and ``7.78`` have the week first, ``78/32`` the year, ``51/20`` may have both.

A hyphen parts year and week, unless its last figures can't be a week: ``12-78``.
"""
_YWW = re.compile(r"(\d)[-/ ]?(\d\d)", re.ASCII)
_SOLID_SOURCE = re.compile(r"(?:EIA[- ]?)?(\d{5,8})", re.ASCII)
_PARTED_SOURCE = re.compile(r"(?:EIA[- ]?)?(\d{1,4})[- ](\d\d?)[- ]?(\d\d)", re.ASCII)
_WEEKS = frozenset(f"{week:02d}" for week in range(1, 54))
_SPLITS = {
    5: ((2, 1), (1, 2)),
    6: ((3, 1),),
    7: ((3, 2), (4, 1)),
    8: ((4, 2), (3, 2)),
}
"""Length of an unbroken code: digits of source and of year, the usual meaning first; what follows the week is plant
or shift."""


class WeekRule(StrEnum):
    """How a maker counts weeks."""

    ISO = "ISO 8601: Monday to Sunday, week 1 holds the first Thursday"
    JANUARY_FIRST = "week 1 holds 1 January, weeks begin on Sunday and end with the year"


def monday_of_week_1(year: int) -> int:
    """The ordinal of the Monday of ISO week 1: the week that holds 4 January."""
    fourth = date(year, 1, 4).toordinal()
    return fourth - (fourth - 1) % 7


def has_week_53(year: int) -> bool:
    """Whether an ISO year has 53 weeks: it begins or ends on a Thursday."""
    return date(year, 1, 1).weekday() == 3 or date(year, 12, 31).weekday() == 3


def week_of(day: date, rule: WeekRule = WeekRule.ISO) -> tuple[int, int]:
    """The year and week that a maker who follows the rule prints on that day (years 1 to 9998)."""
    ordinal = day.toordinal()
    if rule is WeekRule.JANUARY_FIRST:
        return day.year, (ordinal - _sunday_of_week_1(day.year)) // 7 + 1
    year = day.year
    if ordinal >= monday_of_week_1(year + 1):
        year += 1
    elif ordinal < monday_of_week_1(year):
        year -= 1
    return year, (ordinal - monday_of_week_1(year)) // 7 + 1


def encode_yyww(day: date, rule: WeekRule = WeekRule.ISO) -> str:
    """The four-digit code of a day: 7 August 1978 is ``7832``."""
    year, week = week_of(day, rule)
    return f"{year % 100:02d}{week:02d}"


def encode_yww(day: date, rule: WeekRule = WeekRule.ISO) -> str:
    """The three-digit code of a day: 7 August 1978 is ``832``."""
    return encode_yyww(day, rule)[1:]


def encode_source_date(source: str, day: date, year_digits: int = 2, rule: WeekRule = WeekRule.ISO) -> str:
    """Source code and date without hyphens; ``year_digits`` is 1 (to the end of the 1960s) or 2."""
    if year_digits not in (1, 2) or not re.fullmatch(r"\d{1,4}", source, re.ASCII):
        raise ValueError("A source code has one to four digits and is followed by a year of one or two.")
    return source + encode_yyww(day, rule)[2 - year_digits :]


def week_codes(text: str, today: date) -> list[Found]:
    """Readings of YYWW and YWW, also with a hyphen, slash or space before the week."""
    week_first: list[Found] = []
    if (matched := _WEEK_AND_YEAR.fullmatch(text)) and matched[1].zfill(2) in _WEEKS:
        week_first.extend(
            _weeks(matched[2] or matched[3], int(matched[1]), today, System.YYWW, "week first: ")
        )
    for form, system in ((_YYWW, System.YYWW), (_YWW, System.YWW)):
        if (matched := form.fullmatch(text)) and (not week_first or matched[2] in _WEEKS):
            return [*_weeks(matched[1], _week(matched[2]), today, system), *week_first]
    return week_first


def source_dates(text: str, today: date, parted_from: int = 1) -> list[Found]:
    """Readings of a source-and-date code of five to eight digits, or parted by hyphens or spaces.

    ``parted_from`` is the least number of source digits in the parted form: below three it looks like any label.
    """
    parted = _PARTED_SOURCE.fullmatch(text)
    if parted and len(parted[1]) >= parted_from:
        week = _week(parted[3])
        return list(_weeks(parted[2], week, today, System.SOURCE_DATE, f"source {parted[1]}, "))
    solid = _SOLID_SOURCE.fullmatch(text)
    return list(_solid_source_dates(solid[1], today)) if solid else []


def _solid_source_dates(digits: str, today: date) -> Iterator[Found]:
    """Readings by every split whose week exists; the usual split tells why when there is none."""
    splits = []
    for source_digits, year_digits in _SPLITS[len(digits)]:
        week_at = source_digits + year_digits
        source, year = digits[:source_digits], digits[source_digits:week_at]
        splits.append((source, year, digits[week_at : week_at + 2], digits[week_at + 2 :]))
    fitting = [split for split in splits if split[2] in _WEEKS] or splits
    for source, year, week, tail in fitting:
        words = f"source {source}, plant or shift {tail}, " if tail else f"source {source}, "
        yield from _weeks(year, _week(week), today, System.SOURCE_DATE, words)


_WEEK_WORD = r"(?:KW|CW|WK|WW|WEEK|WOCHE|KALENDERWOCHE|SEMAINE|SEM|W|UKE|UGE|VECKA)"
_WEEK_FIRST = re.compile(
    rf"(?:{_WEEK_WORD}\.?\s*(\d\d?)|(\d\d?)\.?\s*{_WEEK_WORD}\.?)\s*[-/., ]?\s*'?(\d{{4}}|\d\d)", re.ASCII
)
_YEAR_FIRST = re.compile(rf"'?(\d{{4}}|\d\d)\s*[-/., ]?\s*{_WEEK_WORD}\.?\s*(\d\d?)", re.ASCII)
_YEAR_AND_WEEK = re.compile(r"(19\d\d|20\d\d)\s*[-/.]\s*(1[3-9]|[2-5]\d)", re.ASCII)
_LOT = re.compile(
    r"(?:(?P<before>[A-Z]{1,2})[- ]?)?(?P<code>\d{4}|\d{3})(?:[- ]?(?P<behind>[A-Z]{1,2}))?", re.ASCII
)
_BEHIND = re.compile(r"(\d{4})[-/. ](\d{1,3})", re.ASCII)


def weeks_named(text: str, today: date) -> list[Found]:
    """Readings of a week told by its word, ``KW 32/78``, ``1978-W32``, ``KW 78/32``, and of a full year before a week."""
    pairs = []
    if matched := _YEAR_FIRST.fullmatch(text) or _YEAR_AND_WEEK.fullmatch(text):
        pairs.append((matched[1], matched[2]))
    if matched := _WEEK_FIRST.fullmatch(text):
        week, year = matched[1] or matched[2], matched[3]
        pairs.append((year, week))
        if len(year) == 2 and week.zfill(2) not in _WEEKS:  # KW 78/32
            pairs.append((week, year))
    pairs = [pair for pair in dict.fromkeys(pairs) if pair[1].zfill(2) in _WEEKS] or pairs[
        :1
    ]  # 78W32 and 32W78
    return [found for year, week in pairs for found in _weeks_of(year, _week(week.zfill(2)), today)]


def _weeks_of(year: str, week: int, today: date) -> Iterator[Found]:
    """The named week in a year of four digits, or in every year that ends in two."""
    full = len(year) == 4
    if full and not LABELLED_SINCE <= int(year) < 9999:
        raise NoSuchDate(f"no label is of the year {year}")
    for one in [int(year)] if full else _years_ending_in(year, today):
        yield _named_week(one, week, certain=full)


def _named_week(year: int, week: int, *, certain: bool) -> Found:
    first, last, doubtful = _days(year, week)
    words = f"week by name: {year}, week {week}"
    return Found(
        first, last, System.LABEL_WEEK, words, doubtful, EARLY_WEEK, LATE_WEEK, certain and not doubtful
    )


def _years_ending_in(digits: str, today: date) -> list[int]:
    since = LABELLED_SINCE + (int(digits) - LABELLED_SINCE) % 100
    return list(range(since, max(since, today.year) + 1, 100))


def lot_codes(text: str, today: date) -> list[Found]:
    """Readings of a week code with a letter of plant or lot before or behind it: ``7832A``, ``K7832``."""
    if matched := _BEHIND.fullmatch(text):
        raise NoSuchDate(
            f"{matched[1]} may be year and week, but “{matched[2]}” behind it belongs to no date code"
        )
    matched = _LOT.fullmatch(text)
    if not matched or not (matched["before"] or matched["behind"]):
        return []
    code = matched["code"]
    if code[-2:] not in _WEEKS:
        return []
    system = System.YYWW if len(code) == 4 else System.YWW
    letters = listed([one for one in (matched["before"], matched["behind"]) if one])
    words = f"plant or lot {letters}, "
    doubtful = len(code) == 3
    return [
        found._replace(doubtful=found.doubtful or doubtful)
        for found in _weeks(code[:-2], int(code[-2:]), today, system, words)
    ]


def _week(digits: str) -> int:
    """The week that two digits give; raises NoSuchDate for 00 and from 54 up."""
    if digits not in _WEEKS:
        raise NoSuchDate(f"weeks run from 01 to 53, and {digits} is none")
    return int(digits)


def _weeks(year_digits: str, week: int, today: date, system: System, words: str = "") -> Iterator[Found]:
    """The week in every year of the scheme that ends in those digits, next year included: it may have begun."""
    early = DATED_AHEAD if system is System.SOURCE_DATE else EARLY_WEEK
    cycle = 10 ** len(year_digits)
    since = SCHEME_SINCE + (int(year_digits) - SCHEME_SINCE) % cycle
    for year in range(since, max(since, min(today.year + 1, 9999)) + 1, cycle):
        first, last, doubtful = _days(year, week)
        reading = f"{words}{year}, week {week}"
        if doubtful:
            reading += ", which by ISO 8601 that year does not have: its last days"
        yield Found(first, last, system, reading, doubtful, early, LATE_WEEK)


def _days(year: int, week: int) -> tuple[int, int, bool]:
    """First and last ordinal of a week, and whether ISO 8601 has no such week.

    A week 53 that ISO does not have was printed by a maker who counts otherwise: the days after week 52 by his rule.
    """
    if week == 53 and not has_week_53(year):
        first = _sunday_of_week_1(year) + 52 * 7
        return first, min(first + 6, date(year, 12, 31).toordinal()), True
    first = monday_of_week_1(year) + (week - 1) * 7
    return first, first + 6, False


def _sunday_of_week_1(year: int) -> int:
    first = date(year, 1, 1).toordinal()
    return first - first % 7
