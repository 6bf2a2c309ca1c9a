"""The columns of one row on a sheet of readings: left and right, the pins of a socket, the voices of an instrument.

Sources
    Nine and eight pins as the counts of the noval and the octal base, seven of the miniature one: IEC 60067 (from memory).
    E, B, C and G, D, S as the names of a transistor's leads: IEC 60747 (from memory). Everything else: common practice.
"""

from __future__ import annotations

import re

MOST_COLUMNS = 64
LONGEST_COLUMN = 20

COLUMN_SETS: tuple[tuple[str, str], ...] = (
    ("", "One value"),
    ("L R", "L R"),
    ("before after", "Before, after"),
    ("E B C", "E B C"),
    ("G D S", "G D S"),
    ("pin 1-7", "7 pins"),
    ("pin 1-8", "8 pins"),
    ("pin 1-9", "9 pins"),
    ("pin 1-14", "14 pins"),
    ("pin 1-16", "16 pins"),
    ("voice 1-6", "6 voices"),
    ("voice 1-8", "8 voices"),
)
"""What may be chosen with one touch: as it is typed, and its name."""

_RUN = re.compile(r"(?:([A-Za-z]+)\s+)?([A-Za-z]*)(\d{1,3})\s*(?:-|–|—|\.\.|to)\s*([A-Za-z]*)(\d{1,3})")
_ONE = re.compile(r"(?:(pin|voice|key|band|input|tap|pos|range)\s+)?([^\s,;]+)", re.IGNORECASE)


class ColumnsError(ValueError):
    """Columns that can't be read; the message is a sentence for who typed them."""


def columns_of(typed: str) -> tuple[str, ...]:
    """Read columns: ``L R``, ``pin 1-9``, ``voice 1-8``, ``V5-V8``, ``before after``; ``("",)`` for one without a name.

    Raises ColumnsError for more than 64, for a run that goes backwards, for a name longer than 20 letters, and for one that is
    there twice.
    """
    found: list[str] = []
    at = 0
    text = typed.strip()
    while at < len(text):
        if text[at] in " ,;\t\n":
            at += 1
            continue
        match = _RUN.match(text, at)
        if match is not None:
            found += _run(match)
        else:
            match = _ONE.match(text, at)
            if match is None:
                raise ColumnsError("Type the columns with a blank between them, or a run such as pin 1-9.")
            found.append(" ".join(one for one in match.groups() if one))
        at = match.end()
        if len(found) > MOST_COLUMNS:
            raise ColumnsError(f"A row has at most {MOST_COLUMNS} columns.")
    if any(len(one) > LONGEST_COLUMN for one in found):
        raise ColumnsError(f"The name of a column has at most {LONGEST_COLUMN} letters.")
    if len({one.casefold() for one in found}) < len(found):
        raise ColumnsError("A column is there twice.")
    return tuple(found) or ("",)


def _run(match: re.Match[str]) -> list[str]:
    word, before, first, again, last = match.groups()
    if again and again != before:
        raise ColumnsError(f"From {before}{first} to {again}{last} is no run.")
    low, high = int(first), int(last)
    if high < low:
        raise ColumnsError(f"A run goes upward: from {low} to {high} it doesn’t.")
    if high - low >= MOST_COLUMNS:
        raise ColumnsError(f"A row has at most {MOST_COLUMNS} columns.")
    head = f"{word} " if word else ""
    return [f"{head}{before}{one}" for one in range(low, high + 1)]
