"""A list of parts as it is jotted down: ``C12 47u63, C13 100u25, R5 4k7`` is three parts, each at its position.

Sources
    Reference designators as letters and a number, a run of them with a dash: IEC 81346 and IEEE 315 (from memory). What is
    typed on a list, and the price behind an @: common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

MOST_PARTS = 120
LONGEST_LIST = 4000

_BETWEEN = re.compile(r"[;\n]+|,(?!\d)|(?<!\d),(?=\d)")
_POSITION = re.compile(r"[A-Z]{1,4}\d{1,5}[A-Za-z]?", re.IGNORECASE)
_RUN = re.compile(
    r"([A-Z]{1,4})(\d{1,5})\s*(?:-|–|—|\.\.|to)\s*([A-Z]{0,4})(\d{1,5})(?![A-Za-z\d])", re.IGNORECASE
)
_PRICE = re.compile(r"\s*@\s*(\S+)\s*$")
_COUNT = re.compile(r"\s+(?:x|×)?\s*(\d{1,3})\s*(?:x|×|pcs?)$|\s+(?:x|×)\s*(\d{1,3})$", re.IGNORECASE)
_ALL_OF_THEM = re.compile(r"(?:all\s+)?(?:recapped|renewed|replaced|new)$", re.IGNORECASE)


class ListError(ValueError):
    """An entry of the list that can't be read; the message is a sentence for who typed it."""


@dataclass(frozen=True, slots=True)
class Listed:
    """One part of the list. `what` is its value or type as typed, "" where none was told; `price` each, as typed."""

    position: str
    what: str
    quantity: int = 1
    price: str = ""
    opens: bool = False


def read_list(text: str) -> tuple[Listed, ...]:
    """Read a list: entries with a comma, semicolon or line between them, each one or more positions and what was fitted.

    ``C709 C711 47u50`` and ``C1-C4 100u25`` are one part at each position; ``left lead: RCA plug`` has a colon where the place
    is no designator; ``6CA7 @38`` a price each; ``C1-C12 recapped`` tells no value and `opens` a list. Raises ListError for an
    entry that has nothing to fit, for a position that is there twice, and for more than 120 parts.
    """
    if len(text) > LONGEST_LIST:
        raise ListError(f"That is too long for one list: at most {LONGEST_LIST} characters.")
    found: list[Listed] = []
    for entry in _BETWEEN.split(text):
        if entry.strip():
            found += _entry(entry.strip())
        if len(found) > MOST_PARTS:
            raise ListError(f"A list takes at most {MOST_PARTS} parts.")
    if not found:
        raise ListError("Type positions and values: C12 47u63, C13 100u25.")
    seen: set[str] = set()
    for one in found:
        if one.position and one.position.casefold() in seen:
            raise ListError(f"{one.position} is on the list twice.")
        seen.add(one.position.casefold())
    return tuple(found)


def _entry(entry: str) -> list[Listed]:
    price = _PRICE.search(entry)
    told = entry[: price.start()] if price else entry
    place, colon, what = told.partition(":")
    if colon and place.strip() and what.strip():
        positions, what = _positions(place.strip(), place.strip())[0] or [place.strip()], what.strip()
    else:
        positions, what = _positions(told, entry)
    what, quantity = _counted(what)
    if not positions and not what:
        raise ListError(f"“{entry}” names no part.")
    opens = bool(positions) and bool(_ALL_OF_THEM.match(what))
    shown = "" if opens else what
    each = price[1] if price else ""
    return [Listed(one, shown, quantity, each, opens) for one in positions or [""]]


def _positions(told: str, entry: str) -> tuple[list[str], str]:
    """The designators that the entry begins with, and what follows them; a lone word is what was fitted, not where."""
    positions: list[str] = []
    rest = told.strip()
    while rest:
        if run := _RUN.match(rest):
            positions += _run(run, entry)
            rest = rest[run.end() :].lstrip(" &+")
            continue
        one = _POSITION.match(rest)
        if one is None or rest[one.end() : one.end() + 1] not in {"", " ", "&", "+"}:
            break
        if positions and _letters(one[0]) != _letters(positions[0]):
            break  # Q707 KSC3503: the second one is what was fitted
        positions.append(one[0][0].upper() + one[0][1:])
        rest = rest[one.end() :].lstrip(" &+")
    return positions, rest


def _letters(position: str) -> str:
    return (
        position.rstrip("0123456789").casefold()
        if position[-1].isdigit()
        else position[:-1].rstrip("0123456789").casefold()
    )


def _run(match: re.Match[str], entry: str) -> list[str]:
    letters, first, again, last = match.groups()
    low, high = int(first), int(last)
    if (again and again.casefold() != letters.casefold()) or high < low:
        raise ListError(f"“{entry}” is no run of positions: C1-C12 is one.")
    if high - low >= MOST_PARTS:
        raise ListError(f"A list takes at most {MOST_PARTS} parts.")
    return [f"{letters.upper()}{one:0{len(first)}d}" for one in range(low, high + 1)]


def _counted(what: str) -> tuple[str, int]:
    match = _COUNT.search(what)
    if match is None:
        return what.strip(), 1
    return what[: match.start()].strip(), max(1, int(match[1] or match[2]))
