"""Letter codes of IEC 60062: year letter and month character in both orders, and the one-letter code on request.

Sources
    Last digit of the year and a letter for the month: listed as the two-character code with a ten-year cycle in
    IEC 60062:2004 (its summary at normadoc.com, looked up); its letters, with or without I, as Asian makers print them
    (from memory).
    IEC 60062 (DIN 41314 before): year letters without G, I, O, Q, Y and Z, months 1 to 9, O, N, D, and the reversed
    order of 1969 to 1977 (elektronotdienst-nuernberg.de, primidi.com, looked up). The one-letter cycle: normadoc.com
    and a capacitor maker's list (looked up); that all makers use the same letters is from memory.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterator
from datetime import date

from .candidates import MONTHS, Found, NoSuchDate, System

MONTH_LETTERS = {"ABCDEFGHJKLM": "without I", "ABCDEFGHIJKL": "with I"}
"""January to December by a letter behind the last digit of a year, in the two alphabets that makers use."""
DIGIT_MONTH_SINCE = 1950
YEAR_LETTERS = "ABCDEFHJKLMNPRSTUVWX"
"""Twenty years from 1970, again from 1990 and 2010: G, I, O, Q, Y and Z are left out."""
MONTH_CHARACTERS = "123456789OND"
LETTERS_SINCE = 1970
REVERSED_UNTIL = 1977
ONE_LETTER_MONTHS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
"""January to December of one year, then of the next; small letters for the two years after, and round again."""
ONE_LETTER_SINCE = 1969
"""A year in which capital A stands for January, as it does in 1997; how early the code was used is not known."""


def encode_year_month(day: date) -> str:
    """Year letter and month character, the order of today: August 1978 is ``K8``. From 1970 on, else ValueError."""
    return _year_letter(day) + MONTH_CHARACTERS[day.month - 1]


def encode_month_year(day: date) -> str:
    """Month character and year letter, the order of 1969 to 1977: August 1972 is ``8C``."""
    return MONTH_CHARACTERS[day.month - 1] + _year_letter(day)


def encode_one_letter(day: date) -> str:
    """The letter of the four-year cycle: March 1997 is ``C``, January 1998 ``N``, January 1999 ``a``."""
    place = (day.year - ONE_LETTER_SINCE) % 4
    letter = ONE_LETTER_MONTHS[12 * (place % 2) + day.month - 1]
    return letter if place < 2 else letter.lower()


def letter_codes(text: str, today: date) -> list[Found]:
    """Readings of a two-character code in both orders; the reversed one only in its own years, later ones doubtful."""
    if len(text) != 2 or not text.isascii() or not text.isalnum():
        return []
    one, two = text[0], text[1]
    found: list[Found] = []
    if one in YEAR_LETTERS and two in MONTH_CHARACTERS:
        start, month = LETTERS_SINCE + YEAR_LETTERS.index(one), MONTH_CHARACTERS.index(two) + 1
        years = range(start, max(start, today.year) + 1, len(YEAR_LETTERS))
        words = f"year letter {one}, month {two}"
        found.extend(_month(year, month, System.YEAR_MONTH, words) for year in years)
    if two in YEAR_LETTERS and one in MONTH_CHARACTERS:
        year, month = LETTERS_SINCE + YEAR_LETTERS.index(two), MONTH_CHARACTERS.index(one) + 1
        words = f"month {one}, year letter {two}"
        if year > REVERSED_UNTIL:
            words += f" in an order last seen in {REVERSED_UNTIL}"
        found.append(_month(year, month, System.MONTH_YEAR, words, doubtful=year > REVERSED_UNTIL))
    found.extend(_digit_and_month(one, two, today))
    if not found:
        raise NoSuchDate(_why_no_letter_code(one, two))
    return found


def _digit_and_month(digit: str, letter: str, today: date) -> Iterator[Found]:
    """The last digit of a year with a letter for its month: ``7A`` is January of a year that ends in 7."""
    if not digit.isdigit():
        return
    months: dict[int, list[str]] = {}
    for alphabet, how in MONTH_LETTERS.items():
        if letter in alphabet:
            months.setdefault(alphabet.index(letter) + 1, []).append(how)
    since = DIGIT_MONTH_SINCE + int(digit)
    for month, ways in months.items():
        words = f"year digit {digit}, month letter {letter}"
        if len(ways) == 1:
            words += f" of an alphabet {ways[0]}"
        for year in range(since, max(since, today.year) + 1, 10):
            yield _month(year, month, System.DIGIT_MONTH, words)


def one_letter_codes(text: str, today: date) -> list[Found]:
    """Readings of the one-letter code, one month in every fourth year; capital and small letters differ."""
    if len(text) != 1 or text.upper() not in ONE_LETTER_MONTHS:
        raise NoSuchDate("the one-letter code is a single letter, and never I or O")
    place, month = divmod(ONE_LETTER_MONTHS.index(text.upper()), 12)
    start = ONE_LETTER_SINCE + place + (0 if text.isupper() else 2)
    return [
        _month(year, month + 1, System.ONE_LETTER, f"letter {text} of a four-year cycle")
        for year in range(start, max(start, today.year) + 1, 4)
    ]


def _year_letter(day: date) -> str:
    if day.year < LETTERS_SINCE:
        raise ValueError(f"Year letters begin in {LETTERS_SINCE}.")
    return YEAR_LETTERS[(day.year - LETTERS_SINCE) % len(YEAR_LETTERS)]


def _month(year: int, month: int, system: System, words: str, *, doubtful: bool = False) -> Found:
    first = date(year, month, 1).toordinal()
    last = first + monthrange(year, month)[1] - 1
    return Found(first, last, system, f"{words}: {MONTHS[month - 1]} {year}", doubtful)


def _why_no_letter_code(one: str, two: str) -> str:
    if "0" in (one, two) and (one + two).strip("0") in tuple(YEAR_LETTERS):
        return "no month is marked with a zero; October is the letter O"
    if two in MONTH_CHARACTERS and one.isalpha() and one not in YEAR_LETTERS:
        return f"{one} is not a year letter (G, I, O, Q, Y and Z are left out)"
    if one in YEAR_LETTERS or two in YEAR_LETTERS:
        return "a year letter goes with a month character: 1 to 9, O, N or D"
    return "a two-character code has a year letter and a month character"
