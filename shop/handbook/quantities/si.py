"""SI prefixes, and a number printed in engineering form.

Sources
    The International System of Units (SI), 9th edition, chapter 3 and table 7, with the four prefixes added by the
    27th General Conference in 2022 (powers from memory; rules looked up in the BIPM's section on prefixes): no
    compound prefix, no prefix standing alone, no space between prefix and unit, kilo is a lower-case k.
    5.4 of the same: a space between number and unit, before ``%`` and ``°C`` too (from memory).
    Units that take no prefix here (dB, °C, °, %, rpm): common practice, no source.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Context, Decimal

MICRO = "µ"
"""U+00B5, as keyboards and fonts have it; U+03BC is read as well."""

MINUS = "−"
"""U+2212, the minus sign of typography; the hyphen is read as well."""

PREFIXES: dict[str, int] = {
    "q": -30, "r": -27, "y": -24, "z": -21, "a": -18, "f": -15, "p": -12, "n": -9, MICRO: -6, "m": -3,
    "k": 3, "M": 6, "G": 9, "T": 12, "P": 15, "E": 18, "Z": 21, "Y": 24, "R": 27, "Q": 30,
}  # fmt: skip
"""The prefixes whose powers of ten are multiples of three, by symbol."""

WITHOUT_PREFIX = frozenset({"", "%", "°", "°C", "rpm", "dB", "dBV", "dBu", "dBm", "dBW"})
"""Units printed as they are, whatever the size of the number."""

_SYMBOL_OF = {power: symbol for symbol, power in PREFIXES.items()} | {0: ""}
_WIDE = Context(prec=80, rounding=ROUND_HALF_UP)


def _cut(value: Decimal, digits: int) -> Decimal:
    """The value to ``digits`` significant digits, half up; 999.96 to four carries to 1000."""
    if not value:
        return Decimal(0)
    cut = value.quantize(Decimal(1).scaleb(value.adjusted() - digits + 1), context=_WIDE)
    if cut.adjusted() > value.adjusted():
        cut = cut.quantize(Decimal(1).scaleb(cut.adjusted() - digits + 1), context=_WIDE)
    return cut


def _power_for(value: Decimal, unit: str) -> int:
    """The multiple of three that leaves 1 to 999 before the point, as far as there are prefixes for it."""
    if not value or unit in WITHOUT_PREFIX:
        return 0
    power = value.adjusted() // 3 * 3
    if unit == "s":
        power = min(power, 0)
    return max(min(power, 30), -30)


def _in_full(number: Decimal, *, padded: bool) -> str:
    text = f"{number:f}"
    if not padded and "." in text:
        text = text.rstrip("0").rstrip(".")
    return text.replace("-", MINUS)


def engineering(value: Decimal, unit: str, digits: int = 4, *, padded: bool = False) -> str:
    """A value in its base unit, with the prefix that leaves 1 to 999 before the point: ``470 µF``, ``−12.6 V``.

    Rounded half up to ``digits`` significant digits, but never above the unit's own place where the unit takes no
    prefix. ``padded`` keeps the zeros behind the point (``1.000 kΩ``). A number too large or too small for the last
    prefix keeps that prefix. Infinity is ``∞``.
    """
    if digits < 1:
        raise ValueError("A number is printed with at least one digit.")
    if value.is_nan():
        raise ValueError("Only a number can be printed.")
    if value.is_infinite():
        number, symbol = (MINUS if value < 0 else "") + "∞", ""
    else:
        whole_places = max(value.adjusted() + 1, 0) if unit in WITHOUT_PREFIX or unit == "s" else 0
        rounded = _cut(value, max(digits, whole_places))
        power = _power_for(rounded, unit)
        number = _in_full(rounded.scaleb(-power, context=_WIDE), padded=padded)
        symbol = _SYMBOL_OF[power]
    return f"{number} {symbol}{unit}".rstrip()
