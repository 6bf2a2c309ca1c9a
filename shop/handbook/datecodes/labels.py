"""Dates on inspection stamps and repair labels: three orders, era years, months by name.

Sources
    Orders of day, month and year by country: common practice, no source. Eras: Showa from 25 December 1926, Heisei from
    8 January 1989, Reiwa from 1 May 2019 (itsudakke.com, utilrepo.com, looked up); days of a change of era are met under
    either name (i009.net, looked up). No label is older than 1920: common practice, no source.
"""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from .candidates import MONTHS, Found, NoSuchDate, System, in_full

LABELS_SINCE = 1920
NUMERIC_ORDERS = (System.LABEL_US, System.LABEL_EUROPE, System.LABEL_JAPAN)


@dataclass(frozen=True, slots=True)
class Era:
    """A Japanese era: year 1 is ``before + 1``, its days run from ``first`` to ``last`` (None: it goes on)."""

    letter: str
    name: str
    signs: str
    before: int
    first: date
    last: date | None


ERAS = (
    Era("S", "Showa", "昭和", 1925, date(1926, 12, 25), date(1989, 1, 7)),
    Era("H", "Heisei", "平成", 1988, date(1989, 1, 8), date(2019, 4, 30)),
    Era("R", "Reiwa", "令和", 2018, date(2019, 5, 1), None),
)
_ERA_BY_NAME = {
    spelling: era for era in ERAS for spelling in (era.letter, era.name.upper(), era.signs, era.signs[0])
}
_BETWEEN = r"\s*[-/.\s]\s*"
_THREE = re.compile(rf"(\d{{1,4}}){_BETWEEN}(\d\d?){_BETWEEN}(\d{{1,4}})\.?", re.ASCII)
_TWO = re.compile(rf"(\d{{1,4}}){_BETWEEN}(\d{{1,4}})", re.ASCII)
_SOLID = re.compile(r"\d{6}|\d{8}", re.ASCII)
_YEAR = re.compile(r"'(\d\d)|(\d{4})", re.ASCII)
_ERA = re.compile(
    rf"({'|'.join(sorted(_ERA_BY_NAME, key=len, reverse=True))})\s*[-.]?\s*(\d\d?|元)"
    rf"(?:(?:年\s*|{_BETWEEN})(\d\d?)(?:(?:月\s*|{_BETWEEN})(\d\d?)日?|月)?|年)?",
    re.ASCII,
)
_MONTH_NAMES = {
    name.upper()[:length]: number for number, name in enumerate(MONTHS, 1) for length in (3, len(name))
}
_MONTH_NAMES["SEPT"] = 9
_FOREIGN_MONTHS: tuple[str, ...] = (
    "JANUAR JÄNNER JANVIER JANV ENERO ENE GENNAIO GEN JANUARI",
    "FEBRUAR FÉVRIER FEVRIER FÉVR FEVR FÉV FEV FEBRERO FEBBRAIO FEBRUARI",
    "MÄRZ MAERZ MRZ MARS MARZO MAART MRT",
    "AVRIL AVR ABRIL ABR APRILE",
    "MAI MAYO MAGGIO MAG MEI",
    "JUNI JUIN JUNIO GIUGNO GIU",
    "JULI JUILLET JUIL JULIO LUGLIO LUG",
    "AOÛT AOUT AGOSTO AGO AUGUSTUS",
    "SEPTEMBRE SEPTIEMBRE SETTEMBRE SET",
    "OKTOBER OKT OCTOBRE OCTUBRE OTTOBRE OTT",
    "NOVEMBRE NOVIEMBRE",
    "DEZEMBER DEZ DÉCEMBRE DECEMBRE DÉC DICIEMBRE DIC DICEMBRE",
)
"""German, French, Spanish, Italian and Dutch names, by month."""
_MONTH_NAMES |= {name: number for number, names in enumerate(_FOREIGN_MONTHS, 1) for name in names.split()}
_ROMANS = ("I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII")
_ROMAN = {name: number for number, name in enumerate(_ROMANS, 1)}
_ROMAN_DATE = re.compile(
    r"(?:(\d\d?)\s*[-/. ]\s*)?(X(?:II?)?|IX|IV|V?I{1,3}|V)\s*[-/. ]\s*'?(\d{4}|\d\d)\.?", re.ASCII
)
_YEAR_NAMED = re.compile(
    rf"'?(\d{{4}})[-/., ]*({'|'.join(sorted(_MONTH_NAMES, key=len, reverse=True))})\.?(?:[-/., ]*(\d\d?))?",
    re.ASCII,
)
_NAMED = re.compile(
    rf"(?:(\d\d?)(?:ST|ND|RD|TH)?[-/.\s]*)?({'|'.join(sorted(_MONTH_NAMES, key=len, reverse=True))})"
    r"[-/.,\s]*(?:(\d\d?)(?:ST|ND|RD|TH)?[-/.,\s]+)?'?(\d{4}|\d\d)",
    re.ASCII,
)


def encode_label(day: date, order: System = System.LABEL_US, year_digits: int = 2) -> str:
    """A day as a label of that order gives it: ``3-4-82`` (US), ``4.3.82`` (Europe), ``82.3.4`` (Japan)."""
    year = f"{day.year % 100:02d}" if year_digits == 2 else f"{day.year:04d}"
    if order is System.LABEL_US:
        return f"{day.month}-{day.day}-{year}"
    if order is System.LABEL_EUROPE:
        return f"{day.day}.{day.month}.{year}"
    if order is System.LABEL_JAPAN:
        return f"{year}.{day.month}.{day.day}"
    raise ValueError("A label's order is American, European or Japanese.")


def encode_era(day: date) -> str:
    """A day with its era year: 14 August 1978 is ``S53.8.14``. From 25 December 1926 on, else ValueError."""
    for era in ERAS:
        if era.first <= day <= (era.last or day):
            return f"{era.letter}{day.year - era.before}.{day.month}.{day.day}"
    raise ValueError("The Showa era began on 25 December 1926.")


def is_complete_date(text: str, today: date) -> bool:
    """Whether the text is a day with separators and a four-digit year of our time: no other code looks like that."""
    matched = _THREE.fullmatch(text)
    if not matched:
        return False
    years = [field for field in (matched[1], matched[3]) if len(field) == 4]
    return len(years) == 1 and LABELS_SINCE <= int(years[0]) <= today.year


def labels(
    text: str, today: date, orders: tuple[System, ...] = NUMERIC_ORDERS, *, on_a_label: bool = True
) -> list[Found]:
    """Readings of a label in the given numeric orders, of an era date, of a month by name, of a month or year alone.

    ``on_a_label`` says that the marking is known to be one: only then are unparted digits and a lone era year read.
    """
    if matched := _THREE.fullmatch(text):
        return _days_in_orders(matched[1], matched[2], matched[3], today, orders)
    if matched := _TWO.fullmatch(text):
        return _months_in_orders(matched[1], matched[2], today, orders)
    if matched := _ERA.fullmatch(text):
        return _era_date(matched) if matched[3] or on_a_label else []
    if named := _month_told(text, today):
        return named
    if matched := _YEAR.fullmatch(text):
        return _year_alone(matched, today)
    if _SOLID.fullmatch(text):
        return _unparted(text, today, orders, on_a_label=on_a_label)
    return []


def _month_told(text: str, today: date) -> list[Found]:
    """Readings of a month by its name or in Roman figures."""
    if matched := _NAMED.fullmatch(text):
        return _named(matched, today)
    if matched := _YEAR_NAMED.fullmatch(text):
        return _in_month(matched[1], _MONTH_NAMES[matched[2]], matched[3], today, "month by name")
    if matched := _ROMAN_DATE.fullmatch(text):
        return _in_month(matched[3], _ROMAN[matched[2]], matched[1], today, "month in Roman figures")
    return []


def _days_in_orders(one: str, two: str, three: str, today: date, orders: tuple[System, ...]) -> list[Found]:
    fields = {
        System.LABEL_US: (three, one, two),
        System.LABEL_EUROPE: (three, two, one),
        System.LABEL_JAPAN: (one, two, three),
    }
    found = [reading for order in orders for reading in _days(*fields[order], today, order)]
    if orders == (System.LABEL_JAPAN,) or {reading.system for reading in found} == {System.LABEL_JAPAN}:
        found.extend(_unnamed_era(one, two, three))
    if not found:
        raise NoSuchDate("no order of day, month and year makes a day of it")
    return found


def _days(year_digits: str, month: str, day: str, today: date, order: System) -> Iterator[Found]:
    for year in _years(year_digits, today):
        ordinal = _ordinal(year, int(month), int(day))
        if ordinal:
            words = f"{order}: {in_full(date.fromordinal(ordinal))}"
            yield Found(ordinal, ordinal, order, words, certain=len(year_digits) == 4)


def _unnamed_era(year: str, month: str, day: str) -> Iterator[Found]:
    """A Japanese label may leave the era's letter out."""
    if len(year) > 2:
        return
    for era in ERAS:
        ordinal = _ordinal(era.before + int(year), int(month), int(day))
        if ordinal and int(year) and era.first.toordinal() <= ordinal <= (era.last or date.max).toordinal():
            words = f"year-month-day with {era.name} {int(year)} left unnamed"
            reading = f"{words}: {in_full(date.fromordinal(ordinal))}"
            yield Found(ordinal, ordinal, System.LABEL_ERA, reading, doubtful=True)


def _unnamed_era_month(year: str, month: str) -> Iterator[Found]:
    """``53.8`` on a Japanese set may be Showa 53: August 1978."""
    if not 1 <= int(month) <= 12 or not int(year):
        return
    for era in ERAS:
        found = _month(
            era.before + int(year), int(month), System.LABEL_ERA, f"{era.name} {int(year)} left unnamed"
        )
        if era.first.toordinal() <= found.last and found.first <= (era.last or date.max).toordinal():
            yield found._replace(doubtful=True)


def _months_in_orders(one: str, two: str, today: date, orders: tuple[System, ...]) -> list[Found]:
    fields = []
    if System.LABEL_US in orders or System.LABEL_EUROPE in orders:
        fields.append((two, one))
    if System.LABEL_JAPAN in orders:
        fields.append((one, two))
    found = [
        _month(year, int(month), System.LABEL_MONTH, "month and year")
        for year_digits, month in fields
        if len(month) <= 2 and 1 <= int(month) <= 12
        for year in _years(year_digits, today)
    ]
    if System.LABEL_JAPAN in orders and len(one) <= 2 and len(two) <= 2 and int(one) > 12:
        found.extend(_unnamed_era_month(one, two))
    if not found:
        raise NoSuchDate("neither of the two numbers is a month beside a year of two or four digits")
    return found


def _era_date(matched: re.Match[str]) -> list[Found]:
    era = _ERA_BY_NAME[matched[1]]
    era_year = 1 if matched[2] == "元" else int(matched[2])
    year = era.before + era_year
    if era_year == 0 or (era.last and year > era.last.year):
        raise NoSuchDate(f"the {era.name} era has no year {era_year}")
    words = f"{era.name} {era_year}"
    if matched[4]:
        ordinal = _ordinal(year, int(matched[3]), int(matched[4]))
        if not ordinal:
            raise NoSuchDate(f"{year} ({words}) has no such day")
        words = f"{words}: {in_full(date.fromordinal(ordinal))}"
        found = Found(ordinal, ordinal, System.LABEL_ERA, words, certain=True)
    elif matched[3]:
        if not 1 <= int(matched[3]) <= 12:
            raise NoSuchDate(f"a year has no month {matched[3]}")
        found = _month(year, int(matched[3]), System.LABEL_ERA, words)._replace(certain=True)
    else:
        found = _whole_year(year, System.LABEL_ERA, f"{words}: {year}")
    last = era.last or date.max
    if found.last < era.first.toordinal() or found.first > last.toordinal():
        words = f"{found.reading}, outside the era's own days"
        found = found._replace(reading=words, doubtful=True, certain=False)
    return [found]


def _named(matched: re.Match[str], today: date) -> list[Found]:
    before, name, after, year_digits = matched.groups()
    if before and after:
        raise NoSuchDate("it has a day on either side of the month")
    return _in_month(year_digits, _MONTH_NAMES[name], before or after, today, "month by name")


def _in_month(year_digits: str, month: int, day: str | None, today: date, how: str) -> list[Found]:
    """A day, or the whole of a month, where the month can't be taken for anything else."""
    found: list[Found] = []
    for year in _years(year_digits, today):
        if not day:
            found.append(_month(year, month, System.LABEL_NAMED, how)._replace(certain=len(year_digits) == 4))
        elif ordinal := _ordinal(year, month, int(day)):
            words = f"{how}: {in_full(date.fromordinal(ordinal))}"
            found.append(Found(ordinal, ordinal, System.LABEL_NAMED, words, certain=len(year_digits) == 4))
    if not found:
        raise NoSuchDate(f"{MONTHS[month - 1]} has no day {day} in a year that fits")
    return found


def _year_alone(matched: re.Match[str], today: date) -> list[Found]:
    digits = matched[1] or matched[2]
    years = (year for year in _years(digits, today) if year <= today.year)
    return [_whole_year(year, System.LABEL_YEAR, f"the year {year}") for year in years]


def _unparted(text: str, today: date, orders: tuple[System, ...], *, on_a_label: bool) -> list[Found]:
    """Six or eight digits without separators; unless it is known to be a label, only year, month and day in eight."""
    if not on_a_label:
        year, month, day = text[:4], text[4:6], text[6:]
        return list(_days(year, month, day, today, System.LABEL_JAPAN)) if len(text) == 8 else []
    length = len(text) - 4
    found: list[Found] = []
    if System.LABEL_US in orders:
        found.extend(_days(text[4:], text[:2], text[2:4], today, System.LABEL_US))
    if System.LABEL_EUROPE in orders:
        found.extend(_days(text[4:], text[2:4], text[:2], today, System.LABEL_EUROPE))
    if System.LABEL_JAPAN in orders:
        found.extend(_days(text[:length], text[length:-2], text[-2:], today, System.LABEL_JAPAN))
    if not found:
        raise NoSuchDate("no order of day, month and year makes a day of it")
    return found


def _years(digits: str, today: date) -> Iterator[int]:
    """The years that two or four digits may stand for; the first may be to come, and is dropped by the reader."""
    if len(digits) == 4:
        if int(digits) >= LABELS_SINCE:
            yield int(digits)
    elif len(digits) == 2:
        since = LABELS_SINCE + (int(digits) - LABELS_SINCE) % 100
        yield from range(since, max(since, today.year) + 1, 100)


def _ordinal(year: int, month: int, day: int) -> int:
    """The day's ordinal, or 0 where the calendar has no such day."""
    if 1 <= month <= 12 and 1 <= day <= monthrange(year, month)[1]:
        return date(year, month, day).toordinal()
    return 0


def _month(year: int, month: int, system: System, words: str) -> Found:
    first = date(year, month, 1).toordinal()
    return Found(
        first, first + monthrange(year, month)[1] - 1, system, f"{words}: {MONTHS[month - 1]} {year}"
    )


def _whole_year(year: int, system: System, words: str) -> Found:
    return Found(date(year, 1, 1).toordinal(), date(year, 12, 31).toordinal(), system, words)
