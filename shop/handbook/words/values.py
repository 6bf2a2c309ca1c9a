"""Values in running text (``4.7 µF``, ``4u7``, ``63V``) as one word each, however they were written.

Sources
    IEC 60062: the letter of the multiplier in the place of the decimal point (``4k7``, ``0R22``, ``4u7``).
    BIPM, SI Brochure, 9th edition: prefixes (exponents from memory).
    Old spellings (mfd, mmf, kc, meg): common practice, no source.
"""

from __future__ import annotations

import re
from decimal import Decimal

_FAMILIES: tuple[dict[str, int], ...] = (
    {"pf": -12, "nf": -9, "uf": -6},
    {"r": 0, "k": 3, "m": 6},
    {"uv": -6, "mv": -3, "v": 0, "kv": 3},
    {"ua": -6, "ma": -3, "a": 0},
    {"mw": -3, "w": 0, "kw": 3},
    {"nh": -9, "uh": -6, "mh": -3},
    {"hz": 0, "khz": 3, "mhz": 6, "ghz": 9},
    {"db": 0},
)
_SPELLINGS = {
    **dict.fromkeys(("p", "pfd", "uuf", "mmf", "mmfd"), "pf"),
    **dict.fromkeys(("n", "nfd"), "nf"),
    **dict.fromkeys(("u", "ufd", "mfd"), "uf"),
    **dict.fromkeys(("ohm", "ohms"), "r"),
    **dict.fromkeys(("kohm", "kohms", "kilohm", "kilohms"), "k"),
    **dict.fromkeys(("meg", "mohm", "mohms", "megohm", "megohms"), "m"),
    **dict.fromkeys(("volt", "volts", "vdc", "vac", "vrms", "vpp"), "v"),
    **dict.fromkeys(("amp", "amps", "ampere", "amperes"), "a"),
    **dict.fromkeys(("watt", "watts"), "w"),
    "kc": "khz",
    "mc": "mhz",
}
_SPOKEN = frozenset({"ohm", "ohms", "volt", "volts", "amp", "amps", "ampere", "amperes", "watt", "watts"})
_FAMILY_OF = {unit: family for family in _FAMILIES for unit in family}
_UNITS = (*_FAMILY_OF, *_SPELLINGS)
_SPACED_UNITS = tuple(unit for unit in _UNITS if len(unit) > 1 or unit in "kvw")
_THOUSANDS = re.compile(r"[1-9]\d*,\d{3}")
_RKM = re.compile(r"(\d{1,4})([rkmunp])(\d{1,2})")


def _any_of(units: tuple[str, ...]) -> str:
    return "|".join(sorted(units, key=len, reverse=True))


NUMBER = r"(?:\d{1,9}(?:[.,]\d{1,6})?|\.\d{1,6})"
VALUE = rf"{NUMBER}(?:(?:{_any_of(_UNITS)})|_(?:{_any_of(_SPACED_UNITS)}))(?![a-z0-9])"
"""A number with its unit attached, or bound to it by ``bind_units``."""

_PARTS = re.compile(rf"({NUMBER})(_?)([a-z]+)")
# It begins with the space itself, so that only spaces are looked at.
_LOOSE_UNIT = re.compile(rf" (?<=[0-9] )(?=(?:{_any_of(_SPACED_UNITS)})(?![a-z0-9]))")


def bind_units(text: str) -> str:
    """The folded text with ``4.7 uf`` as ``4.7_uf``, where the unit can't be taken for another word."""
    return _LOOSE_UNIT.sub("_", text)


def read_value(text: str) -> tuple[str, str, str] | None:
    """A text that matches ``VALUE``: (the value's one word, its word as typed, the unit if it was a word of its own).

    ``4.7_uf`` gives ``4d7uf``, ``4700pf`` gives ``4d7nf``: the number is brought to one prefix, its point is a ``d``.
    """
    found = _PARTS.fullmatch(text)
    if not found:
        return None
    number, gap, unit = found.groups()
    digits = number.replace(",", "" if _THOUSANDS.fullmatch(number) else ".")
    standard = _SPELLINGS.get(unit, unit)
    if standard not in _FAMILY_OF:
        return None
    typed = _pointless(digits if digits[0] != "." else "0" + digits) + unit
    spoken = unit if gap and unit in _SPOKEN else ""
    return _in_best_prefix(Decimal(digits), standard), typed, spoken


def read_rkm(word: str) -> str | None:
    """The one word for a value with its letter in the point's place (``4k7``, ``4u7``); None for anything else."""
    found = _RKM.fullmatch(word)
    if not found:
        return None
    whole, letter, fraction = found.groups()
    return _in_best_prefix(Decimal(f"{whole}.{fraction}"), _SPELLINGS.get(letter, letter))


def read_decimal(text: str) -> str:
    """``4.7`` and what may follow it (``2.5mm``) as one word, the point as a ``d``: ``4d7``, ``2d5mm``."""
    return _pointless(text if text[0] != "." else "0" + text)


def _in_best_prefix(number: Decimal, unit: str) -> str:
    family = _FAMILY_OF[unit]
    size = number.scaleb(family[unit])
    best = unit
    if size:
        best = min(family, key=family.__getitem__)
        for name, exponent in family.items():
            if size >= Decimal(1).scaleb(exponent) and exponent >= family[best]:
                best = name
    return _pointless(f"{size.scaleb(-family[best]).normalize():f}") + best


def _pointless(number: str) -> str:
    return number.replace(".", "d")
