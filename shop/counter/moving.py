"""The one way in which a job's stage changes.

`move` steps by compare-and-swap, writes the step and its journal entry in the caller's transaction, and first asks the
guards that rooms above have registered: the bench's safety check, the office's balance, the dispatch's accessories.
"""

from __future__ import annotations

import sys
from collections import defaultdict
from collections.abc import Callable

from shop.counter.models import Job
from shop.counter.stages import END_WITH_OUTCOME, ENDED, MOVES, Stage
from shop.frame.journal import Act
from shop.frame.refusal import Refusal

Guard = Callable[[Job], str | None]
Consequence = Callable[[Job, Act], None]
_guards: dict[str, list[Guard]] = defaultdict(list)
_consequences: dict[str, list[Consequence]] = defaultdict(list)


class MoveRefused(Refusal):
    """The job can't take this step: not in the table, not this action's step, held by a guard, or somebody else was quicker."""


def guard(to_stage: str, check: Guard) -> None:
    """Have `check(job)` asked before any job steps to `to_stage`; a sentence it returns refuses the step."""
    if check not in _guards[to_stage]:
        _guards[to_stage].append(check)


def afterwards(to_stage: str, do: Consequence) -> None:
    """Have `do(job, act)` done in the same act, once a job has stepped to `to_stage`."""
    if do not in _consequences[to_stage]:
        _consequences[to_stage].append(do)


def held_back(job: Job, to_stage: str) -> list[str]:
    """The sentences of all guards that hold `job` back from `to_stage`; empty when it may go."""
    return [sentence for check in _guards[to_stage] if (sentence := check(job))]


def move(job: Job, to_stage: str, *, act: Act, outcome: str | None = None) -> None:
    """Step `job` to `to_stage` within the open act, or raise `MoveRefused`.

    Only the action that `MOVES` names for the step may ask for it. Compare-and-swap on the stage that `job` was loaded with:
    when another tablet was quicker, nothing is written. `outcome` is set along with the stage where it is given.
    """
    start, goal = Stage(job.stage), Stage(to_stage)
    _refuse_what_is_not_allowed(job, start, goal, _caller())
    changes: dict[str, object] = {"stage": goal, "stage_since": act.at, "whose_move": goal.row.whose_move}
    if outcome is not None:
        changes["outcome"] = outcome
    if goal == Stage.BOOKED_IN and job.booked_in_at is None:
        changes["booked_in_at"] = act.at
    if goal == Stage.READY:
        changes["ready_at"] = act.at
    if goal in ENDED:
        changes["ended_at"] = act.at
    if goal in END_WITH_OUTCOME and not (outcome or job.outcome):
        raise MoveRefused(
            f"Say first how {job.number} ended: repaired, no fault found, declined or another outcome."
        )
    if not Job.objects.filter(pk=job.pk, stage=start).update(**changes):
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
    for do in _consequences[goal]:
        do(job, act)


def _caller() -> str:
    """The function that called `move`, as `MOVES` names it. Read from the call: a name handed over could be anybody's."""
    frame = sys._getframe(2)
    room = str(frame.f_globals["__name__"]).split(".")[1]
    return f"{room}.{frame.f_code.co_name}"


def _refuse_what_is_not_allowed(job: Job, start: Stage, goal: Stage, asked_by: str) -> None:
    wanted = MOVES.get((start, goal))
    if wanted is None:
        raise MoveRefused(f"{job.number} is “{start.label}” and can't become “{goal.label}” from there.")
    if wanted != asked_by:
        raise MoveRefused(f"{job.number} becomes “{goal.label}” only by another step than this one.")
    if sentences := held_back(job, goal):
        raise MoveRefused(" ".join(sentences))
