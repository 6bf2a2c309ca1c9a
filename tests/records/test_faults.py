"""A model's file goes from the fault to what fixed it and to the jobs; what came back and what could not be fixed stand apart."""

from __future__ import annotations

from typing import Any

import pytest

from shop.bench import actions as bench
from shop.counter.models import Job, UnitModel
from shop.records.model_files import ModelFile
from tests.factories.counter import booked_in
from tests.factories.records import past_job

pytestmark = pytest.mark.django_db


def told(model: UnitModel) -> list[tuple[Any, ...]]:
    """Each fault with the words of its cures."""
    return [
        (
            one.name,
            one.mode,
            one.count,
            *([cure.words for cure in of] for of in (one.cures, one.came_back, one.unfixed)),
        )
        for one in ModelFile(model).faults
    ]


def concluded(job: Job, failed: str, remedy: str, outcome: str = "repaired", mode: str = "worn") -> Job:
    bench.conclude(job=job, failed=failed, mode=mode, remedy=remedy, outcome=outcome, by=job.accepted_by)
    return job


def on_the_bench(model: UnitModel | None = None) -> Job:
    """A job on the bench, of that model where one is named."""
    job = booked_in()
    if model is not None:
        type(job.unit).objects.filter(pk=job.unit_id).update(model=model)
        job.refresh_from_db()
    bench.take_to_bench(job=job, by=job.accepted_by)
    return job


def test_the_same_fault_in_other_words_is_one_fault_with_all_its_cures() -> None:
    first = concluded(on_the_bench(), "Capstan motor", "Motor replaced")
    model = first.unit.model
    concluded(on_the_bench(model), "motor, capstan", "motor REPLACED")
    concluded(on_the_bench(model), "Capstan motor", "Brushes cleaned")
    concluded(on_the_bench(model), "Belt", "None to be had", outcome="unrepaired")
    faults = told(model)
    assert [(name.lower(), mode, count) for name, mode, count, *_ in faults] == [
        ("capstan motor", "Worn", 3),
        ("belt", "Worn", 1),
    ]
    assert [len(cures) for cures in faults[0][3:]] == [2, 0, 0]
    assert faults[1][5] == ["None to be had"]


def test_what_came_back_is_no_cure() -> None:
    first = concluded(on_the_bench(), "Relay", "Contacts cleaned")
    again = concluded(on_the_bench(first.unit.model), "Relay", "Relay replaced")
    Job.objects.filter(pk=again.pk).update(comeback_of=first)
    ((_name, _mode, _count, cures, back, _unfixed),) = told(first.unit.model)
    assert (cures, back) == (["Relay replaced"], ["Contacts cleaned"])


def test_a_model_without_conclusions_has_no_faults() -> None:
    assert told(past_job(complaint="long gone").unit.model) == []
