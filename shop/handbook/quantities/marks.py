"""What is printed on parts: RKM codes, three-digit capacitor codes, tolerance letters, colour bands.

Sources
    RKM letters and the examples in the tests: the public article on IEC/EN 60062. ``L`` for milliohm: from memory.
    Three digits in picofarad (104, 473M, 105K): a public table of imprinted capacitor markings. ``R`` as the decimal
    point in picofarad (4R7) is the same code, from memory. Third digits 8 and 9 are refused, since published tables
    contradict each other there (times 0.01 and 0.1 against eight and nine zeros).
    EIA-96 and four digits on chip resistors: IEC 60062:2016 (from memory). Voltage codes 1H, 2A and so on: IEC 60062 and
    JIS C 5101 (from memory). A decimal fraction alone on a capacitor is microfarad: common practice, no source.
    Tolerance letters: IEC 60062, from memory; that B, C, D, F, G are picofarad below 10 pF is confirmed by a public
    capacitor table. Letters for which capacitor tables and IEC 60062 disagree (E, L, P, W) are refused on capacitors.
    Colours: IEC 60062:2016 as given by two public tables; abbreviations of IEC 60757 from memory. Orange, yellow and
    grey as a tolerance differ between the tables, so the value is read and the tolerance is left open.
"""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal

from ..in_words import plain
from .kinds import TAILS, Kind, Spelled, tail
from .quantity import Quantity, Tolerance, Unreadable

PICO = Decimal("1E-12")


def _even(percent: str) -> Tolerance:
    return Tolerance(Decimal(percent), Decimal(percent))


TOLERANCES: dict[str, Tolerance] = {
    "E": _even("0.005"), "L": _even("0.01"), "P": _even("0.02"), "W": _even("0.05"), "B": _even("0.1"),
    "C": _even("0.25"), "D": _even("0.5"), "F": _even("1"), "G": _even("2"), "H": _even("3"), "J": _even("5"),
    "K": _even("10"), "M": _even("20"), "N": _even("30"),
    "Q": Tolerance(Decimal(10), Decimal(30)), "T": Tolerance(Decimal(10), Decimal(50)),
    "S": Tolerance(Decimal(20), Decimal(50)), "Z": Tolerance(Decimal(20), Decimal(80)),
}  # fmt: skip
"""Tolerance letters, in percent."""

PICOFARADS = {"B": "0.1", "C": "0.25", "D": "0.5", "F": "1", "G": "2"}
"""What these letters mean on a capacitor under 10 pF."""

_DISPUTED_ON_CAPACITORS = frozenset("ELPW")


def tolerance_of(letter: str, value: Decimal, unit: str) -> Tolerance | None:
    """What a tolerance letter means behind this value (in base units); None for no tolerance letter.

    Raises Unreadable where published tables give the letter two meanings.
    """
    if not value.is_finite():
        raise Unreadable("A tolerance stands behind a number.")
    if unit == "F":
        if letter in _DISPUTED_ON_CAPACITORS:
            raise Unreadable(
                f"The tolerance letter {letter} means different things on capacitors: leave it out or type the percent."
            )
        if letter in PICOFARADS and value < 10 * PICO:
            picofarads = Decimal(PICOFARADS[letter]) * PICO
            return Tolerance(picofarads, picofarads, "F")
    return TOLERANCES.get(letter)


# --- RKM --------------------------------------------------------------------------------------------------------

_RKM = re.compile(r"([+-]?)([0-9]{0,9})(Ω|[RrKkMGTLpnuUµμmFVAWH])([0-9]{0,9})\s?(\S*)").fullmatch
_IMPLIED = dict.fromkeys("RrΩKkMGTL", Kind.RESISTANCE) | dict.fromkeys("pnuUµμmF", Kind.CAPACITANCE)
"""Which component the letter implies where nothing was chosen; V, A, W and H say it themselves."""

_MILLIOHM = {kind: tail(-3, kind, told=kind) for kind in (Kind.RESISTANCE, Kind.ESR)}
_PICOFARAD_POINT = tail(-12, Kind.CAPACITANCE, told=Kind.CAPACITANCE)


def _meaning(letter: str, unit: str, kind: Kind | None) -> Spelled | None:
    """What the letter means together with the unit behind it, for this quantity."""
    if unit and letter in "Rr":
        ohms = TAILS[kind].get(unit)
        return ohms if ohms and ohms.unit == "Ω" and not ohms.exponent else None
    if not unit:
        if letter == "L" and kind in _MILLIOHM:
            return _MILLIOHM[kind]
        if letter == "R" and kind is Kind.CAPACITANCE:
            return _PICOFARAD_POINT
    return TAILS[kind].get(letter + unit)


def _letter_and_suffix(
    letter: str, suffix: str, kind: Kind | None, part: str = ""
) -> tuple[Spelled | None, str]:
    """The meaning of the letter, and what is left behind it as a tolerance letter."""
    # 1n5F: a code with its letter in the point's place has no unit behind it, so the F is its ±1 %
    is_letter = suffix == "F" and bool(part) and letter in "pn"
    if suffix and not is_letter and (meaning := _meaning(letter, suffix, kind)):
        return meaning, ""
    if kind is None and letter in _IMPLIED:
        kind = _IMPLIED[letter]
    return _meaning(letter, "", kind), suffix


def read_rkm(text: str, kind: Kind | None, typed: str) -> Quantity | None:
    """Read a code whose letter stands for the decimal point: 4K7, R47, 4µ7, 47K3J, 5V1; None if it is none."""
    match = _RKM(text)
    if match is None or not (match[2] or match[4]):
        return None
    sign, whole, letter, part, suffix = match.groups()
    if kind is None:
        _refuse_two_readings(text, whole, letter, part, suffix)
    meaning, left = _letter_and_suffix(letter, suffix, kind, part)
    if meaning is None or (sign == "-" and not meaning.signed):
        return None
    value = Decimal(f"{sign}{whole}.{part}{meaning.exponent}")
    tolerance = tolerance_of(left, value, meaning.unit) if left and meaning.unit in {"Ω", "F", "H"} else None
    if left and tolerance is None:
        return None
    return Quantity(value, meaning.unit, meaning.kind, typed, tolerance=tolerance)


CODE_LETTERS: dict[Kind | None, dict[str, Spelled]] = {
    kind: {letter: found for letter in "RkKMpnuµ" if (found := _letter_and_suffix(letter, "", kind)[0])}
    for kind in (None, *Kind)
}
"""The commonest letters of a code with figures behind them, looked up at once: ``4k7``, ``R47``."""


def _refuse_two_readings(text: str, whole: str, letter: str, part: str, suffix: str) -> None:
    """Raise Unreadable where a code means one thing on a resistor and another on a capacitor or a coil."""
    if letter in "KM" and len(whole) == 3 and not part and not suffix:
        ohms = f"{whole} {letter.lower() if letter == 'K' else letter}Ω"
        raise Unreadable(
            f"“{text}” could be {ohms} or a capacitor of code {whole} ±{10 if letter == 'K' else 20} %: "
            "say which quantity it is."
        )
    if letter in "pnuUµμm" and suffix == "H":
        raise Unreadable(
            f"“{text}” could be a coil in henry or a capacitor of tolerance H: say which quantity it is."
        )
    if letter == "m" and not part and not suffix:
        raise Unreadable(f"“{text}” needs a unit, or say which quantity it is.")


_RKM_LETTERS = {
    Kind.RESISTANCE: ((12, "T"), (9, "G"), (6, "M"), (3, "K"), (0, "R"), (-3, "L")),
    Kind.CAPACITANCE: ((0, "F"), (-3, "m"), (-6, "µ"), (-9, "n"), (-12, "p")),
}
_MILLI = Decimal("0.001")


def rkm(value: Decimal, kind: Kind) -> str:
    """The value as a part is marked by IEC 60062, exactly: ``4K7``, ``R47``, ``470R``, ``4µ7``, ``p33``.

    Raises ValueError for another quantity than resistance or capacitance, and for a negative or endless value.
    """
    letters = _RKM_LETTERS.get(kind)
    if letters is None or not value.is_finite() or value < 0:
        raise ValueError("Only a resistance or capacitance that isn't negative has an RKM code.")
    power, letter = next((pair for pair in letters if value.adjusted() >= pair[0]), letters[-1])
    if not value:
        power, letter = 0, letters[-1][1] if kind is Kind.CAPACITANCE else "R"
    elif letter == "L" and value == value.quantize(_MILLI):
        power, letter = 0, "R"
    whole, _, part = plain(value.scaleb(-power)).partition(".")
    return f"{'' if whole == '0' and part else whole}{letter}{part}"


# --- three-digit capacitor code ---------------------------------------------------------------------------------

_CODE = re.compile(r"([1-9][0-9])([0-9])([A-Z]?)").fullmatch


def read_code(text: str, typed: str) -> Quantity | None:
    """Read a capacitor's three digits in picofarad with their tolerance letter: 104, 473M; None if it is none.

    Raises Unreadable for a code that published tables read in two ways.
    """
    match = _CODE(text)
    if match is None:
        return None
    figures, zeros, letter = match.groups()
    if zeros in "89":
        raise Unreadable(f"Published tables disagree on the code “{text}”: type the value with its unit.")
    if zeros == "0" and not letter:
        raise Unreadable(
            f"“{text}” could be {figures} pF as a code or {text} as a number: type it with its unit."
        )
    value = Decimal(f"{figures}E{int(zeros) - 12}")
    tolerance = tolerance_of(letter, value, "F") if letter else None
    if letter and tolerance is None:
        return None
    return Quantity(value, "F", Kind.CAPACITANCE, typed, tolerance=tolerance)


# --- codes of chip resistors, and a rated voltage before a capacitor's code ----------------------------------------

_EIA_96_POWERS = {"Z": -3, "Y": -2, "X": -1, "S": -1, "A": 0, "B": 1, "H": 1, "C": 2, "D": 3, "F": 5}
"""R is left out, since 47R is 47 Ω to everybody; so is E, which stood for the ohm as well."""
_EIA_96 = re.compile(r"(0[1-9]|[1-8][0-9]|9[0-6])([ZYXSABHCDF])").fullmatch
_FOUR_DIGITS = re.compile(r"([1-9][0-9]{2})([0-7])([BCDFGJ]?)").fullmatch
"""With a last 0 and no letter it may as well be the number itself."""
_ONE_PERCENT = _even("1")


def read_eia_96(text: str, typed: str) -> Quantity | None:
    """Read the two digits and the letter of a 1 % chip resistor: ``01C`` is 10 kΩ; None for any other text."""
    match = _EIA_96(text)
    if match is None:
        return None
    place, letter = int(match[1]) - 1, match[2]
    figures = round(100 * 10 ** (place / 96))
    value = Decimal(f"{figures}E{_EIA_96_POWERS[letter]}")
    return Quantity(value, "Ω", Kind.RESISTANCE, typed, tolerance=_ONE_PERCENT)


def read_four_digits(text: str, typed: str) -> Quantity | None:
    """Read four digits of a resistor: ``4702`` is 47 kΩ, usually ±1 %, ``1001F`` 1 kΩ ±1 %; None for any other text."""
    match = _FOUR_DIGITS(text)
    if match is None or (match[2] == "0" and not match[3]):
        return None
    value = Decimal(f"{match[1]}E{match[2]}")
    tolerance = tolerance_of(match[3], value, "Ω") if match[3] else None
    return Quantity(value, "Ω", Kind.RESISTANCE, typed, tolerance=tolerance)


_RATED_VOLTS = {
    "0E": "2.5", "0G": "4", "0J": "6.3", "1A": "10", "1C": "16", "1E": "25", "1V": "35", "1H": "50", "1J": "63", "1K": "80",
    "2A": "100", "2Q": "110", "2B": "125", "2C": "160", "2Z": "180", "2D": "200", "2P": "220", "2E": "250", "2F": "315",
    "2V": "350", "2G": "400", "2W": "450", "2H": "500", "2J": "630", "2K": "800", "3A": "1000", "3B": "1250", "3C": "1600",
    "3D": "2000", "3F": "3150",
}  # fmt: skip
_PLAIN_RATED_CODE = re.compile(r"\s*[0-3][A-Z] ?[1-9][0-9][1-7]\s*").fullmatch


def looks_rated(text: str) -> bool:
    """Whether a text is a voltage's code and a capacitor's without a letter behind: ``1H104``, which is no 1.104 H."""
    return _PLAIN_RATED_CODE(text) is not None


_RATED_CODE = re.compile(r"([0-3][A-Z]) ?([1-9][0-9]{2}[A-Z]?)").fullmatch


def read_rated_code(text: str, typed: str) -> Quantity | None:
    """Read a voltage code and a capacitor's code: ``2A104J`` is 100 nF ±5 % 100 V; None for any other text."""
    match = _RATED_CODE(text)
    volts = _RATED_VOLTS.get(match[1]) if match else None
    part = read_code(match[2], typed) if match and volts else None
    if part is None or volts is None or match is None:
        return None
    return replace(part, ratings=(Quantity(Decimal(volts), "V", Kind.VOLTAGE_DC, match[1]),))


_BARE_MICROFARAD = re.compile(r"0?(\.[0-9]{1,6})([FGJKM]?)").fullmatch


def read_bare_microfarad(text: str, typed: str) -> Quantity | None:
    """Read a decimal fraction without a unit on a capacitor, ``.022``, as microfarad; None for any other text."""
    match = _BARE_MICROFARAD(text)
    if match is None or not match[1].strip(".0"):
        return None
    value = Decimal(f"0{match[1]}E-6")
    tolerance = tolerance_of(match[2], value, "F") if match[2] else None
    return Quantity(value, "F", Kind.CAPACITANCE, typed, tolerance=tolerance)


# --- colour bands -----------------------------------------------------------------------------------------------

_COLOURS = {
    "black": "black bk", "brown": "brown bn", "red": "red rd", "orange": "orange og", "yellow": "yellow ye",
    "green": "green gn", "blue": "blue bu", "violet": "violet purple vt", "grey": "grey gray gy",
    "white": "white wh", "gold": "gold gd", "silver": "silver sr", "pink": "pink pk",
}  # fmt: skip
_COLOUR_OF = {word: colour for colour, words in _COLOURS.items() for word in words.split()}
_FIGURES = {colour: figure for figure, colour in enumerate(_COLOURS) if figure < 10}
_POWERS = _FIGURES | {"gold": -1, "silver": -2, "pink": -3}
_BAND_TOLERANCES: dict[str, Tolerance | None] = {
    "brown": _even("1"), "red": _even("2"), "green": _even("0.5"), "blue": _even("0.25"), "violet": _even("0.1"),
    "gold": _even("5"), "silver": _even("10"), "orange": None, "yellow": None, "grey": None,
}  # fmt: skip
"""None: published tables disagree, so the tolerance stays open."""

_NO_BAND = _even("20")
_DRIFT_COLOURS = frozenset(_FIGURES) - {"white"}

_WORDS = re.compile(r"[a-zA-Z]+(?:[ ,;/-]+[a-zA-Z]+){0,5}").fullmatch
_BETWEEN = re.compile(r"[ ,;/-]+").split


def read_bands(text: str, typed: str) -> Quantity | None:
    """Read a resistor's colour bands: ``yellow violet red gold`` is 4700 Ω ±5 %; None if these aren't colours.

    Three to six bands, or one black band for a bridge of 0 Ω. Raises Unreadable for an order that no resistor has.
    """
    if _WORDS(text) is None:
        return None
    found = [_COLOUR_OF.get(word) for word in _BETWEEN(text.lower())]
    bands = [colour for colour in found if colour]
    if len(bands) < len(found):
        return None
    if bands == ["black"]:
        return Quantity(Decimal(0), "Ω", Kind.RESISTANCE, typed)
    if len(bands) < 3:
        raise Unreadable(
            "A resistor has three to six bands: name them all, from the end they are nearest to."
        )
    return _from_bands(bands, typed)


def _from_bands(bands: list[str], typed: str) -> Quantity:
    count = 2 if len(bands) <= 4 else 3
    figures, multiplier, rest = bands[:count], bands[count], bands[count + 1 :]
    wrong = next((band for band in figures if band not in _FIGURES), None)
    if wrong:
        raise Unreadable(f"{wrong.capitalize()} is no figure: read the bands from the other end.")
    if figures[0] == "black":
        raise Unreadable("No resistor's code begins with black: read the bands from the other end.")
    value = Decimal(f"{''.join(str(_FIGURES[band]) for band in figures)}E{_POWERS[multiplier]}")
    tolerance: Tolerance | None = _NO_BAND
    if rest:
        if rest[0] not in _BAND_TOLERANCES:
            raise Unreadable(f"{rest[0].capitalize()} is no tolerance: read the bands from the other end.")
        tolerance = _BAND_TOLERANCES[rest[0]]
    if len(rest) == 2 and rest[1] not in _DRIFT_COLOURS:
        raise Unreadable(
            f"{rest[1].capitalize()} is no temperature coefficient: read the bands from the other end."
        )
    return Quantity(value, "Ω", Kind.RESISTANCE, typed, tolerance=tolerance)
