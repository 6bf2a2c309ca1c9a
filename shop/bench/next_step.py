"""What comes next for a job at the bench: one sentence and one button."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.urls import reverse

from shop.bench.queries import conclusion_stands
from shop.bench.safety import why_not
from shop.counter.stages import Outcome, Stage
from shop.premises.rooms import open_door

if TYPE_CHECKING:
    from shop.bench.page import BenchPage

PROVED = {Outcome.REPAIRED, Outcome.PARTLY}


@dataclass(frozen=True, slots=True)
class NextStep:
    """What comes next. `panel` names the panel that opens for it, `address` the page; at most one of the two."""

    title: str
    words: str = ""
    act: str = ""
    panel: str = ""
    address: str = ""


def next_step(page: BenchPage) -> NextStep | None:
    """What comes next for this job; None once it has ended."""
    step = _STEPS.get(Stage(page.job.stage))
    return step(page) if step is not None else None


def _booked_in(page: BenchPage) -> NextStep:
    return NextStep("Take it to the bench.", "Starting the clock does that, too.")


def _on_the_bench(page: BenchPage) -> NextStep:
    if not conclusion_stands(page.record):
        if not page.record.findings and not page.record.readings:
            return NextStep("Find the fault.", "Note what you see and what you measure as you go.")
        return NextStep(
            "Find the fault and mend it.", "Then state what had failed.", "State the conclusion", "conclusion"
        )
    if page.job.outcome in PROVED:
        return NextStep("Prove it.", "Let it run and look at it on the way.", "Put it on soak test", "soak")
    return NextStep("It is concluded.", "Nothing has to be proved.", "Call it ready", "ready")


def _proving(page: BenchPage) -> NextStep:
    return NextStep("It is on soak test.", "Look at it on the way.", "Note a look", "soak_check")


def _ready(page: BenchPage) -> NextStep:
    record = page.record
    last = next((one for one in reversed(record.safety_checks) if one.struck_at is None), None)
    waiver = next((one for one in reversed(record.waivers) if one.struck_at is None), None)
    if why_not(page.job, last, waiver):
        return NextStep(
            "The safety check is owed.",
            "A mains unit goes home only after it.",
            "Safety check",
            address=reverse("bench:safety", args=[page.job.number]),
        )
    return NextStep("It may go home.", "", "To dispatch", address=open_door("dispatch:job", page.job.number))


def _awaiting_word(page: BenchPage) -> NextStep:
    return NextStep(
        "The estimate is with the customer.",
        "",
        "To the office",
        address=open_door("office:job", page.job.number),
    )


def _awaiting_parts(page: BenchPage) -> NextStep:
    names = ", ".join(str(one) for one in page.wanted[:3])
    return NextStep("It waits for parts.", names)


_STEPS = {
    Stage.BOOKED_IN: _booked_in,
    Stage.ON_THE_BENCH: _on_the_bench,
    Stage.PROVING: _proving,
    Stage.READY: _ready,
    Stage.AWAITING_WORD: _awaiting_word,
    Stage.AWAITING_PARTS: _awaiting_parts,
}
