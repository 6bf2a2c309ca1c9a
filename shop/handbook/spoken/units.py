"""Units as they are said and typed: the power of ten and the base unit. Source of the prefixes: the SI brochure (BIPM)."""

from __future__ import annotations

from decimal import Decimal

_PREFIXES = {"": 0, "m": -3, "u": -6, "\u00b5": -6, "\u03bc": -6, "n": -9, "p": -12, "k": 3}
_SPOKEN = {"": 0, "milli": -3, "micro": -6, "nano": -9, "pico": -12, "kilo": 3, "mega": 6, "meg": 6}
_BASES = {
    "v": ("V", ("volt", "volts")),
    "a": ("A", ("amp", "amps", "ampere", "amperes")),
    "w": ("W", ("watt", "watts")),
    "hz": ("Hz", ("hertz",)),
    "f": ("F", ("farad", "farads")),
    "h": ("H", ("henry", "henries")),
    "n": ("N", ("newton", "newtons")),
    "\u03c9": ("ohm", ("ohm", "ohms")),
    "\u2126": ("ohm", ()),
}
_PLAIN: dict[str, tuple[int, str]] = {
    "%": (0, "%"), "percent": (0, "%"), "db": (0, "dB"), "decibel": (0, "dB"), "decibels": (0, "dB"),
    "g": (0, "g"), "gram": (0, "g"), "grams": (0, "g"), "degrees": (0, "deg"), "degree": (0, "deg"), "\u00b0": (0, "deg"),
    "\u00b0c": (0, "degC"), "k": (3, "ohm"), "meg": (6, "ohm"), "megs": (6, "ohm"), "mohm": (6, "ohm"), "kohm": (3, "ohm"),
    "r": (0, "ohm"), "mhz": (6, "Hz"), "u": (-6, "F"), "n": (-9, "F"), "p": (-12, "F"), "\u00b5": (-6, "F"),
    "micro": (-6, "F"), "mike": (-6, "F"), "mikes": (-6, "F"), "puff": (-12, "F"), "nano": (-9, "F"), "pico": (-12, "F"),
    "mic": (-6, "F"), "rpm": (0, "rpm"), "millis": (-3, "s"), "ms": (-3, "s"), "mm": (-3, "m"), "cm": (-2, "m"),
    "min": (0, "min"), "mins": (0, "min"), "minute": (0, "min"), "minutes": (0, "min"),
    "hour": (0, "h"), "hours": (0, "h"), "hrs": (0, "h"), "hr": (0, "h"), "h": (0, "h"),
    "vac": (0, "V"), "vdc": (0, "V"), "mv": (-3, "V"), "uf": (-6, "F"), "milliohm": (-3, "ohm"), "mvac": (-3, "V"),
}  # fmt: skip


def _table() -> dict[str, tuple[int, str]]:
    """Every spelling of every unit."""
    table: dict[str, tuple[int, str]] = {}
    for short, (base, names) in _BASES.items():
        table |= {prefix + short: (power, base) for prefix, power in _PREFIXES.items()}
        table |= {prefix + name: (power, base) for prefix, power in _SPOKEN.items() for name in names}
        table |= {"k" + name: (3, base) for name in names} | {"meg" + name: (6, base) for name in names}
    return table | _PLAIN


UNITS_SAID = _table()
TIMES = frozenset({"min", "h"})
PREFIX_WORDS = {word: power for word, power in _SPOKEN.items() if word} | {
    "k": 3,
    "m": -3,
    "u": -6,
    "n": -9,
    "p": -12,
}
UNIT_WORDS = {name: base for base, names in _BASES.values() for name in names}


def scaled(number: Decimal, power: int) -> Decimal:
    """A number times a power of ten, exactly. Raises ValueError for what is no number."""
    if not number.is_finite():
        raise ValueError("Only a number can be scaled.")
    return number.scaleb(power)
