"""From what somebody typed to a quantity, or to one sentence that says why not.

Sources
    The forms read here are those that a bench types (common practice, no source); the codes among them: see
    ``marks``. Degrees Fahrenheit: 9/5 and 32 by definition; minute and hour: accepted for use with the SI.
    Standard acceleration of gravity, 9.80665 m/s²: 3rd General Conference on Weights and Measures, 1901 (from memory).
"""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Context, Decimal

from .digits import DIGITS, PLAIN, number_in
from .kinds import TAILS, Kind, Spelled
from .marks import (
    CODE_LETTERS,
    PICO,
    looks_rated,
    read_bands,
    read_bare_microfarad,
    read_code,
    read_eia_96,
    read_four_digits,
    read_rated_code,
    read_rkm,
    tolerance_of,
)
from .quantity import Quantity, Tolerance, Unreadable, measured, rated
from .why_not import quoted, why_not

LONGEST = 80
"""A longer text is no value; it is refused before it is looked at."""

# the commonest forms; possessive (the + behind each repetition), so that what is none of them is known at once
_QUICK = re.compile(r"([+-]?[0-9]{1,20}+\.?+[0-9]{0,20}+) ?+([^ 0-9]{0,12}+)").fullmatch
_QUICK_CODE = re.compile(r"([0-9]{0,9}+)([RkKMpnuµ])([0-9]{1,9}+)").fullmatch
_QUICK_RATING = re.compile(
    r"(?!ca?\.)([0-9]{0,9}+[^ /,;0-9][^ /,;]{0,12}+)[ /]([0-9]{1,4}+\.?+[0-9]{0,4}+)([VW])"
).fullmatch
_RATING_KINDS = {"V": None, "W": Kind.POWER}


def parse(text: str, kind: Kind | None = None) -> Quantity:
    """Read one typed value: ``4k7``, ``-12.6 V``, ``22mV``, ``4µ7 63V``, ``OL``, ``yellow violet red gold``.

    ``kind`` is the quantity that was chosen beside it; a number without a unit needs it. The value is exact and in
    the base unit. Raises Unreadable, with one sentence for the person, for everything that can't be read without
    guessing.
    """
    if text[-1:].isdigit() and (code := _QUICK_CODE(text)):
        whole, letter, places = code.groups()
        if spelt := CODE_LETTERS[kind].get(letter):
            exponent, unit, told, top, _ = spelt
            value = Decimal(f"{whole}.{places}{exponent}")
            if value.adjusted() < top:
                return measured(value, unit, told, text)
    elif plain := _QUICK(text):
        number, behind = plain.groups()
        if spelt := TAILS[kind].get(behind):
            exponent, unit, told, top, signed = spelt
            value = Decimal(number + exponent)
            if value.adjusted() < top and (text[0] != "-" or (signed and unit != "°C")):
                return measured(value, unit, told, text)
    elif marks := _QUICK_RATING(text):
        marking, number, unit = marks.groups()
        part = parse(marking, kind)
        limit = Decimal(number)
        if part.unit in _PARTS_ARE_IN and limit and not part.over_range:
            return rated(part, measured(limit, unit, _RATING_KINDS[unit], number + unit), text)
    return _slowly(text, kind)


_FOLDED = {0x2212: "-", 0x2013: "-", 0x3000: " ", 0x2126: "Ω"} | {
    fullwidth: fullwidth - 0xFEE0 for fullwidth in range(0xFF01, 0xFF5F)
}
"""Minus signs, the ohm sign and full-width characters as a tablet's keyboard writes them."""


_PART_OF_ONE = re.compile(r"(?<![0-9])[½¼¾⅛]")
_SPELLED_OUT = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8"}


def _spelled_out(match: re.Match[str]) -> str:
    """A fraction in one character as the three that are read; never behind a digit, where it would be another number."""
    return _SPELLED_OUT[match[0]]


def _slowly(text: str, kind: Kind | None) -> Quantity:
    """Everything that isn't one of the commonest forms."""
    if len(text) > LONGEST:
        raise Unreadable(f"That is too long for one value: at most {LONGEST} characters.")
    cleaned = text if text.isascii() else _PART_OF_ONE.sub(_spelled_out, text).translate(_FOLDED)
    cleaned = cleaned.strip()
    quantity = (
        _over_range(cleaned, kind, text)
        or _single(cleaned, kind, text)
        or read_bands(cleaned, text)
        or _with_extras(cleaned, kind, text)
    )
    if quantity is None:
        raise Unreadable(why_not(cleaned, kind))
    if kind is not None and quantity.kind is not kind:
        raise Unreadable(f"{quoted(cleaned)} is not {kind.in_words}.")
    return quantity


_OHMS_BY_E = re.compile(r"([0-9]{0,3})E([0-9]{0,2})").fullmatch
"""E in the point's place: the ohm of European circuit diagrams, and a power of ten on a keyboard."""


def _refuse_e(text: str, kind: Kind | None) -> None:
    if kind in {None, Kind.RESISTANCE, Kind.ESR} and (match := _OHMS_BY_E(text)) and match[1] and match[2]:
        raise Unreadable(
            f"“{text}” could be {match[1]}.{match[2]} Ω on a part or {text.lower()} as a power of ten: type one of them."
        )


_CODE_OR_FARAD = re.compile(r"[1-9][0-9]{2}F").fullmatch


def _single(text: str, kind: Kind | None, typed: str) -> Quantity | None:
    """A value with nothing beside it: a number, a capacitor's code, an RKM code."""
    if kind in {None, Kind.CAPACITANCE} and _CODE_OR_FARAD(text):
        raise Unreadable(
            f"“{text}” could be {text[:-1]} farad or a code with ±1 %: type it with a blank, or in pF."
        )
    _refuse_e(text, kind)
    quantity = read_code(text, typed) if kind is Kind.CAPACITANCE else None
    if kind in {None, Kind.CAPACITANCE} and text[-1:].isalpha():
        quantity = quantity or read_rated_code(text, typed)  # 1H473K is 47 nF for 50 V, and no 1.473 H
    quantity = quantity or read_rkm(text, kind, typed) or _plain(text, kind, typed) or _hfe(text, kind, typed)
    quantity = (
        quantity or _wattage(text, kind, typed) or _coded(text, kind, typed) or _turns(text, kind, typed)
    )
    if quantity is not None:
        _refuse_unbelievable(quantity, text)
    return quantity


_FARADS_AND_LETTER = re.compile(
    rf"({DIGITS}\s?(?:[pnuµμ]F|mF)|[0-9]*[pnuµμ][0-9]+F)([BCDFGHJKMNQSTZ])"
).fullmatch


def _coded(text: str, kind: Kind | None, typed: str) -> Quantity | None:
    """Codes that are less common: EIA-96, a rated voltage before the code, farads with a tolerance letter."""
    if kind is Kind.RESISTANCE:
        return read_eia_96(text, typed)
    if kind not in {None, Kind.CAPACITANCE}:
        return None
    if match := _FARADS_AND_LETTER(text):
        farads = match[1][:-1] if match[1][-2].isdigit() else match[1]
        part = _single(farads, Kind.CAPACITANCE, typed)
        tolerance = tolerance_of(match[2], part.value, "F") if part else None
        return replace(part, tolerance=tolerance) if part and tolerance else None
    found = read_rated_code(text, typed)
    return found or (read_bare_microfarad(text, typed) if kind is Kind.CAPACITANCE else None)


_TURNS = re.compile(r"([0-9]{1,4})\s*(⅓|⅔|1/3|2/3)\s*(rpm|RPM|r/min|rev/min)?").fullmatch
_THIRDS = {"⅓": 1, "1/3": 1, "⅔": 2, "2/3": 2}


def _turns(text: str, kind: Kind | None, typed: str) -> Quantity | None:
    """``33⅓ rpm``, ``33 1/3`` and ``16⅔``: the speeds of records, where the unit or the kind says that it is one."""
    match = _TURNS(text)
    if match is None or not (kind is Kind.ROTATION or (kind is None and match[3])):
        return None
    if "/" in match[2] and " " not in text.replace(match[3] or "", "").strip():
        return None  # 331/3 may be three hundred and thirty-one thirds
    return Quantity((int(match[1]) * 3 + Decimal(_THIRDS[match[2]])) / 3, "rpm", Kind.ROTATION, typed)


# --- a number with its unit -------------------------------------------------------------------------------------


def _plain(text: str, kind: Kind | None, typed: str) -> Quantity | None:
    match = PLAIN(text)
    if match is None:
        return None
    sign, digits, power, behind = match.groups()
    number = number_in(sign, digits, power)
    behind = "".join(behind.split())
    spelt = TAILS[kind].get(behind)
    if spelt is not None:
        if sign == "-" and not spelt.signed:
            return None
        return Quantity(Decimal(number + spelt.exponent) if not power else _scaled(number, spelt), spelt.unit,
                        spelt.kind, typed)  # fmt: skip
    return _converted(Decimal(number), behind, kind, typed)


def _scaled(number: str, spelt: Spelled) -> Decimal:
    return Decimal(number).scaleb(int(spelt.exponent[1:] or 0))


_MINUTE = Decimal(60)
_HOUR = Decimal(3600)
_SECONDS = {
    "min": _MINUTE, "mins": _MINUTE, "minute": _MINUTE, "minutes": _MINUTE,
    "h": _HOUR, "hr": _HOUR, "hrs": _HOUR, "hour": _HOUR, "hours": _HOUR,
}  # fmt: skip
_FAHRENHEIT = frozenset({"°F", "ºF", "℉", "degF", "F"})
_KELVIN = frozenset({"K", "kelvin"})
_ONLY_IF_CHOSEN = frozenset({"F", "K", "C", "h"})
"""These stand for farad, kilo, coulomb and henry as well."""

_THOUSANDTH = Decimal("0.001")


def _converted(number: Decimal, unit: str, kind: Kind | None, typed: str) -> Quantity | None:
    """A value in a unit that is no decimal multiple of the base unit; Fahrenheit is rounded to 0.001 °C."""
    if kind is None and unit in _ONLY_IF_CHOSEN:
        return None
    if kind in {None, Kind.TIME} and unit in _SECONDS and number >= 0:
        return Quantity(number * _SECONDS[unit], "s", Kind.TIME, typed)
    if kind in _WEIGHED:
        return _weighed(number, unit, kind, typed)
    if kind not in {None, Kind.TEMPERATURE}:
        return None
    if unit in _FAHRENHEIT:
        celsius = ((number - 32) * 5 / 9).quantize(_THOUSANDTH) if abs(number) < 10**6 else number
    elif unit in _KELVIN:
        celsius = number - Decimal("273.15")
    elif unit == "C":
        celsius = number
    else:
        return None
    return Quantity(celsius, "°C", Kind.TEMPERATURE, typed)


_GRAVITY = Decimal("9.80665")
_FIVE_DIGITS = Context(prec=5)
_WEIGHED = {
    Kind.TORQUE: {"g·cm": -5, "gcm": -5, "gf·cm": -5, "gfcm": -5, "g-cm": -5, "g*cm": -5, "p·cm": -5, "pcm": -5,
                  "kg·cm": -2, "kgcm": -2, "kgf·cm": -2, "kg-cm": -2},
    Kind.FORCE: {"g": -3, "gf": -3, "gr": -3, "gram": -3, "grams": -3, "p": -3, "pond": -3, "kg": 0, "kgf": 0},
}  # fmt: skip
"""Forces told as the weight of a mass, and the power of ten of newton (metres) they are in before standard gravity."""


def _weighed(number: Decimal, unit: str, kind: Kind, typed: str) -> Quantity | None:
    """Grams on a stylus gauge and gram-centimeters of a reel, by standard gravity, to five digits; never negative."""
    power = _WEIGHED[kind].get(unit)
    if power is None or number < 0:
        return None
    newtons = _FIVE_DIGITS.multiply(number, _GRAVITY).scaleb(power)
    return Quantity(newtons, kind.symbol, kind, typed)


_HFE = re.compile(rf"(?:hfe|β|beta)\s*[=:]?\s*({DIGITS})", re.IGNORECASE).fullmatch


def _hfe(text: str, kind: Kind | None, typed: str) -> Quantity | None:
    match = _HFE(text) if kind in {None, Kind.GAIN} else None
    return match and Quantity(Decimal(number_in("", match[1], None)), "", Kind.GAIN, typed)


_ABSOLUTE_ZERO = Decimal("-273.15")


def _refuse_unbelievable(quantity: Quantity, text: str) -> None:
    if quantity.unit == "°C" and quantity.value < _ABSOLUTE_ZERO:
        raise Unreadable(f"{quoted(text)} is below absolute zero, which is −273.15 °C.")
    top = _top_of(quantity)
    if quantity.value and quantity.value.adjusted() >= top:
        raise Unreadable(
            f"{quoted(text)} is more than any bench measures: a capital M is mega, a small m is milli."
        )


_TOP_OF_UNIT = {
    spelt.unit: spelt.top for tails in (TAILS[Kind.LEVEL], TAILS[None]) for spelt in tails.values()
}


def _top_of(quantity: Quantity) -> int:
    return quantity.kind.facts.top if quantity.kind else _TOP_OF_UNIT[quantity.unit]


# --- over range -------------------------------------------------------------------------------------------------

_OVER = re.compile(
    r"([+-]?)\s*(?:\.?[O0]\.?L\.?|over[ -]?(?:range|load)|∞)\s*([^0-9]*)", re.IGNORECASE
).fullmatch
_MORE_THAN = re.compile(r">\s*(.+)", re.DOTALL).fullmatch


def _over_range(text: str, kind: Kind | None, typed: str) -> Quantity | None:
    """``OL`` in its spellings, with or without a unit, and ``>200 MΩ``."""
    more = _MORE_THAN(text)
    if more:
        bound = _single(more[1], kind, typed)
        return replace(bound, over_range=True) if bound and not bound.tolerance else None
    match = _OVER(text)
    if match is None:
        return None
    unit = "".join(match[2].split())
    spelt = TAILS[kind].get(unit)
    if spelt is None and kind is not None and not unit:
        spelt = TAILS[kind].get(kind.symbol)
    if spelt is None or (match[1] == "-" and not spelt.signed):
        return None
    return Quantity(Decimal(f"{match[1]}Infinity"), spelt.unit, spelt.kind, typed, over_range=True)


# --- what else stands on a part ---------------------------------------------------------------------------------

_RATED = re.compile(
    rf"(.*?[^\s/,;])(?:\s*[/,;]\s*|\s+)({DIGITS}|[0-9]{{1,2}}/[0-9]{{1,2}})\s*([A-Za-z°%℃º~=⎓]+)", re.DOTALL
).fullmatch
_EITHER_WAY = re.compile(
    rf"(.*?[^\s/,;])\s*[/,;]?\s*(?:±|\+/-|\+-)\s*({DIGITS})\s*(%|pF)", re.DOTALL
).fullmatch
_UNEVEN = re.compile(
    rf"(.*?[^\s/,;])\s*[/,;]?\s*([+-]{DIGITS})\s*%?\s*/?\s*([+-]{DIGITS})\s*%", re.DOTALL
).fullmatch
_MOST_EXTRAS = 4
_WORKING_VOLTS = frozenset({"WV", "WVDC", "VW", "wv", "wvdc"})
_RATED_IN = frozenset({"V", "A", "W", "°C"})
_PARTS_ARE_IN = frozenset({"Ω", "F", "H"})


def _with_extras(text: str, kind: Kind | None, typed: str) -> Quantity | None:
    """A part's value with its tolerance and ratings behind it: ``4k7 5% 1/4W``, ``4.7µF/63V``, ``105K 330V``."""
    if _FRACTION_OF_A_WATT(text):
        return None
    ratings: list[Quantity] = []
    tolerance: Tolerance | None = None
    for _ in range(_MOST_EXTRAS):
        rest, found = _last_extra(text)
        if found is None:
            break
        text = rest
        if isinstance(found, Quantity):
            ratings.insert(0, found)
        elif tolerance is None:
            tolerance = found
        else:
            raise Unreadable("Two tolerances for one part: type one.")
    if not ratings and tolerance is None:
        return None
    part = _part(text, kind, typed, ratings)
    if part is None or part.unit not in _PARTS_ARE_IN:
        return None
    if len({rating.unit for rating in ratings}) < len(ratings):
        raise Unreadable("Two ratings in the same unit for one part: type one.")
    if tolerance and part.tolerance and tolerance != part.tolerance:
        raise Unreadable("Two tolerances for one part: type one.")
    return replace(part, ratings=tuple(ratings), tolerance=tolerance or part.tolerance)


def _part(text: str, kind: Kind | None, typed: str, ratings: list[Quantity]) -> Quantity | None:
    """The part's own value; three bare digits beside a voltage are a capacitor's code."""
    if kind is None and text.isdigit() and any(rating.unit == "V" for rating in ratings):
        return read_code(text, typed)
    return _single(text, kind, typed)


def _last_extra(text: str) -> tuple[str, Quantity | Tolerance | None]:
    """The text without its last tolerance or rating, and that; (text, None) where there is none."""
    if match := _EITHER_WAY(text):
        either_way = Decimal(number_in("", match[2], None))
        if match[3] == "pF":
            return match[1], Tolerance(either_way * PICO, either_way * PICO, "F")
        return match[1], Tolerance(either_way, either_way)
    if match := _UNEVEN(text):
        below, above = sorted(Decimal(number_in(number[0], number[1:], None)) for number in match.group(2, 3))
        return (match[1], Tolerance(-below, above)) if below < 0 < above else (text, None)
    match = _RATED(text)
    found = _rating_in(match[2], match[3]) if match else None
    return (match[1], found) if match and found else (text, None)


def _rating_in(number: str, unit: str) -> Quantity | Tolerance | None:
    """A rating or a tolerance in percent from its number and unit; None if parts have none such, or if it is zero."""
    value = _fraction(number) if "/" in number else Decimal(number_in("", number, None))
    if value is None or not value:
        return None
    if unit == "%":
        return Tolerance(value, value)
    if unit in _WORKING_VOLTS:
        return Quantity(value, "V", Kind.VOLTAGE_DC, number + unit)
    spelt = TAILS[None].get(unit)
    if spelt is None or spelt.unit not in _RATED_IN:
        return None
    rating = Quantity(value.scaleb(int(spelt.exponent[1:] or 0)), spelt.unit, spelt.kind, number + unit)
    _refuse_unbelievable(rating, rating.typed)
    return rating


_FRACTION_OF_A_WATT = re.compile(r"(1/[0-9]{1,2}|3/4)\s*(?:W|watts?)", re.IGNORECASE).fullmatch


def _wattage(text: str, kind: Kind | None, typed: str) -> Quantity | None:
    """``1/4W`` alone: a resistor's wattage, where no other kind was chosen (common practice, no source)."""
    match = _FRACTION_OF_A_WATT(text) if kind in {None, Kind.POWER} else None
    watts = match and _fraction(match[1])
    return Quantity(watts, "W", Kind.POWER, typed) if watts else None


def _fraction(text: str) -> Decimal | None:
    """``1/4`` as a resistor's wattage is written; None for what no wattage is."""
    upper, lower = (int(number) for number in text.split("/"))
    return Decimal(upper) / lower if lower in {2, 4, 5, 8, 10, 16, 20, 32} and upper < lower else None


# --- as it was typed ---------------------------------------------------------------------------------------------


def with_unit(typed: str, symbol: str) -> str:
    """What was typed, with the unit it was read in where only a number was: ``11,2`` in V is ``11,2 V``."""
    if not symbol or not _NUMBER_ALONE(typed):
        return typed
    return f"{typed.strip()}{symbol}" if symbol == "°" else f"{typed.strip()} {symbol}"


# --- parts in a search ------------------------------------------------------------------------------------------


def part_values(text: str, *, chips: bool = False) -> tuple[Quantity, ...]:
    """Every value that a part's marking may mean, for a search: ``473M`` is 473 MΩ or 47 nF ±20 %.

    ``4.7k 0.25W`` is one reading, 4700 Ω rated 0.25 W. A number alone is a value only as a three-digit code or with
    a wattage beside it. ``chips``: that 12A, ampere on a fuse, is 130 Ω on a chip is told as well. Raises Unreadable if
    it has no reading at all.
    """
    if looks_rated(text) and (rated_part := read_rated_code(text.strip(), text)):
        return (rated_part,)
    try:
        first = parse(text)
    except Unreadable as refusal:
        readings = [found for kind in (Kind.RESISTANCE, Kind.CAPACITANCE) if (found := _as_part(text, kind))]
        readings.extend(_round_picofarads(text))
        if not readings:
            raise refusal from None
        return tuple(readings)
    chip = read_eia_96(text.strip(), text) if chips else None
    return (first, chip) if chip else (first,)


def _round_picofarads(text: str) -> list[Quantity]:
    """``330`` on a capacitor: 33 pF by the code, 330 pF where a maker printed the number itself."""
    code = _CODE_OF_OHMS(text)
    if code is None or code[2] != "0":
        return []
    return [
        Quantity(Decimal(code[1]) * times * PICO, "F", Kind.CAPACITANCE, text)
        for times in (Decimal(1), Decimal(10))
    ]


def _as_part(text: str, kind: Kind) -> Quantity | None:
    watts = kind is Kind.RESISTANCE
    code = watts and _CODE_OF_OHMS(text)
    if code:
        return Quantity(Decimal(f"{code[1]}E{code[2]}"), "Ω", kind, text)
    if watts and (by_e := _OHMS_BY_E(text.strip())) and (by_e[1] or by_e[2]):
        return Quantity(Decimal(f"{by_e[1] or 0}.{by_e[2]}"), "Ω", kind, text)
    if watts and (chip := read_four_digits(text.strip(), text)):
        return chip
    try:
        quantity = parse(text, kind)
    except Unreadable:
        return None
    number_alone = watts and not quantity.ratings and _NUMBER_ALONE(text)
    return (
        None
        if number_alone or (not watts and any(rating.unit == "W" for rating in quantity.ratings))
        else quantity
    )


_CODE_OF_OHMS = re.compile(r"\s*([1-9][0-9])([0-9])\s*").fullmatch
_NUMBER_ALONE = re.compile(rf"\s*[+−-]?{DIGITS}\s*").fullmatch
