"""What comes next for a job at the bench: one sentence and one button."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from django.urls import reverse

from shop.bench.queries import BenchRecord, conclusion_stands
from shop.bench.safety import why_not
from shop.counter.models import Job
from shop.counter.stages import ENDED, Outcome, Stage, for_each_open
from shop.frame.rooms import open_door
from shop.stockroom.models import PartWanted

PROVED = {Outcome.REPAIRED, Outcome.PARTLY}


@dataclass(frozen=True, slots=True)
class NextStep:
    """What comes next. `panel` names the panel that opens for it, `address` the page; at most one of the two."""

    title: str
    words: str = ""
    act: str = ""
    panel: str = ""
    address: str = ""


@dataclass(frozen=True, slots=True)
class _Standing:
    """What the next step hangs on."""

    job: Job
    record: BenchRecord
    wanted: Sequence[PartWanted]


def next_step(job: Job, record: BenchRecord, wanted: Sequence[PartWanted]) -> NextStep | None:
    """What comes next for `job`, of which the bench wrote `record` and which waits for `wanted`; None once it has ended."""
    stage = Stage(job.stage)
    return None if stage in ENDED else _STEPS[stage](_Standing(job, record, wanted))


def _expected(at: _Standing) -> NextStep:
    return NextStep(
        "It has not come yet.",
        "Work begins once it is booked in.",
        "Book it in",
        address=open_door("counter:receive", at.job.number),
    )


def _booked_in(at: _Standing) -> NextStep:
    return NextStep("Take it to the bench.", "Starting the clock does that, too.")


def _on_the_bench(at: _Standing) -> NextStep:
    if not conclusion_stands(at.record):
        if not at.record.findings and not at.record.readings:
            return NextStep("Find the fault.", "Note what you see and what you measure as you go.")
        return NextStep(
            "Find the fault; fix what is agreed.",
            "Then write down what had failed.",
            "Write the conclusion",
            "conclusion",
        )
    if at.job.outcome in PROVED:
        return NextStep("Test it.", "Let it run and check on it on the way.", "Put it on soak test", "soak")
    return NextStep("It is concluded.", "Nothing has to be tested.", "Mark it ready", "ready")


def _proving(at: _Standing) -> NextStep:
    return NextStep("It is on soak test.", "Check on it on the way.", "Log a check", "soak_check")


def _ready(at: _Standing) -> NextStep:
    record = at.record
    last = next((one for one in reversed(record.safety_checks) if one.struck_at is None), None)
    waiver = next((one for one in reversed(record.waivers) if one.struck_at is None), None)
    if why_not(at.job, last, waiver):
        return NextStep(
            "The safety check is owed.",
            "A unit that runs on AC power goes home only after it.",
            "Safety check",
            address=reverse("bench:safety", args=[at.job.number]),
        )
    return NextStep("It may go home.", "", "To dispatch", address=open_door("dispatch:job", at.job.number))


def _awaiting_word(at: _Standing) -> NextStep:
    return NextStep(
        "The estimate is with the customer.",
        "",
        "To the office",
        address=open_door("office:job", at.job.number),
    )


def _awaiting_parts(at: _Standing) -> NextStep:
    names = ", ".join(str(one) for one in at.wanted[:3])
    return NextStep("It waits for parts.", names)


_STEPS: dict[Stage, Callable[[_Standing], NextStep]] = for_each_open(
    {
        Stage.EXPECTED: _expected,
        Stage.BOOKED_IN: _booked_in,
        Stage.ON_THE_BENCH: _on_the_bench,
        Stage.PROVING: _proving,
        Stage.READY: _ready,
        Stage.AWAITING_WORD: _awaiting_word,
        Stage.AWAITING_PARTS: _awaiting_parts,
    }
)
