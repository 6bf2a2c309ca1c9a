"""Readings as a table: a line for each place, a column for each side before and after the repair, the limit beside them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from shop.bench.models import Reading

MOST_SIDES = 4
"""So many columns fit beside a place; the pins of a socket stand in lines of their own."""

SIDES = {"L": "Left", "R": "Right"}
WHEN = {False: "Before repair", True: "After repair"}


@dataclass(frozen=True, slots=True)
class Head:
    """One head over columns: its words, and over how many it stands."""

    words: str
    span: int


@dataclass(slots=True)
class Cell:
    """What was read at one place on one side, in the order of reading; `named` says what the column is."""

    named: str
    readings: list[Reading]


@dataclass(slots=True)
class Row:
    """One place: how it was read there, its cells, and what was expected."""

    where: str
    how: str
    limit: str
    cells: list[Cell]


@dataclass(frozen=True, slots=True)
class ReadingTable:
    """The heads of two lines and the rows; `whens` is empty where nothing was read again after the repair."""

    whens: list[Head]
    sides: list[Head]
    rows: list[Row]


def table_of(readings: Iterable[Reading]) -> ReadingTable:
    """The readings of a job, taken together by place, the other probe, condition and quantity."""
    taken = list(readings)
    sides = list(dict.fromkeys(one.channel for one in taken if one.channel))
    sides.sort(key=lambda side: list(SIDES).index(side) if side in SIDES else len(SIDES))
    apart = len(sides) > MOST_SIDES
    columns = _columns(taken, [] if apart else sides)
    rows: dict[tuple[str, ...], Row] = {}
    for one in taken:
        where = f"{one.where} {one.channel}" if apart and one.channel else one.where
        key = (where, one.against, one.condition, one.quantity)
        if key not in rows:
            cells = [Cell(_named(column), []) for column in columns]
            rows[key] = Row(where, _how(one), "", cells)
        column = (one.after_repair, "" if apart else one.channel)
        rows[key].cells[columns.index(column)].readings.append(one)
        rows[key].limit = one.expected or rows[key].limit
    return ReadingTable(
        _whens(columns), [Head(_named(one, short=True), 1) for one in columns], list(rows.values())
    )


def _columns(taken: list[Reading], sides: list[str]) -> list[tuple[bool, str]]:
    """The columns in which something stands: before and after, each without a side and then side by side."""
    filled = {(one.after_repair, one.channel if sides else "") for one in taken}
    return [(when, side) for when in (False, True) for side in ("", *sides) if (when, side) in filled]


def _whens(columns: list[tuple[bool, str]]) -> list[Head]:
    if not any(after for after, _ in columns) or not any(side for _, side in columns):
        return []
    counts = {when: sum(after is when for after, _ in columns) for when in (False, True)}
    return [Head(WHEN[when], count) for when, count in counts.items() if count]


def _named(column: tuple[bool, str], *, short: bool = False) -> str:
    """What a column is called: in full for a cell that stands alone, shorter under the head of its kind."""
    after, side = column
    name = SIDES.get(side, side)
    if short and name:
        return name
    return f"{WHEN[after]}, {name.lower()}" if name else WHEN[after]


def _how(one: Reading) -> str:
    """The other probe, the condition, and what is turned there."""
    against = f"to {one.against}" if one.against else ""
    return " · ".join(part for part in (against, one.condition, one.adjuster) if part)
