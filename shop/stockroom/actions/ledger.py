"""What comes into a drawer and what goes out of it. Each is one ledger entry and the level it adds up to."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence
from dataclasses import dataclass

from shop.counter.models import Job, Unit
from shop.frame.journal import Act, acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.stockroom.actions.drawer import MOST_THOUSANDTHS, book, level_of
from shop.stockroom.actions.waiting import keep_no_more, serve_waiting
from shop.stockroom.models import LedgerEntry, Part, PartState


@dataclass(frozen=True, slots=True)
class Arrival:
    """What came in, for which jobs it is kept now, and which are back on the bench; `entry` is None without a drawer."""

    entry: LedgerEntry | None
    kept_for: tuple[Job, ...] = ()
    back_on_the_bench: tuple[Job, ...] = ()


def receive(
    *,
    part: Part,
    quantity_thousandths: int,
    by: Staff | None,
    unit_cost_ten_thousandths: int | None = None,
    state: str = PartState.NEW,
    note: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Arrival:
    """Put parts into their drawer without an order. Jobs that wait for them get them, the longest waiting first.

    Quantity in thousandths; cost of one in ten-thousandths of the major unit, by default what those in the drawer cost.
    """
    _refuse_none(quantity_thousandths)
    with acting(by=by, at=at, once=once_key) as act:
        return take_in(
            act,
            part=part,
            kind=LedgerEntry.Kind.RECEIVED,
            quantity_thousandths=quantity_thousandths,
            unit_cost_ten_thousandths=unit_cost_ten_thousandths,
            state=state,
            note=note,
        )


def salvage(
    *,
    part: Part,
    quantity_thousandths: int,
    by: Staff | None,
    donor: Unit | None = None,
    unit_cost_ten_thousandths: int = 0,
    note: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Arrival:
    """Put parts taken out of a donor unit into their drawer. They stay marked as not new, through to the invoice."""
    _refuse_none(quantity_thousandths)
    if donor is not None and not (donor.is_donor or donor.owner.is_shop):
        raise Refusal(f"{donor} is a customer’s, not the shop’s: nothing is salvaged from it.", field="donor")
    with acting(by=by, at=at, once=once_key) as act:
        return take_in(
            act,
            part=part,
            kind=LedgerEntry.Kind.SALVAGED,
            quantity_thousandths=quantity_thousandths,
            unit_cost_ten_thousandths=unit_cost_ten_thousandths,
            state=PartState.SALVAGED,
            donor=donor,
            note=note,
        )


def scrap(
    *,
    part: Part,
    quantity_thousandths: int,
    reason: str,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> LedgerEntry:
    """Throw parts away, with the reason. New ones go first in the count, for nobody asked which they were."""
    _refuse_none(quantity_thousandths)
    if not reason.strip():
        raise Refusal("Say why it is scrapped.", field="reason")
    with acting(by=by, at=at, once=once_key) as act:
        entry = book(
            act,
            part=part,
            kind=LedgerEntry.Kind.SCRAPPED,
            quantity_thousandths=-quantity_thousandths,
            note=reason,
        )
        keep_no_more(act, part=part)
        act.record("part.scrapped", subject=part, quantity_thousandths=quantity_thousandths)
        act.made(entry)
    return entry


def count(
    *,
    part: Part,
    counted_thousandths: int,
    by: Staff | None,
    note: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Arrival:
    """Say how many really lie in the drawer; the difference is booked. A count that agrees is written down as well."""
    if not 0 <= counted_thousandths <= MOST_THOUSANDTHS:
        raise Refusal("A count is none or more.", field="counted")
    with acting(by=by, at=at, once=once_key) as act:
        level = level_of(part)
        difference = counted_thousandths - level.quantity_thousandths
        entry = book(
            act, part=part, kind=LedgerEntry.Kind.COUNTED, quantity_thousandths=difference, note=note
        )
        kept, back = serve_waiting(act, part=part) if difference > 0 else ((), ())
        keep_no_more(act, part=part)
        act.record(
            "part.counted",
            subject=part,
            quantity_thousandths=counted_thousandths,
            difference_thousandths=difference,
        )
    return Arrival(entry, kept, back)


def count_drawer(
    *,
    counts: Sequence[tuple[Part, int]],
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> list[Arrival]:
    """A drawer counted through: each part with how many really lie there, in thousandths."""
    with acting(by=by, at=at, once=once_key):
        # one order of locks: by part
        return [
            count(part=part, counted_thousandths=number, by=by)
            for part, number in sorted(counts, key=lambda one: one[0].pk)
        ]


BROUGHT_IN: dict[str, str] = {
    LedgerEntry.Kind.RECEIVED: "part.received",
    LedgerEntry.Kind.SALVAGED: "part.salvaged",
}
"""The journal's verb by the kind of entry that brings parts in."""


def take_in(
    act: Act,
    *,
    part: Part,
    kind: str,
    quantity_thousandths: int,
    unit_cost_ten_thousandths: int | None,
    state: str,
    note: str = "",
    **more: object,
) -> Arrival:
    """Book parts in within the open act, and keep them for the jobs that wait for them."""
    entry = book(
        act,
        part=part,
        kind=kind,
        quantity_thousandths=quantity_thousandths,
        unit_cost_ten_thousandths=unit_cost_ten_thousandths,
        second_hand_thousandths=quantity_thousandths if state != PartState.NEW else 0,
        note=note,
        **more,
    )
    kept, back = serve_waiting(act, part=part)
    act.record(
        BROUGHT_IN[kind],
        subject=part,
        quantity_thousandths=quantity_thousandths,
        state=PartState(state).value,
    )
    return Arrival(entry, kept, back)


def _refuse_none(quantity_thousandths: int) -> None:
    if quantity_thousandths <= 0:
        raise Refusal("The quantity is more than nothing.", field="quantity")
