"""Job numbers such as ``26-0417-Z``: year, sequence of four or more digits, check character.

Sources
    ISO/IEC 7064, hybrid system Mod 37,36: one check character out of ``0-9A-Z`` over the digits of year and sequence.
    It finds every single wrong character and nearly every swap of two neighbours (all but 0.3 % in one year's numbers).
    Which letters are mistaken for which digits when read off a tag (O and 0, I and 1, L and 1): common practice, no
    source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
SEQUENCE_DIGITS = 4
MOST_SEQUENCE_DIGITS = 9

_BETWEEN = re.compile(r"[\s\-‐‑‒–—−_/.]+")
_SHAPE = re.compile(r"(?P<year>[0-9]{2})(?P<sequence>[0-9]{4,9})(?P<check>[0-9A-Z])")
_READ_AS = str.maketrans({"O": "0", "I": "1", "L": "1"})
_TWINS = {"0": "O", "O": "0", "1": "I", "I": "1"}


class JobNumberError(ValueError):
    """A job number that can't be read; the message is one sentence for the person."""


class WrongCheckCharacter(JobNumberError):
    """The digits and the check character don't belong together.

    ``suggestion`` is the number that was meant if only O and 0, or I and 1, were mistaken in the check character: it
    is offered, never taken, because a wrong digit could look the same.
    """

    def __init__(self, typed: str, suggestion: JobNumber | None) -> None:
        self.typed = typed
        self.suggestion = suggestion
        hint = f"; was {suggestion} meant?" if suggestion else "."
        super().__init__(f"The last character of {typed} doesn't fit its digits: look at the tag again{hint}")


@dataclass(frozen=True, slots=True, order=True)
class JobNumber:
    """A job's number: the year without its century (0 to 99) and the sequence within the year (from 1)."""

    year: int
    sequence: int

    def __post_init__(self) -> None:
        if not 0 <= self.year <= 99:
            raise JobNumberError("The year of a job number has two digits.")
        if not 1 <= self.sequence < 10**MOST_SEQUENCE_DIGITS:
            raise JobNumberError(
                f"The sequence of a job number is from 1 to {MOST_SEQUENCE_DIGITS} digits long."
            )

    @classmethod
    def make(cls, calendar_year: int, sequence: int) -> JobNumber:
        """The number of the given sequence in a calendar year such as 2026."""
        if not 1000 <= calendar_year <= 9999:
            raise JobNumberError("A calendar year has four digits.")
        return cls(calendar_year % 100, sequence)

    @classmethod
    def parse(cls, text: str) -> JobNumber:
        """Read a number as typed or scanned: hyphens may be missing, letters small.

        An O, I or L among the digits is read as 0 or 1, and the check character must then prove it. Raises
        JobNumberError when the shape is wrong, WrongCheckCharacter when the check character doesn't fit.
        """
        typed = _BETWEEN.sub("", text[:40]).upper()
        found = _SHAPE.fullmatch(typed[:-1].translate(_READ_AS) + typed[-1:])
        if not found or len(text) > 40:
            raise JobNumberError(
                "A job number looks like 26-0417-Z: year, number and a last letter or digit."
            )
        sequence = found["sequence"]
        if len(sequence) > SEQUENCE_DIGITS and sequence.startswith("0"):
            raise JobNumberError("A job number of more than four digits doesn't begin with zero.")
        number = cls(int(found["year"]), int(sequence))
        if number.check != found["check"]:
            twin = number if _TWINS.get(found["check"]) == number.check else None
            raise WrongCheckCharacter(f"{found['year']}-{sequence}-{found['check']}", twin)
        return number

    @property
    def digits(self) -> str:
        """Year and sequence without hyphen: what the check character is computed over."""
        return f"{self.year:02d}{self.sequence:0{SEQUENCE_DIGITS}d}"

    @property
    def check(self) -> str:
        """The check character, 0-9 or A-Z."""
        return check_character(self.digits)

    @property
    def compact(self) -> str:
        """The number without hyphens, for a barcode: ``260417Z``."""
        return self.digits + self.check

    def __str__(self) -> str:
        return f"{self.digits[:2]}-{self.digits[2:]}-{self.check}"


def check_character(text: str) -> str:
    """The ISO 7064 Mod 37,36 check character of a text in ``0-9A-Z``; raises JobNumberError for any other sign."""
    if not set(text) <= set(ALPHABET):
        raise JobNumberError("A check character is calculated over digits and capital letters.")
    modulus = len(ALPHABET)
    product = modulus
    for character in text:
        total = (product + ALPHABET.index(character)) % modulus or modulus
        product = 2 * total % (modulus + 1)
    return ALPHABET[(1 - product) % modulus]
