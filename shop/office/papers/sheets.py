"""A paper before it is drawn, and the blocks that the office's papers share."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from functools import wraps
from typing import TYPE_CHECKING, ParamSpec, TypeVar

from shop.counter.models import Job
from shop.frame import spelling
from shop.frame.customs import customs_of
from shop.frame.english import english
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.handbook.law.terms import Paper as LawPaper
from shop.handbook.money import Money, UnitPrice
from shop.keeping.models import IssuedPaper
from shop.office.models import LineKind, PricedLine
from shop.press.building import Fact, Line, LineGroup, LineTable
from shop.press.issuing import PaperWanted, issue_papers
from shop.stockroom.models import PartState

if TYPE_CHECKING:
    from shop.press.printers import Printers

P = ParamSpec("P")
T = TypeVar("T")

GROUPS = (
    ("Labor", {LineKind.LABOUR, LineKind.BENCH_FEE}),
    ("Parts", {LineKind.PART}),
    ("Other", {LineKind.SHIPPING, LineKind.OTHER}),
    ("Discount", {LineKind.DISCOUNT}),
)


def issue(paper: PaperWanted, *, by: Staff | None) -> IssuedPaper:
    """Issue it within the open act: drawn once, stored with its hash."""
    return issue_papers([paper], by=by)[0]


def issue_all(
    papers: Sequence[PaperWanted], *, by: Staff | None, printers: Printers | None = None
) -> list[IssuedPaper]:
    """Issue several within the open act, side by side where printers are given."""
    return issue_papers(papers, by=by, printers=printers)


def by_our_customs(write: Callable[P, T]) -> Callable[P, T]:
    """Write dates and sums by the shop's customs also where no request has set them."""

    @wraps(write)
    def written(*args: P.args, **kwargs: P.kwargs) -> T:
        with customs_of(the_profile()):
            return write(*args, **kwargs)

    return written


def keep_until(paper: LawPaper, issued: dt.date) -> dt.date | None:
    """The last day on which a paper of this kind must be kept, by the shop's law profile."""
    return the_profile().law.keep_until(paper, issued)


def unit_facts(job: Job) -> list[Fact]:
    """The unit on a paper: maker, model, serial number."""
    model = job.unit.model
    facts = [
        Fact("Maker", model.maker.name),
        Fact("Model", model.name),
        Fact("Serial number", job.unit.serial or "none found"),
    ]
    return [*facts, Fact("Kind", model.kind_in_words)] if model.kind_in_words else facts


def line_table(
    lines: Sequence[PricedLine],
    currency: str,
    *,
    lump_sum: bool = False,
    rates: bool = False,
    gross: bool = False,
) -> LineTable:
    """Priced lines under Labour, Parts and Other. Used and exchanged parts are said to be so (16 CCR 2725(l)).

    `lump_sum`: named without prices of their own, then one price. `rates`: each line says its rate of tax. `gross`: what each
    comes to with its tax; the price of one is left out, because it would not multiply to the cent.
    """
    groups = []
    for title, kinds in GROUPS:
        mine = [line for line in lines if line.kind in kinds]
        if mine:
            shown = [
                line_shown(line, currency, priced=not lump_sum, rate=rates, gross=gross) for line in mine
            ]
            together = Money.sum((line.gross if gross else line.amount for line in mine), currency)
            groups.append(
                LineGroup(english(title), shown, together if len(mine) > 1 and not lump_sum else None)
            )
    if lump_sum:
        whole = Money.sum((line.gross if gross else line.amount for line in lines), currency)
        groups.append(LineGroup("", [Line("One price for all of this, parts included", amount=whole)]))
    return LineTable(groups=groups, currency=currency)


def line_shown(
    line: PricedLine, currency: str, *, priced: bool = True, rate: bool = False, gross: bool = False
) -> Line:
    """One line as printed, with its marks."""
    state = PartState(line.part_state) if line.part_state else PartState.NEW
    marks = [] if state == PartState.NEW else [f"{state.label.lower()} part"]
    if line.under_warranty:
        marks.append("under warranty")
    if line.margin:
        marks.append("margin scheme")
    amount = line.gross if gross else line.amount
    each = UnitPrice(line.unit_price_ten_thousandths, currency) if amount == line.amount else None
    percent = getattr(line, "tax_percent", None)
    quantity, unit = spelling.quantity(line.quantity_thousandths), "" if line.unit == "pc" else line.unit
    if line.percent_off is not None:
        quantity, unit, each = spelling.percent(line.percent_off), "", None
    return Line(
        line.description,
        quantity=quantity,
        unit=unit,
        price=each if priced else None,
        amount=amount if priced else None,
        tax=spelling.percent(percent) if rate and percent is not None else "",
        mark=", ".join(marks),
    )
