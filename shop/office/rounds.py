"""Rounds at the end of a month: many papers of one kind, a handful in each act, so that nobody else waits long to write.

The office's page has the worker go round; `manage.py month_end` does it at the command line. Both have printers side by side.
"""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol

from django.db.models import Model, QuerySet

from shop.counter.models import Customer
from shop.frame import clock
from shop.frame.models import Staff
from shop.office import actions, queries
from shop.office.actions.many import Many
from shop.office.models import Invoice

if TYPE_CHECKING:
    from shop.press.printers import Printers

IN_ONE_ACT = 8
MOST_IN_A_ROUND = 800
"""As many as a form may carry along (Django takes a thousand fields)."""


Period = tuple[dt.date, dt.date]


class _Make(Protocol):
    def __call__(self, rows: Sequence[Any], period: Period, /, **how: Any) -> Many: ...


@dataclass(frozen=True, slots=True)
class Round:
    """One kind of paper: whose turn it is, and the act that makes some of them. `of_a_time`: of a period."""

    key: str
    title: str
    act: str
    nothing: str
    model: type[Model]
    waiting: Callable[[], QuerySet[Any]]
    make: _Make
    of_a_time: bool = False

    def count(self) -> int:
        """How many papers it would be."""
        return queries.count_customers_with_open() if self.of_a_time else self.waiting().count()

    def keys(self) -> list[int]:
        """The keys of all of them."""
        return list(self.waiting().order_by("id").values_list("pk", flat=True)[:MOST_IN_A_ROUND])

    def rows(self, keys: Sequence[int]) -> list[Any]:
        """The rows of these keys that are there, in the order of the keys."""
        found = self.model._default_manager.in_bulk(keys)
        return [found[key] for key in keys if key in found]


def _reminders() -> QuerySet[Invoice]:
    return queries.reminders_due(clock.today())


def _issue(rows: Sequence[Invoice], _period: Period, /, **how: Any) -> Many:
    return actions.issue_invoices(invoices=rows, **how)


def _remind(rows: Sequence[Invoice], _period: Period, /, **how: Any) -> Many:
    return actions.remind_many(invoices=rows, **how)


def _state(rows: Sequence[Customer], period: Period, /, **how: Any) -> Many:
    return actions.make_statements(customers=rows, starts=period[0], ends=period[1], **how)


DRAFTS = Round(
    "drafts",
    "Drafts of invoices",
    "Issue the checked ones",
    "No invoice is drafted.",
    Invoice,
    queries.drafts,
    _issue,
)
REMINDERS = Round(
    "reminders",
    "Reminders that are due",
    "Make the reminders",
    "No reminder is due.",
    Invoice,
    _reminders,
    _remind,
)
STATEMENTS = Round(
    "statements",
    "Statements",
    "Make the statements",
    "Nobody has anything open.",
    Customer,
    queries.customers_with_open,
    _state,
    of_a_time=True,
)
ROUNDS = {one.key: one for one in (DRAFTS, REMINDERS, STATEMENTS)}


@dataclass(frozen=True, slots=True)
class Turn:
    """One act of a round: what it made, and the keys that are still to come."""

    made: Many
    rest: list[int]


def turn(
    going: Round,
    keys: Sequence[int],
    *,
    by: Staff,
    period: Period,
    printers: Printers | None = None,
    once_key: uuid.UUID | None = None,
) -> Turn:
    """Make the papers of the first keys in one act."""
    now, rest = list(keys[:IN_ONE_ACT]), list(keys[IN_ONE_ACT:])
    rows = going.rows(now)
    if not rows:
        return Turn(Many(), rest)
    made = going.make(rows, period, by=by, printers=printers, once_key=once_key)
    return Turn(made, [*(row.pk for row in made.left), *rest])


def go_round(
    going: Round, keys: Sequence[int], *, by: Staff, printers: Printers, period: Period
) -> Iterator[Turn]:
    """Turn after turn until none is left."""
    rest = list(keys)
    while rest:
        done = turn(going, rest, by=by, period=period, printers=printers)
        rest = done.rest
        yield done


def last_month(today: dt.date) -> Period:
    """The month before this one, from its first to its last day."""
    ends = today.replace(day=1) - dt.timedelta(days=1)
    return ends.replace(day=1), ends
