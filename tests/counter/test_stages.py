"""The table of stages is the only way a job moves, and each step has one action that may ask for it."""

from __future__ import annotations

from collections import defaultdict
from importlib import import_module
from itertools import product
from pkgutil import iter_modules
from typing import Any

import pytest
from django.db import IntegrityError

from shop.counter import moving
from shop.counter.models import Job, StageMove
from shop.counter.moving import MoveRefused
from shop.counter.stages import ENDED, MOVES, Outcome, Stage, allowed
from shop.frame.journal import acting
from shop.frame.models import JournalEntry
from tests.factories.counter import booked_in

# The table of the project's own glossary, row by row.
TABLE = {
    "expected": {"booked_in", "called_off"},
    "booked_in": {"on_the_bench", "ready"},
    "on_the_bench": {"booked_in", "awaiting_word", "awaiting_parts", "proving", "ready"},
    "awaiting_word": {"on_the_bench", "awaiting_parts", "ready"},
    "awaiting_parts": {"on_the_bench", "awaiting_word", "ready"},
    "proving": {"on_the_bench", "ready"},
    "ready": {"on_the_bench", "gone_home", "kept_here"},
    "gone_home": set(),
    "kept_here": set(),
    "called_off": set(),
}
ACTIONS = sorted(set(MOVES.values()))


@pytest.fixture
def job(db, monkeypatch) -> Job:
    """A job that no room's guard holds back."""
    monkeypatch.setattr(moving, "_guards", defaultdict(list))
    return booked_in()


def asked_by(action: str, *args: Any, **kwargs: Any) -> None:
    """Have the move asked for by a function of that name in that room: nobody else can claim to be it."""
    room, name = action.split(".")
    there: dict[str, Any] = {"__name__": f"shop.{room}.actions.forged", "move": moving.move}
    exec(f"def {name}(*args, **kwargs): move(*args, **kwargs)", there)  # noqa: S102
    there[name](*args, **kwargs)


def put(job: Job, stage: str) -> None:
    Job.objects.filter(pk=job.pk).update(stage=stage, outcome="repaired")
    job.refresh_from_db()


def test_the_moves_are_those_of_the_glossary() -> None:
    assert {stage: {to.value for to in allowed(stage)} for stage in TABLE} == TABLE


@pytest.mark.parametrize("start", list(Stage))
def test_a_job_moves_only_by_the_one_action_that_a_step_names(job, start) -> None:
    for goal, action in product(Stage, ACTIONS):
        put(job, start)
        may = MOVES.get((start, goal)) == action
        with acting(by=None) as act:
            if may:
                asked_by(action, job, goal, act=act)
                assert Job.objects.get(pk=job.pk).stage == goal
            else:
                with pytest.raises(MoveRefused):
                    asked_by(action, job, goal, act=act)
                assert Job.objects.get(pk=job.pk).stage == start


def test_nobody_claims_to_be_another_action(job) -> None:
    with pytest.raises(MoveRefused, match="another step"), acting(by=None) as act:
        moving.move(job, Stage.ON_THE_BENCH, act=act)


@pytest.mark.parametrize("action", ACTIONS)
def test_each_step_is_asked_for_by_a_function_that_is_there(action: str) -> None:
    room, name = action.split(".")
    modules = [import_module(f"shop.{room}.actions")]
    modules += [import_module(f"shop.{room}.actions.{one.name}") for one in iter_modules(modules[0].__path__)]
    assert any(callable(getattr(one, name, None)) for one in modules)


def test_nothing_moves_on_from_an_end() -> None:
    assert not any(start in ENDED for start, _ in MOVES)


def test_a_guard_holds_a_job_back_with_its_sentence(job) -> None:
    put(job, Stage.READY)
    moving.guard(Stage.GONE_HOME, lambda _job: "The safety check is missing.")
    with pytest.raises(MoveRefused, match="safety check is missing"), acting(by=None) as act:
        asked_by("dispatch.let_go", job, Stage.GONE_HOME, act=act)
    assert Job.objects.get(pk=job.pk).stage == Stage.READY


def test_two_tablets_never_move_one_job_twice(job) -> None:
    stale = Job.objects.get(pk=job.pk)
    with acting(by=None) as act:
        asked_by("bench.take_to_bench", job, Stage.ON_THE_BENCH, act=act)
    with pytest.raises(MoveRefused, match="somebody else"), acting(by=None) as act:
        asked_by("bench.take_to_bench", stale, Stage.ON_THE_BENCH, act=act)
    assert StageMove.objects.filter(job=job, to_stage=Stage.ON_THE_BENCH).count() == 1


def test_a_unit_leaves_only_with_an_outcome(job) -> None:
    Job.objects.filter(pk=job.pk).update(stage=Stage.READY)
    job.refresh_from_db()
    with pytest.raises(MoveRefused, match="how"), acting(by=None) as act:
        asked_by("dispatch.let_go", job, Stage.GONE_HOME, act=act)
    with acting(by=None) as act:
        asked_by("dispatch.let_go", job, Stage.GONE_HOME, act=act, outcome=Outcome.NO_FAULT)
    assert Job.objects.get(pk=job.pk).outcome == Outcome.NO_FAULT


def test_each_step_stands_in_the_journal_without_a_word_of_text(job) -> None:
    with acting(by=None) as act:
        asked_by("bench.take_to_bench", job, Stage.ON_THE_BENCH, act=act)
    entry = JournalEntry.objects.filter(verb="job.moved").latest("sequence")
    assert entry.data == {"from_stage": "booked_in", "to_stage": "on_the_bench", "outcome": ""}


def test_the_database_itself_refuses_an_end_without_an_outcome(job) -> None:
    with pytest.raises(IntegrityError):
        Job.objects.filter(pk=job.pk).update(stage=Stage.GONE_HOME)


@pytest.mark.postgres
def test_a_step_that_was_made_is_never_changed_or_taken_away(job) -> None:
    with pytest.raises(IntegrityError), acting(by=None):
        StageMove.objects.filter(job=job).update(to_stage="ready")
    with pytest.raises(IntegrityError), acting(by=None):
        StageMove.objects.filter(job=job).delete()
