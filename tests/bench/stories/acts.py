"""What a technician does in the course of a repair, as data: no word here knows a page, a button or a field.

A story is played by a `PageSet` (see `player.py`): on the pages of today, and later on others, so that both can be counted.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

NUMBER = re.compile(r"[-−+±]?\d[\d.,]*")


@dataclass(frozen=True, slots=True)
class Act:
    """One thing that is done; `facts` are the words and values that a person must find again on the job's card."""

    @property
    def facts(self) -> tuple[str, ...]:
        return ()


@dataclass(frozen=True, slots=True)
class ComeBack(Act):
    """The technician comes to the bench with the tag in hand, or goes on another evening."""


@dataclass(frozen=True, slots=True)
class ReadCautions(Act):
    """What can hurt is read."""


@dataclass(frozen=True, slots=True)
class StartClock(Act):
    """Work begins, or goes on. `kind`: diagnosis, repair, cleaning, alignment or testing."""

    kind: str


@dataclass(frozen=True, slots=True)
class Pause(Act):
    """Work is left. `where` says in one line what the next evening must know; empty for a short break."""

    where: str = ""

    @property
    def facts(self) -> tuple[str, ...]:
        return (self.where,) if self.where else ()


@dataclass(frozen=True, slots=True)
class Row(Act):
    """One row of a sheet of readings: a place, and what the meter shows in each column.

    `values`: by column ("left", "right", "pin 3", "voice 2", "before"; "" where there is one value), as the meter shows them.
    `quantity`: a quantity of the handbook, or "text", "torque", "force", "phase", which a program may not know yet.
    `against`: the other probe, when it isn't where it usually is. `state`: what the unit is doing meanwhile.
    """

    place: str
    quantity: str
    values: dict[str, str]
    expected: str = ""
    against: str = ""
    state: str = ""
    after_repair: bool = False

    @property
    def facts(self) -> tuple[str, ...]:
        return (self.place, *self.values.values())

    @property
    def in_words(self) -> str:
        """The row as one would write it into a line of a notebook."""
        shown = ", ".join(f"{column} {value}".strip() for column, value in self.values.items())
        how = "".join(f", {one}" for one in (self.against and f"to {self.against}", self.state) if one)
        return f"{self.place}{how}: {shown}" + (f" (expected {self.expected})" if self.expected else "")


@dataclass(frozen=True, slots=True)
class Adjust(Act):
    """One step of an adjustment: what it showed, what it should show, and what it shows now."""

    step: str
    adjuster: str
    quantity: str
    before: str
    target: str
    after: str
    column: str = ""

    @property
    def facts(self) -> tuple[str, ...]:
        return (self.adjuster, self.before, self.after)

    @property
    def in_words(self) -> str:
        where = f"{self.step} {self.column}".strip()
        return f"{where}, {self.adjuster}: {self.before}, target {self.target}, now {self.after}"


@dataclass(frozen=True, slots=True)
class Finding(Act):
    """What was seen, heard or smelt."""

    text: str

    @property
    def facts(self) -> tuple[str, ...]:
        return (self.text,)


@dataclass(frozen=True, slots=True)
class Trace(Act):
    """Evidence of earlier work. `kind`: date_code, device, date_stamp, mismatch, rework or other."""

    kind: str
    where: str
    marking: str = ""
    note: str = ""

    @property
    def facts(self) -> tuple[str, ...]:
        return tuple(one for one in (self.where, self.marking, self.note) if one)


@dataclass(frozen=True, slots=True)
class Photograph(Act):
    """A photograph. `shows`: before, after, or nothing in particular. `marks`: arrows and circles drawn on it.

    `per_division`: volts and time, where it is a scope's picture.
    """

    caption: str = ""
    shows: str = ""
    marks: tuple[str, ...] = ()
    per_division: str = ""

    @property
    def words(self) -> str:
        return ", ".join(one for one in (self.caption, self.per_division) if one)

    @property
    def facts(self) -> tuple[str, ...]:
        return tuple(one for one in (self.caption, self.per_division) if one)


@dataclass(frozen=True, slots=True)
class Sketch(Act):
    """Something drawn on an empty sheet; `said` is what one writes where one can't draw."""

    caption: str
    said: str


@dataclass(frozen=True, slots=True)
class Clip(Act):
    """Sound or video, kept elsewhere, with the moment that matters in it."""

    name: str
    offset: str
    said: str

    @property
    def facts(self) -> tuple[str, ...]:
        return (self.name, self.offset, self.said)


@dataclass(frozen=True, slots=True)
class Paper(Act):
    """A page of the maker's papers that belongs to what is measured here."""

    title: str
    page: str
    pinned_at: str = ""

    @property
    def facts(self) -> tuple[str, ...]:
        return (self.title, self.page)


@dataclass(frozen=True, slots=True)
class InTheSet(Act):
    """Something is temporarily in the unit, or out of it, and must be put back."""

    what: str
    where: str

    @property
    def facts(self) -> tuple[str, ...]:
        return (self.what, self.where)


@dataclass(frozen=True, slots=True)
class PutBack(Act):
    """What was temporarily there is put back."""

    what: str
    where: str


@dataclass(frozen=True, slots=True)
class Checklist(Act):
    """Steps gone through in order; a step that was left out has its reason. `said`: how one would tell it in words."""

    title: str
    done: tuple[str, ...]
    said: str
    left_out: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Piece:
    """A part at its position: by value or type. `drawer`: its number, where it lies in stock; `price` where it doesn't."""

    position: str
    what: str
    drawer: str = ""
    price: str = ""


@dataclass(frozen=True, slots=True)
class Fit(Act):
    """Parts fitted in one go."""

    pieces: tuple[Piece, ...]

    @property
    def facts(self) -> tuple[str, ...]:
        return tuple(piece.position for piece in self.pieces)


@dataclass(frozen=True, slots=True)
class Want(Act):
    """A part that isn't there and is needed."""

    what: str

    @property
    def facts(self) -> tuple[str, ...]:
        return (self.what,)


@dataclass(frozen=True, slots=True)
class TakeBack(Act):
    """The last line that holds `words` was wrong: it stays readable, and counts no more."""

    words: str
    why: str = "Wrong place"

    @property
    def facts(self) -> tuple[str, ...]:
        return (self.why,)


@dataclass(frozen=True, slots=True)
class Conclude(Act):
    """What had failed, how (a failure mode of the shop), and what fixed it."""

    failed: str
    position: str
    mode: str
    remedy: str
    watch: str = ""

    @property
    def facts(self) -> tuple[str, ...]:
        return (self.failed, self.position, self.remedy)


@dataclass(frozen=True, slots=True)
class Soak(Act):
    """It is put on soak test."""

    hours: str = "4"


@dataclass(frozen=True, slots=True)
class Look(Act):
    """Soak-test check."""

    temperature: str = ""
    offset: str = ""
    note: str = ""

    @property
    def facts(self) -> tuple[str, ...]:
        return (self.note,) if self.note else ()


@dataclass(frozen=True, slots=True)
class EndSoak(Act):
    """How it ended. `result`: passed, failed or broken_off."""

    result: str = "passed"


# --- what is there before the story begins ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Known:
    """A test point of the model file."""

    place: str
    quantity: str
    expected: str = ""
    state: str = ""
    against: str = ""
    column: str = ""


@dataclass(frozen=True, slots=True)
class Stock:
    """A part in its drawer: a type, or a value with a rating."""

    number: str
    what: str
    rating: str = ""
    description: str = "Part"


@dataclass(frozen=True, slots=True)
class Story:
    """A whole repair: the unit as it stands on the counter's shelf, what the shop knows of its model, and every act."""

    name: str
    maker: str
    model: str
    kind: str
    complaint: str
    acts: tuple[Act, ...]
    known: tuple[Known, ...] = ()
    stock: tuple[Stock, ...] = ()
    protection_class: str = "II"

    def values(self) -> Iterator[str]:
        """Every value of the story that a meter showed."""
        for act in self.acts:
            if isinstance(act, Row):
                yield from act.values.values()


def letters(text: str, values: tuple[str, ...] = ()) -> int:
    """How many characters of `text` have to be typed beyond the digits of the `values` that stand in it."""
    for value in values:
        for number in NUMBER.findall(value):
            text = text.replace(number, "", 1)
    return len(text)
