"""Why something typed is no value: one sentence for the person, with what to type instead.

Sources
    Spellings of two meanings (MF, mhz, dbv): common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from .digits import PLAIN
from .kinds import TAILS, Kind

_LONGEST_QUOTE = 30


def quoted(text: str) -> str:
    """What was typed, as it stands in a sentence: cut short, and without what can't be shown."""
    shown = "".join(letter if letter.isprintable() else " " for letter in text)
    return f"“{shown if len(shown) <= _LONGEST_QUOTE else shown[:_LONGEST_QUOTE] + '…'}”"


def _because_empty(text: str, kind: Kind | None) -> str | None:
    return None if text else "Nothing was typed."


_NO_NUMBER = re.compile(r"[+-]?\s*(?:s?nan|inf|infinity|infinite)\b.*", re.IGNORECASE | re.DOTALL).fullmatch


def _because_no_number(text: str, kind: Kind | None) -> str | None:
    if _NO_NUMBER(text):
        return f"{quoted(text)} is no reading: type OL where the meter is over range."
    return None


_SPACED = re.compile(r"[+-]?[0-9]{1,3}(?:[ '’\s][0-9]{3})+(?![0-9]).*", re.DOTALL).fullmatch


def _because_spaced(text: str, kind: Kind | None) -> str | None:
    return f"Type the digits of {quoted(text)} without a gap." if _SPACED(text) else None


_TWO_MEANINGS = {
    "mhz": "MHz or mHz", "mf": "µF (write mfd) or mF", "MF": "µF (write mfd) or mF", "Mf": "µF (write mfd) or mF",
    "mmf": "pF or mF", "MMF": "pF or mF", "dBv": "dBV or dBu", "dbv": "dBV or dBu", "m": "milli or minutes",
}  # fmt: skip


def _because_two_meanings(text: str, kind: Kind | None) -> str | None:
    match = PLAIN(text)
    behind = "".join(match[4].split()) if match else ""
    if behind not in _TWO_MEANINGS or (behind == "m" and kind is not Kind.TIME):
        return None
    return f"{quoted(text)} could mean {_TWO_MEANINGS[behind]}: type which."


def _because_of_the_unit(text: str, kind: Kind | None) -> str | None:
    """Another quantity was typed than was chosen, or none at all."""
    match = PLAIN(text)
    if match is None:
        return None
    spelt = TAILS[None].get("".join(match[4].split()))
    if kind is None:
        bare = any(match[4].strip() in tails for tails in TAILS.values())
        return f"{quoted(text)} needs a unit, or say which quantity it is." if bare and not spelt else None
    if spelt is None:
        units = " or ".join(kind.keypad[:3]) or "the number alone"
        behind = match[4].strip()
        problem = f"{quoted(behind)} does not go with {kind.in_words}" if behind else "a unit is missing"
        return f"{quoted(text)} can't be read: {problem}; type {units}."
    if spelt.kind is not None and spelt.unit in {kind.symbol, ""}:
        return f"{quoted(text)} is {spelt.kind.in_words}, but {kind.in_words} was chosen."
    if spelt.unit != kind.symbol:
        return f"{quoted(text)} is in {spelt.unit}, but {kind.in_words} was chosen."
    return None


def _because_negative(text: str, kind: Kind | None) -> str | None:
    match = PLAIN(text)
    spelt = TAILS[kind].get("".join(match[4].split())) if match else None
    return (
        f"{quoted(text)} can't be negative." if spelt and text.startswith("-") and not spelt.signed else None
    )


_APPROXIMATE = re.compile(
    r"(?:about|approximately|approx\.?|around|circa|ca\.?(?=[\s\d])|c\.|~|≈)\s*(.*\d.*)",
    re.IGNORECASE | re.DOTALL,
)


def _because_approximate(text: str, kind: Kind | None) -> str | None:
    match = _APPROXIMATE.fullmatch(text)
    if not match:
        return None
    return (
        f"{quoted(text)} is no reading: type {quoted(match[1])} alone, or a tolerance where one is expected."
    )


_REASONS: tuple[Callable[[str, Kind | None], str | None], ...] = (
    _because_empty, _because_approximate, _because_no_number, _because_spaced,
    _because_two_meanings, _because_negative, _because_of_the_unit,
)  # fmt: skip


def why_not(text: str, kind: Kind | None) -> str:
    """One sentence for what no reader took."""
    for reason in _REASONS:
        if sentence := reason(text, kind):
            return sentence
    example = (
        f" as {kind.in_words}, such as 12 {kind.keypad[0]}".rstrip()
        if kind
        else " as a value, such as 4k7 or 22 mV"
    )
    return f"{quoted(text)} can't be read{example}."
