"""Building blocks of papers as plain values; each is drawn by the template of its name in `templates/papers/parts/`."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field

from shop.handbook.money import Money, UnitPrice


@dataclass(frozen=True, slots=True)
class Fact:
    """One box of the fact grid: a label and what is written under it. A wide one takes a whole row."""

    label: str
    value: str
    wide: bool = False
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a table. Quantity and unit come as text (`spelling.quantity`); sums as Money, so that they line up.

    `mark` is a short word that must be seen beside the text, such as “used part”; `tax` is the rate or its letter.
    """

    text: str
    note: str = ""
    quantity: str = ""
    unit: str = ""
    price: UnitPrice | Money | None = None
    tax: str = ""
    amount: Money | None = None
    mark: str = ""


@dataclass(frozen=True, slots=True)
class LineGroup:
    """Lines under one head (Labour, Parts), with their sum where it is wanted."""

    title: str
    lines: Sequence[Line]
    sum: Money | None = None


@dataclass(frozen=True, slots=True)
class LineTable:
    """Grouped lines. The columns that no line uses are left out; `currency` stands once, in the heads."""

    groups: Sequence[LineGroup]
    currency: str
    text_head: str = "Description"
    quantity_head: str = "Quantity"
    price_head: str = "Price each"
    tax_head: str = "Tax"
    amount_head: str = "Amount"

    @property
    def lines(self) -> list[Line]:
        """All lines in order."""
        return [line for group in self.groups for line in group.lines]

    @property
    def has_quantity(self) -> bool:
        return any(line.quantity for line in self.lines)

    @property
    def has_price(self) -> bool:
        return any(line.price is not None for line in self.lines)

    @property
    def has_tax(self) -> bool:
        return any(line.tax for line in self.lines)

    @property
    def has_amount(self) -> bool:
        return any(line.amount is not None for line in self.lines)

    @property
    def columns(self) -> int:
        """How many columns are drawn."""
        return 1 + sum((self.has_quantity, self.has_price, self.has_tax, self.has_amount))


@dataclass(frozen=True, slots=True)
class Total:
    """One row of the totals: a subtotal, a tax, what is paid, what is due. A strong one stands between heavy rules."""

    label: str
    amount: Money
    note: str = ""
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Notice:
    """Lines that a law asks for, or that the customer must not miss, with the paragraph they come from."""

    text: str
    title: str = ""
    citation: str = ""


@dataclass(frozen=True, slots=True)
class Signature:
    """A line to sign on, with what is already known written on it."""

    label: str
    name: str = ""
    day: dt.date | None = None


@dataclass(frozen=True, slots=True)
class Address:
    """An address block: its label and its lines. `first` stands in the window of the envelope."""

    lines: Sequence[str]
    label: str = ""
    facts: Sequence[Fact] = field(default_factory=tuple)

    @classmethod
    def of(cls, text: str, *, label: str = "") -> Address:
        """An address typed with one line a line; empty lines are left out."""
        return cls(tuple(line.strip() for line in text.splitlines() if line.strip()), label)
