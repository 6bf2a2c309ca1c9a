"""Where a job can stand, whose move that makes it, and the table of the steps from one stage to the next.

`MOVES` names the one action that may ask for each step; `shop.counter.moving` takes it. An answer or a part still owed is a
fact of its own; the stage shows the one that is asked for first.
"""

from __future__ import annotations

from django.db import models


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
    UNKNOWN = "unknown", "Not known"
    """Only of jobs from an older book that does not say: nobody chooses it here, and no share counts it."""


CHOSEN_OUTCOMES = tuple(one for one in Outcome if one != Outcome.UNKNOWN)
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


def allowed(from_stage: str) -> list[Stage]:
    """The stages that a job at `from_stage` may move to, in the table's order."""
    return [Stage(to) for (start, to) in MOVES if start == from_stage]
