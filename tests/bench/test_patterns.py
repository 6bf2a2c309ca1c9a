"""The shop's own rows and checklists: written down line by line, in place of what there is to begin with."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.urls import reverse

from shop.bench.models import Pattern
from shop.bench.queries import jobs_meant
from shop.counter.models import Job
from shop.handbook.jobnumber import JobNumber
from tests.bench.page_cases import at

pytestmark = pytest.mark.django_db


def keep(bench: Any, **typed: str) -> Any:
    return bench.post(reverse("bench:patterns"), {"once": str(uuid.uuid4()), **typed})


def test_rows_of_the_shop_stand_on_the_sheet_as_they_were_written(bench: Any, job: Job) -> None:
    lines = "B+ first filter | DC voltage | | chassis | warm | 435 V ± 5 %\nV1 | voltage_dc | pin 1-9"
    assert keep(bench, of="rows", name="Thirty", kind="tape_deck", lines=lines).status_code == 303
    pattern = Pattern.objects.get()
    page = bench.get(at(job), {"rows": f"own-{pattern.pk}"}).content.decode()
    assert "B+ first filter</strong>" in page
    assert page.count("</span>pin ") == 9
    assert (
        "V1 | voltage_dc | pin 1-9"
        in bench.get(reverse("bench:patterns"), {"of": "rows", "name": "Thirty"}).content.decode()
    )


@pytest.mark.parametrize(
    "line, said",
    [
        ("TP1 | happiness", "nobody measures"),
        ("TP1 | DC voltage | 9-1", "upward"),
        ("TP1 | DC voltage | | | | 12 V", "How far off"),
        (" | DC voltage", "say where"),
        ("a|b|c|d|e|f|g|h", "more bars"),
    ],
)
def test_a_row_that_cannot_be_measured_is_told_with_its_line(bench: Any, line: str, said: str) -> None:
    answer = keep(bench, of="rows", name="Odd", lines=f"TP0\n{line}")
    assert answer.status_code == 422
    assert "Line 2" in answer.content.decode()
    assert said in answer.content.decode()
    assert not Pattern.objects.exists()


def test_a_checklist_of_the_shop_stands_in_place_of_the_one_to_begin_with(bench: Any, job: Job) -> None:
    assert (
        keep(bench, of="steps", name="Tape path", lines="Heads cleaned\nBias traps looked at").status_code
        == 303
    )
    page = bench.get(at(job)).content.decode()
    assert "Bias traps looked at" in page
    assert "Heads demagnetized" not in page
    dropped = bench.post(
        reverse("bench:drop_pattern", args=[Pattern.objects.get().pk]), {"once": str(uuid.uuid4())}
    )
    assert dropped.status_code == 303
    assert "Heads demagnetized" in bench.get(at(job)).content.decode()


def test_a_job_is_found_by_its_number_without_the_last_character_and_by_a_zero_for_an_o(job: Job) -> None:
    year, sequence = job.number[:2], int(job.sequence)
    for typed in (
        job.number,
        f"{year}-{sequence:04d}",
        f"{year}-{sequence}",
        f"{year} {sequence}",
        str(sequence),
    ):
        assert jobs_meant(typed) == [job], typed
    assert jobs_meant(f"{year}-9999") == []
    twins = {"O": "0", "0": "O"}
    number = next(one for sequence in range(1, 999) if (one := JobNumber(int(year), sequence)).check in twins)
    Job.objects.filter(pk=job.pk).update(number=str(number), sequence=number.sequence)
    assert jobs_meant(f"{str(number)[:-1]}{twins[number.check]}") == [job]
