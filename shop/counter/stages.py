"""Where a job can stand: the one table of stages, from which all pages go, and the table of the steps between them.

`MOVES` names the one action that may ask for each step; `shop.counter.moving` takes it. An answer or a part still owed is a
fact of its own; the stage shows the one that is asked for first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple, TypeVar

from django.db import models

from shop.frame.models import Role
from shop.frame.whose_move import WhoseMove
from shop.handbook.cautions import Step
from shop.handbook.dates.forecasting import Step as Ahead

T = TypeVar("T")


class NextStep(NamedTuple):
    """The page where the next step is taken, the words on its button, and whose work it is."""

    door: str
    words: str
    role: Role


class Told(NamedTuple):
    """What the customer's page says: in a few words, and in a sentence or two."""

    stands: str
    words: str


class HangsOn(models.TextChoices):
    """What a promised date hangs on, as the customer is told."""

    TURN = "turn", "it waits its turn on the bench"
    WORK = "work", "we are working on it"
    PART = "part", "a part is on order"
    PROVING = "proving", "it is being tried out"
    COMING = "coming", "it is on its way to us"


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What the rooms need to know of a stage. Nothing here has a default that a new stage could forget."""

    whose_move: WhoseMove
    told: Told
    next_step: NextStep | None
    """None where nothing is left to do."""
    waits_for: str
    """In the figures, what the days spent there were waited for; empty where they are no wait."""
    counts: bool
    """Whether lists and figures count it as a job of the shop."""
    queued: bool
    """Whether it still needs the bench's time."""
    bench_list: str
    """The heading under which the bench lists it; empty where it does not."""
    cautions: tuple[Step, ...]
    """The steps of the work that a job here is about to see."""
    is_end: bool
    """Whether the job is over; one that counts says how it ended."""
    is_here: bool
    """Whether the unit is in the house, so that the bench may write on it."""
    hangs_on: HangsOn | None
    """What a promise hangs on while the job stands here; None where the customer has heard, or nothing is promised any more."""
    ahead: Ahead | None
    """What the forecast of its date begins with; None where the bench has nothing left to do."""
    fault_known: bool
    """Whether a job that came as far as this has been looked at: its fault is known."""


_BENCH_LISTS = ("On the bench", "Waiting for the bench", "Waiting for somebody else")
_ON_IT, _BEFORE_IT, _ELSEWHERE = _BENCH_LISTS
_AT_WORK = (Step.OPENING, Step.WORKING, Step.POWERING_UP)


class Stage(models.TextChoices):
    """The table itself, in the order of a job's life: value, row, name."""

    row: Row

    EXPECTED = (
        "expected",
        Row(
            whose_move=WhoseMove.CARRIER,
            told=Told("On its way to us", "We will write here when your parcel has arrived and been opened."),
            next_step=NextStep("counter:receive", "Open box", Role.COUNTER),
            waits_for="",
            counts=True,
            queued=False,
            bench_list="",
            cautions=(),
            is_end=False,
            is_here=False,
            hangs_on=HangsOn.COMING,
            ahead=Ahead.COMING,
            fault_known=False,
        ),
        "Expected",
    )
    BOOKED_IN = (
        "booked_in",
        Row(
            whose_move=WhoseMove.BENCH,
            told=Told("Here, and waiting its turn", "It is on our shelf. Nothing has been done to it yet."),
            next_step=NextStep("bench:job", "Start work", Role.BENCH),
            waits_for="the bench",
            counts=True,
            queued=True,
            bench_list=_BEFORE_IT,
            cautions=_AT_WORK,
            is_end=False,
            is_here=True,
            hangs_on=HangsOn.TURN,
            ahead=Ahead.TO_LOOK_AT,
            fault_known=False,
        ),
        "Booked in",
    )
    ON_THE_BENCH = (
        "on_the_bench",
        Row(
            whose_move=WhoseMove.BENCH,
            told=Told("On the bench", "We are working on it."),
            next_step=NextStep("bench:job", "To the bench", Role.BENCH),
            waits_for="work at the bench",
            counts=True,
            queued=True,
            bench_list=_ON_IT,
            cautions=_AT_WORK,
            is_end=False,
            is_here=True,
            hangs_on=HangsOn.WORK,
            ahead=Ahead.TO_LOOK_AT,
            fault_known=False,
        ),
        "On the bench",
    )
    AWAITING_WORD = (
        "awaiting_word",
        Row(
            whose_move=WhoseMove.CUSTOMER,
            told=Told("Waiting for your answer", "We found out what it needs. Please look at the estimate."),
            next_step=NextStep("office:job", "Note the answer", Role.COUNTER),
            waits_for="the customer’s word",
            counts=True,
            queued=False,
            bench_list=_ELSEWHERE,
            cautions=(),
            is_end=False,
            is_here=True,
            hangs_on=None,
            ahead=Ahead.WORD,
            fault_known=True,
        ),
        "Awaiting word",
    )
    AWAITING_PARTS = (
        "awaiting_parts",
        Row(
            whose_move=WhoseMove.SUPPLIER,
            told=Told("Waiting for a part", "What it needs is on order. We go on when it is here."),
            next_step=NextStep("bench:job", "To the bench", Role.BENCH),
            waits_for="parts",
            counts=True,
            queued=False,
            bench_list=_ELSEWHERE,
            cautions=(),
            is_end=False,
            is_here=True,
            hangs_on=HangsOn.PART,
            ahead=Ahead.PARTS,
            fault_known=True,
        ),
        "Awaiting parts",
    )
    PROVING = (
        "proving",
        Row(
            whose_move=WhoseMove.BENCH,
            told=Told("Repaired, and being tried out", "It runs for some hours while we watch it."),
            next_step=NextStep("bench:job", "Check the soak test", Role.BENCH),
            waits_for="the soak test",
            counts=True,
            queued=False,
            bench_list=_ON_IT,
            cautions=(Step.POWERING_UP,),
            is_end=False,
            is_here=True,
            hangs_on=HangsOn.PROVING,
            ahead=Ahead.SOAK,
            fault_known=True,
        ),
        "On soak test",
    )
    READY = (
        "ready",
        Row(
            whose_move=WhoseMove.CUSTOMER,
            told=Told("Ready", "It is ready to go back to you."),
            next_step=NextStep("dispatch:job", "Send home", Role.COUNTER),
            waits_for="going home",
            counts=True,
            queued=False,
            bench_list="",
            cautions=(),
            is_end=False,
            is_here=True,
            hangs_on=None,
            ahead=None,
            fault_known=True,
        ),
        "Ready",
    )
    GONE_HOME = (
        "gone_home",
        Row(
            whose_move=WhoseMove.NOBODY,
            told=Told("Gone home", "It has left us."),
            next_step=None,
            waits_for="",
            counts=True,
            queued=False,
            bench_list="",
            cautions=(),
            is_end=True,
            is_here=False,
            hangs_on=None,
            ahead=None,
            fault_known=False,
        ),
        "Gone home",
    )
    KEPT_HERE = (
        "kept_here",
        Row(
            whose_move=WhoseMove.NOBODY,
            told=Told("Stays here", "It stays with us, as was agreed or as the law allows."),
            next_step=None,
            waits_for="",
            counts=True,
            queued=False,
            bench_list="",
            cautions=(),
            is_end=True,
            is_here=False,
            hangs_on=None,
            ahead=None,
            fault_known=False,
        ),
        "Kept here",
    )
    CALLED_OFF = (
        "called_off",
        Row(
            whose_move=WhoseMove.NOBODY,
            told=Told("Not coming", "It was announced to us and did not come."),
            next_step=None,
            waits_for="",
            counts=False,
            queued=False,
            bench_list="",
            cautions=(),
            is_end=True,
            is_here=False,
            hangs_on=None,
            ahead=None,
            fault_known=False,
        ),
        "Called off",
    )

    def __new__(cls, value: str, *row: Row) -> Stage:
        """Keep the row beside the value; a stage without one breaks the import."""
        member = str.__new__(cls, value)
        member._value_ = value
        (member.row,) = row
        return member


class Outcome(models.TextChoices):
    REPAIRED = "repaired", "Repaired"
    PARTLY = "partly", "Repaired in part"
    NO_FAULT = "no_fault", "No fault found"
    BEYOND = "beyond", "Beyond economic repair"
    DECLINED = "declined", "Declined"
    UNREPAIRED = "unrepaired", "Returned unrepaired"
    UNCLAIMED = "unclaimed", "Left unclaimed"
    UNKNOWN = "unknown", "Not known"
    """Only of jobs from an older book that does not say: nobody chooses it here, and no share counts it."""


CHOSEN_OUTCOMES = tuple(one for one in Outcome if one != Outcome.UNKNOWN)
ENDED = frozenset(stage for stage in Stage if stage.row.is_end)
OPEN = tuple(stage for stage in Stage if not stage.row.is_end)
UNCOUNTED = tuple(stage for stage in Stage if not stage.row.counts)
QUEUED = tuple(stage for stage in Stage if stage.row.queued)
IN_THE_QUEUE = tuple(stage for stage in Stage if stage.row.ahead is not None)
"""Stages whose jobs the bench has not done with, so that they have a date ahead."""
HEARD = tuple(stage for stage in OPEN if stage.row.hangs_on is None)
"""Stages that the customer is told of: the first word has come."""
KNOWN_AFTER = tuple(stage for stage in Stage if stage.row.fault_known)
END_WITH_OUTCOME = tuple(stage for stage in Stage if stage.row.is_end and stage.row.counts)
BENCH_LISTS = {
    heading: tuple(stage for stage in Stage if stage.row.bench_list == heading) for heading in _BENCH_LISTS
}
"""The headings of the bench's lists, with the stages under each."""

S = Stage
MOVES: dict[tuple[str, str], str] = {
    (S.EXPECTED, S.BOOKED_IN): "counter.receive_expected",
    (S.EXPECTED, S.CALLED_OFF): "counter.call_off",
    (S.BOOKED_IN, S.ON_THE_BENCH): "bench.take_to_bench",
    (S.BOOKED_IN, S.READY): "counter.set_ready_unopened",
    (S.ON_THE_BENCH, S.BOOKED_IN): "bench.put_back_on_shelf",
    (S.ON_THE_BENCH, S.AWAITING_WORD): "office.put_estimate",
    (S.ON_THE_BENCH, S.AWAITING_PARTS): "stockroom.await_parts",
    (S.ON_THE_BENCH, S.PROVING): "bench.start_soak",
    (S.ON_THE_BENCH, S.READY): "bench.call_ready",
    (S.AWAITING_WORD, S.ON_THE_BENCH): "office.record_answer",
    (S.AWAITING_WORD, S.AWAITING_PARTS): "stockroom.await_parts",
    (S.AWAITING_WORD, S.READY): "office.record_answer",
    (S.AWAITING_PARTS, S.ON_THE_BENCH): "stockroom.parts_arrived",
    (S.AWAITING_PARTS, S.AWAITING_WORD): "office.put_estimate",
    (S.AWAITING_PARTS, S.READY): "bench.call_ready",
    (S.PROVING, S.ON_THE_BENCH): "bench.end_soak",
    (S.PROVING, S.READY): "bench.end_soak",
    (S.READY, S.ON_THE_BENCH): "bench.take_to_bench",
    (S.READY, S.GONE_HOME): "dispatch.let_go",
    (S.READY, S.KEPT_HERE): "dispatch.keep_here",
}


def for_each_open(table: dict[Stage, T]) -> dict[Stage, T]:
    """A room's table by stage, as it is; one that forgot an open stage breaks the import."""
    if missing := set(OPEN) - set(table):
        raise RuntimeError(f"A table by stage says nothing of {', '.join(sorted(missing))}.")
    return table


def allowed(from_stage: str) -> list[Stage]:
    """The stages that a job at `from_stage` may move to, in the table's order."""
    return [Stage(to) for (start, to) in MOVES if start == from_stage]
