"""A marking against the originals that a model file lists: same, same type, substitute, or not to be told.

Sources
    That a suffix is a version or a gain group of the same type: JIS C 7012 and Pro Electron as in ``registers``. That
    another registered type is a substitute and no proof of more: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from enum import StrEnum

from .reading import folded, read_designation
from .registers import Designation, Register


class Match(StrEnum):
    """How a marking stands to the list of originals."""

    SAME = "same"
    SAME_TYPE = "same type, other suffix or group"
    SUBSTITUTE = "substitute"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Comparison:
    """The verdict, the original it rests on as the list has it (None where there is none), and one sentence of why."""

    match: Match
    original: str | None
    sentence: str


def compare(
    marking: str, originals: Collection[str], replacement_prefixes: Collection[str] = ()
) -> Comparison:
    """Compare a marking with the originals of a position; raises NoDesignation for a marking without a character.

    A marking that leaves its prefix off matches if one of its readings does. A house number matches only itself.
    """
    shown = marking.strip()
    readings = read_designation(marking, replacement_prefixes)
    listed = [
        (original.strip(), read_designation(original, replacement_prefixes))
        for original in originals
        if folded(original)
    ]
    for original, _ in listed:
        if folded(original) == folded(shown):
            return Comparison(Match.SAME, original, f"{shown} is the original {original}.")
    return _same_type(shown, readings, listed) or _no_match(shown, readings, listed)


def flag_against_register(designation: Designation, home: Register) -> str | None:
    """One sentence where a device is not of the register that its set's makers used; a flag, not proof. Else None."""
    if designation.register in (home, Register.NONE):
        return None
    return (
        f"{designation.marking} is a {designation.register} number in a set whose maker used {home}: "
        "a flag for an earlier repair, not proof."
    )


def _same_type(
    shown: str,
    readings: Sequence[Designation],
    listed: Sequence[tuple[str, tuple[Designation, ...]]],
) -> Comparison | None:
    pairs = [
        (reading, original, meant)
        for original, meanings in listed
        for meant in meanings
        for reading in readings
        if reading.has_a_type and meant.has_a_type and reading.type_number == meant.type_number
    ]
    if not pairs:
        return None
    reading, original, meant = min(pairs, key=lambda pair: pair[0].suffix != pair[2].suffix)
    supposing = f", if it stands for {reading.full}" if reading.completed else ""
    if reading.suffix == meant.suffix:
        return Comparison(Match.SAME, original, f"{shown} is the original {original}{supposing}.")
    found, wanted = reading.suffix or "no suffix", meant.suffix or "none"
    return Comparison(
        Match.SAME_TYPE,
        original,
        f"{shown} is of the original type {meant.type_number}{supposing}: it has {found}, the list says {wanted}.",
    )


def _no_match(
    shown: str,
    readings: Sequence[Designation],
    listed: Sequence[tuple[str, tuple[Designation, ...]]],
) -> Comparison:
    if not listed:
        return Comparison(Match.UNKNOWN, None, f"The model file lists no original to compare {shown} with.")
    names = ", ".join(original for original, _ in listed)
    if readings[0].register is Register.REPLACEMENT:
        return Comparison(
            Match.SUBSTITUTE, None, f"{shown} is a replacement-line number, not the original {names}."
        )
    if any(reading.register is Register.NONE or _is_open(reading) for reading in readings):
        sentence = (
            f"{shown} is in no register for sure: it may be the original {names} under another number or not."
        )
        return Comparison(Match.UNKNOWN, None, sentence)
    for original, meanings in listed:
        if any(meant.register is Register.NONE or _is_open(meant) for meant in meanings):
            sentence = (
                f"{original} on the list is in no register for sure: {shown} may be the same part or not."
            )
            return Comparison(Match.UNKNOWN, original, sentence)
    supposing = ""
    if all(reading.completed for reading in readings):
        supposing = f", if it stands for {' or '.join(reading.full for reading in readings)}"
    return Comparison(
        Match.SUBSTITUTE,
        None,
        f"{shown} is another type than the original {names}{_other_polarity(readings, listed)}{supposing}.",
    )


def _is_open(reading: Designation) -> bool:
    """Whether a reading is a guess at a whole number, not only at the letters that it leaves off."""
    return reading.guess and not reading.completed


def _other_polarity(
    readings: Sequence[Designation], listed: Sequence[tuple[str, tuple[Designation, ...]]]
) -> str:
    """A clause where marking and originals tell their polarities and these are opposite."""
    here = {reading.polarity for reading in readings}
    there = {meant.polarity for _, meanings in listed for meant in meanings}
    if len(here) == len(there) == 1:
        (mine,), (theirs,) = here, there
        if mine and theirs and mine is theirs.opposite:
            return f", and {mine} where the original is {theirs}"
    return ""
