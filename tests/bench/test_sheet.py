"""The sheet of readings as a plain form: every cell for itself, without a line of script."""

from __future__ import annotations

import json
import re
import uuid
from typing import Any

import pytest
from django.urls import reverse

from shop.bench import actions, sheet
from shop.bench.models import Reading
from shop.counter.models import Job
from shop.frame.models import Staff
from tests.factories.bench import on_the_bench, readings
from tests.factories.counter import UnitFactory

pytestmark = pytest.mark.django_db


def at(job: Job, name: str = "job") -> str:
    return reverse(f"bench:{name}", args=[job.number])


def plain_form(page: str) -> dict[str, str]:
    """What the sheet's form would send as it is drawn."""
    found = re.search(r'<form class="form" id="sheet-form".*?</form>', page, re.DOTALL)
    assert found is not None
    fields = re.findall(r"<input[^>]*>", found[0].split("<template")[0])
    told = {}
    for field in fields:
        name = re.search(r'name="([^"]*)"', field)
        value = re.search(r'value="([^"]*)"', field)
        if name:
            told[name[1]] = value[1].replace("&quot;", '"') if value else ""
    return told


def cells_of(form: dict[str, str]) -> list[str]:
    return [name for name in form if name.startswith("cell-")]


def test_each_cell_is_taken_for_itself_and_a_refused_one_waits_with_what_was_typed(
    bench: Any, job: Job
) -> None:
    form = plain_form(bench.get(at(job)).content.decode())
    first, second, *_ = cells_of(form)
    form[first], form[second] = "11.9", "two volts"
    answer = bench.post(at(job, "sheet"), form)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "1 noted, 1 not" in page
    assert 'value="two volts"' in page
    assert "can&#x27;t be read" in page
    assert list(Reading.objects.values_list("typed", "verdict")) == [("11.9 V", "within")]
    # sent twice: the cell that was taken is not taken again
    bench.post(at(job, "sheet"), form)
    assert Reading.objects.count() == 1


def test_a_blank_line_becomes_a_row_with_its_columns(bench: Any, job: Job) -> None:
    form = plain_form(bench.get(at(job)).content.decode())
    form |= {
        "new-0-place": "Base of Q707",
        "new-0-against": "emitter",
        "new-0-state": "lamp in series",
        "new-0-expected": "1.1 V ± 10 %",
        "new-0-quantity": "voltage_dc",
        "new-0-columns": "L R",
        "new-0-values": "23.5; 1.12",
    }
    assert bench.post(at(job, "sheet"), form).status_code == 303
    assert list(Reading.objects.values_list("channel", "against", "condition", "typed", "verdict")) == [
        ("L", "emitter", "lamp in series", "23.5 V", "high"),
        ("R", "emitter", "lamp in series", "1.12 V", "within"),
    ]
    page = bench.get(at(job)).content.decode()
    assert page.count("Base of Q707</strong>") == 1
    assert "against emitter" in page


def test_a_line_with_more_values_than_columns_is_kept_as_typed(bench: Any, job: Job) -> None:
    form = plain_form(bench.get(at(job)).content.decode())
    form |= {"new-0-place": "V1", "new-0-quantity": "voltage_dc", "new-0-values": "1; 2"}
    answer = bench.post(at(job, "sheet"), form)
    assert answer.status_code == 422
    assert "more values than columns" in answer.content.decode()
    assert not Reading.objects.exists()


def test_one_cell_is_answered_with_its_verdict_alone_and_once(bench: Any, job: Job) -> None:
    point = job.unit.model.test_points.first()
    told = {"once": str(uuid.uuid4()), "test_point": point.pk, "typed": "2", "unit": "V", "where": point.name}
    heads = {"HTTP_X_BENCH_ENTRY": told["once"]}
    answers = [bench.post(at(job, "cell"), told, **heads) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [200, 200]
    assert answers[0].content == answers[1].content
    assert b"verdict-low" in answers[0].content
    assert Reading.objects.count() == 1
    wrong = bench.post(at(job, "cell"), told | {"once": str(uuid.uuid4()), "typed": "?"}, **heads)
    assert wrong.status_code == 422
    assert b"judged-wrong" in wrong.content


def test_what_comes_along_with_a_cell_may_be_anything_and_breaks_nothing(bench: Any, job: Job) -> None:
    for facts in (
        "[]",
        "{",
        json.dumps({"where": ["x"], "quantity": 3}),
        json.dumps({"once": "x", "meter": "-1"}),
    ):
        answer = bench.post(at(job, "sheet"), {"cell-9-9": "1 V", "facts-cell-9-9": facts})
        assert answer.status_code == 422, facts
    assert not Reading.objects.exists()


def test_earlier_jobs_of_the_model_teach_the_rows(bench: Any, job: Job, technician: Staff) -> None:
    earlier = on_the_bench(technician, unit=UnitFactory(model=job.unit.model))
    for pin in ("pin 10", "pin 9", "pin 1"):
        actions.add_reading(
            job=earlier,
            typed="5 V",
            quantity="voltage_dc",
            where="IC3",
            against="ground",
            channel=pin,
            by=technician,
        )
    readings(earlier, technician, "11.9 V")
    (row,) = sheet.learnt_rows(job)
    assert (row.place, row.against, row.columns) == ("IC3", "ground", "pin_1, pin_9, pin_10")
    (drawn,) = sheet.rows_of((), (), [row])
    assert [cell.channel for cell in drawn.cells] == ["pin 1", "pin 9", "pin 10"]
    page = bench.get(at(job), {"rows": "learnt"}).content.decode()
    assert "IC3</strong>" in page
    assert b"IC3</strong>" in bench.get(at(job, "rows"), {"rows": "learnt"}).content


def test_what_was_read_stands_in_its_cell_and_in_its_unit(bench: Any, job: Job, technician: Staff) -> None:
    actions.add_reading(
        job=job, typed="9.1 mV", quantity="voltage_dc", where="R735", channel="L", by=technician
    )
    (row,) = sheet.rows_of((), list(Reading.objects.all()))
    assert (row.unit, row.cells[0].last.typed if row.cells[0].last else "") == ("mV", "9.1 mV")
    assert "9.1 mV" in bench.get(at(job)).content.decode()
