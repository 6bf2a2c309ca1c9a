"""Where a job stands, and the one way in which that changes.

The table `MOVES` says which steps there are and names the one action that may ask for each. `move` steps by
compare-and-swap, writes the step and its journal entry in the caller's transaction, and first asks the guards that rooms
above have registered (the bench's safety check, the office's balance). An answer or a part still owed is a fact of its
own; the stage shows the one that is asked for first.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from typing import TYPE_CHECKING

from django.db import models

from shop.premises.journal import Act
from shop.premises.refusal import Refusal

if TYPE_CHECKING:
    from shop.counter.models import Job


class Stage(models.TextChoices):
    EXPECTED = "expected", "Expected"
    BOOKED_IN = "booked_in", "Booked in"
    ON_THE_BENCH = "on_the_bench", "On the bench"
    AWAITING_WORD = "awaiting_word", "Awaiting word"
    AWAITING_PARTS = "awaiting_parts", "Awaiting parts"
    PROVING = "proving", "Proving"
    READY = "ready", "Ready"
    GONE_HOME = "gone_home", "Gone home"
    KEPT_HERE = "kept_here", "Kept here"
    CALLED_OFF = "called_off", "Called off"


class WhoseMove(models.TextChoices):
    """Every open job is somebody's move; the first screen is ordered by it."""

    BENCH = "bench", "Bench"
    CUSTOMER = "customer", "Customer"
    SUPPLIER = "supplier", "Supplier"
    CARRIER = "carrier", "Carrier"
    NOBODY = "nobody", "Nobody"


class Outcome(models.TextChoices):
    REPAIRED = "repaired", "Repaired"
    PARTLY = "partly", "Repaired in part"
    NO_FAULT = "no_fault", "No fault found"
    BEYOND = "beyond", "Beyond economic repair"
    DECLINED = "declined", "Declined"
    UNREPAIRED = "unrepaired", "Returned unrepaired"
    UNCLAIMED = "unclaimed", "Left unclaimed"


ENDED = frozenset({Stage.GONE_HOME, Stage.KEPT_HERE, Stage.CALLED_OFF})
OPEN = tuple(stage for stage in Stage if stage not in ENDED)
OUTCOMES_BY_STAGE = {Stage.GONE_HOME: tuple(Outcome), Stage.KEPT_HERE: tuple(Outcome)}

WHOSE_MOVE: dict[str, WhoseMove] = {
    Stage.EXPECTED: WhoseMove.CARRIER,
    Stage.BOOKED_IN: WhoseMove.BENCH,
    Stage.ON_THE_BENCH: WhoseMove.BENCH,
    Stage.AWAITING_WORD: WhoseMove.CUSTOMER,
    Stage.AWAITING_PARTS: WhoseMove.SUPPLIER,
    Stage.PROVING: WhoseMove.BENCH,
    Stage.READY: WhoseMove.CUSTOMER,
    Stage.GONE_HOME: WhoseMove.NOBODY,
    Stage.KEPT_HERE: WhoseMove.NOBODY,
    Stage.CALLED_OFF: WhoseMove.NOBODY,
}

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

Guard = Callable[["Job"], str | None]
_guards: dict[str, list[Guard]] = defaultdict(list)


class MoveRefused(Refusal):
    """The job can't take this step: not in the table, not this action's step, held by a guard, or somebody else was quicker."""


def guard(to_stage: str, check: Guard) -> None:
    """Have `check(job)` asked before any job steps to `to_stage`; a sentence it returns refuses the step."""
    if check not in _guards[to_stage]:
        _guards[to_stage].append(check)


def held_back(job: Job, to_stage: str) -> list[str]:
    """The sentences of all guards that hold `job` back from `to_stage`; empty when it may go."""
    return [sentence for check in _guards[to_stage] if (sentence := check(job))]


def allowed(from_stage: str) -> list[Stage]:
    """The stages that a job at `from_stage` may move to, in the table's order."""
    return [Stage(to) for (start, to) in MOVES if start == from_stage]


def move(job: Job, to_stage: str, *, act: Act, asked_by: str, outcome: str | None = None) -> None:
    """Step `job` to `to_stage` within the open act, or raise `MoveRefused`.

    `asked_by` is the action's name as in `MOVES`. Compare-and-swap on the stage that `job` was loaded with: when another tablet
    was quicker, nothing is written. `outcome` is set along with the stage where it is given.
    """
    start, goal = Stage(job.stage), Stage(to_stage)
    _refuse_what_is_not_allowed(job, start, goal, asked_by)
    changes: dict[str, object] = {"stage": goal, "stage_since": act.at, "whose_move": WHOSE_MOVE[goal]}
    if outcome is not None:
        changes["outcome"] = outcome
    if goal == Stage.BOOKED_IN and job.booked_in_at is None:
        changes["booked_in_at"] = act.at
    if goal == Stage.READY:
        changes["ready_at"] = act.at
    if goal in ENDED:
        changes["ended_at"] = act.at
    if goal in OUTCOMES_BY_STAGE and not (outcome or job.outcome):
        raise MoveRefused(
            f"Say first how {job.number} ended: repaired, no fault found, declined or another outcome."
        )
    if not type(job).objects.filter(pk=job.pk, stage=start).update(**changes):
        raise MoveRefused(f"{job.number} was moved by somebody else just now. Load the page again.")
    for name, value in changes.items():
        setattr(job, name, value)
    job.moves.create(from_stage=start, to_stage=goal, at=act.at, by=act.by)
    act.record(
        "job.moved",
        subject=job,
        jobs=[job.pk],
        from_stage=start.value,
        to_stage=goal.value,
        outcome=job.outcome,
    )


def _refuse_what_is_not_allowed(job: Job, start: Stage, goal: Stage, asked_by: str) -> None:
    wanted = MOVES.get((start, goal))
    if wanted is None:
        raise MoveRefused(f"{job.number} is “{start.label}” and can't become “{goal.label}” from there.")
    if wanted != asked_by:
        raise MoveRefused(f"{job.number} becomes “{goal.label}” only by another step than this one.")
    if sentences := held_back(job, goal):
        raise MoveRefused(" ".join(sentences))
