"""The soak test, and calling a job ready."""

from __future__ import annotations

import datetime as dt
import uuid
from decimal import Decimal

from shop.bench.actions.lines import write
from shop.bench.models import SoakCheck, SoakTest
from shop.bench.queries import conclusion_of, running_soak
from shop.counter.models import Job
from shop.counter.moving import move
from shop.counter.stages import Outcome, Stage
from shop.frame import spelling
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.once import keyless
from shop.frame.refusal import Refusal

LONGEST_SOAK_SECONDS = 14 * 24 * 3600


def start_soak(
    *,
    job: Job,
    planned_seconds: int,
    by: Staff,
    check_every_seconds: int = 1800,
    unattended: bool = False,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> SoakTest:
    """Put a repaired unit on soak test; its job is proving from here on.

    `unattended`: the shop lets it run while nobody is there; else only the time up to the next look that is due counts.
    """
    if not 0 < planned_seconds <= LONGEST_SOAK_SECONDS:
        raise Refusal("A soak test lasts from a minute to two weeks.", field="hours")
    with acting(by=by, at=at, once=entry) as act:
        if conclusion_of(job) is None:
            raise Refusal("State first what had failed and what fixed it; then it goes on soak test.")
        soak = SoakTest(
            job=job,
            planned_seconds=planned_seconds,
            check_every_seconds=check_every_seconds,
            unattended=unattended,
        )
        write(act, soak, "soak.started", entry=entry, seconds=planned_seconds)
        move(job, Stage.PROVING, act=act)
    return soak


def add_soak_check(
    *,
    soak: SoakTest,
    by: Staff,
    temperature: Decimal | None = None,
    dc_offset: Decimal | None = None,
    came_back: bool = False,
    note: str = "",
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> SoakCheck:
    """Look at a unit on soak test: temperature in °C, DC offset in V, and whether the fault came back."""
    with acting(by=by, at=at, once=entry) as act:
        if not SoakTest.objects.filter(pk=soak.pk, ended_at__isnull=True, struck_at__isnull=True).exists():
            raise Refusal("This soak test has ended.")
        check = SoakCheck.objects.create(
            soak=soak,
            entry=entry or uuid.uuid4(),
            temperature=temperature,
            dc_offset=dc_offset,
            came_back=came_back,
            note=note.strip(),
            at=act.at,
            by=by,
        )
        act.record("soak.checked", subject=check, jobs=[soak.job_id], came_back=came_back)
    return check


def check_running_soak(
    *,
    job: Job,
    by: Staff,
    temperature: Decimal | None = None,
    dc_offset: Decimal | None = None,
    came_back: bool = False,
    note: str = "",
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> SoakCheck:
    """Look at the unit of that job on its soak test, as `add_soak_check` does."""
    return add_soak_check(
        soak=_running(job),
        by=by,
        temperature=temperature,
        dc_offset=dc_offset,
        came_back=came_back,
        note=note,
        entry=entry,
        at=at,
    )


def end_running_soak(
    *,
    job: Job,
    result: str,
    by: Staff,
    note: str = "",
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> SoakTest:
    """End the soak test of that job. Refuses when none runs."""
    with acting(by=by, at=at, once=entry):
        return end_soak(soak=_running(job), result=result, by=by, note=note)


def _running(job: Job) -> SoakTest:
    soak = running_soak(job)
    if soak is None:
        raise Refusal("No soak test runs on this job.")
    return soak


@keyless("joined")
def end_soak(
    *, soak: SoakTest, result: str, by: Staff, note: str = "", at: dt.datetime | None = None
) -> SoakTest:
    """End a soak test: passed makes the job ready; the fault come back, or breaking off, puts it on the bench again.

    Passed before the planned hours have run wants a reason in `note`.
    """
    if result not in {SoakTest.Result.PASSED, SoakTest.Result.CAME_BACK, SoakTest.Result.BROKEN_OFF}:
        raise Refusal("Say how the soak test ended.", field="result")
    with acting(by=by, at=at) as act:
        running = SoakTest.objects.filter(pk=soak.pk, ended_at__isnull=True, struck_at__isnull=True)
        ran = soak.counted(act.at)
        if result == SoakTest.Result.PASSED and ran < soak.planned_seconds and not note.strip():
            short = f"{spelling.hours(ran)} of {spelling.hours(soak.planned_seconds)}"
            raise Refusal(f"It has run {short} so far: let it run, or say why that is enough.", field="note")
        if not running.update(ended_at=act.at, result=result, note=note.strip(), ran_seconds=ran):
            raise Refusal("This soak test has ended already.")
        soak.refresh_from_db()
        goal = Stage.READY if result == SoakTest.Result.PASSED else Stage.ON_THE_BENCH
        move(soak.job, goal, act=act)
        act.record("soak.ended", subject=soak, jobs=[soak.job_id], result=result)
    return soak


def call_ready(
    *,
    job: Job,
    by: Staff,
    outcome: str | None = None,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Job:
    """Call a job ready without a soak test: nothing to prove, no fault found, beyond repair."""
    with acting(by=by, at=at, once=entry) as act:
        outcome = outcome or job.outcome or None
        if outcome is None:
            raise Refusal("Write the conclusion first, or say how it ended.", field="outcome")
        move(job, Stage.READY, act=act, outcome=Outcome(outcome))
    return job
