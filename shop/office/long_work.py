"""What the office has done by the worker: the rounds of a month's end."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence

from django.db import transaction
from django.urls import reverse

from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.keeping.models import Task
from shop.keeping.tasks import Kind, Result, Work, ask, hang_up
from shop.office import rounds
from shop.press.printers import Printers

ROUND = "office.round"
MOST_SAID = 20


def hang_up_all() -> None:
    """Hang up the kinds; printers are processes beside, each with the memory of one."""
    hang_up(Kind(ROUND, "Month end", go_round, of="papers", resumes=True, memory=2 << 30))


def ask_to_go_round(
    *,
    going: rounds.Round,
    keys: Sequence[int],
    period: rounds.Period,
    by: Staff,
    once_key: uuid.UUID | None = None,
) -> Task:
    """Have the papers of these keys made, in their order."""
    starts, ends = period
    return ask(
        ROUND,
        by=by,
        about={
            "round": going.key,
            "keys": list(keys),
            "starts": starts.isoformat(),
            "ends": ends.isoformat(),
        },
        title=going.title,
        same=same_of(going),
        once_key=once_key,
    )


def same_of(going: rounds.Round) -> str:
    """By what the tasks of one round are known: a second one would make the same papers again."""
    return f"{ROUND} {going.key}"


def go_round(work: Work) -> Result:
    """Make the papers a handful in each act; what is left is kept with them."""
    if work.by is None:
        raise Refusal("Nobody asked for these papers.")
    about, going = work.about, rounds.ROUNDS[work.about["round"]]
    period = (dt.date.fromisoformat(about["starts"]), dt.date.fromisoformat(about["ends"]))
    total = len(about["keys"])
    rest: list[int] = work.place.get("rest", about["keys"])
    made: int = work.place.get("made", 0)
    refused: list[str] = work.place.get("refused", [])
    with Printers() as printers:
        while rest:
            with transaction.atomic():
                turn = rounds.turn(going, rest, by=work.by, period=period, printers=printers)
                made += len(turn.made.papers)
                refused += [f"{row.customer}: {sentence}" for row, sentence in turn.made.refused]  # type: ignore[attr-defined]
                rest = turn.rest
                place = {"rest": rest, "made": made, "refused": refused[:MOST_SAID]}
                work.reached(place, done=total - len(rest), total=total)
    left = f" Left alone: {' '.join(refused[:MOST_SAID])}" if refused else ""
    return Result(f"{made} made.{left}", reverse("office:month_end"), "Month end")
