"""What was written down wrong at the counter, and is put right."""

from __future__ import annotations

import uuid

import pytest
from django.urls import reverse

from shop.counter.models import Job, Unit, UnitModel
from shop.frame.journal import verify
from shop.frame.models import JournalEntry
from tests.factories.counter import booked_in
from tests.factories.premises import ShopProfileFactory, StaffFactory


@pytest.fixture
def counter(client, db):
    ShopProfileFactory()
    client.force_login(StaffFactory(roles=["counter"]))
    return client


def as_written(job: Job, **changes: str) -> dict[str, str]:
    """The form as it is sent when nothing but `changes` was typed."""
    unit = job.unit
    form = {
        "once": str(uuid.uuid4()),
        "maker": unit.model.maker.name,
        "model": unit.model.name,
        "kind": unit.model.kind,
        "serial": unit.serial,
        "mains": "on" if unit.mains else "",
        "line_voltage": str(unit.line_voltage or ""),
        "protection_class": unit.protection_class,
        "complaint": job.complaint,
        "condition": job.condition,
        "agreed_value": "",
        "limit": "",
        "bench_fee": "",
        "wants_parts_back": "",
    }
    return form | changes


def put_right(client, job: Job, **changes: str):
    return client.post(reverse("counter:put_right", args=[job.number]), as_written(job, **changes))


def test_serial_number_and_class_are_read_off_the_back_later(counter) -> None:
    job = booked_in()
    answer = put_right(counter, job, serial="A40 118 208", protection_class="I", complaint="Hums.")
    assert answer.url == reverse("counter:job", args=[job.number])
    unit = Unit.objects.get(pk=job.unit_id)
    job.refresh_from_db()
    assert (unit.serial, unit.protection_class, job.complaint) == ("A40 118 208", "I", "Hums.")
    assert unit.serial_folded == "a40118208"
    assert verify() == []


def test_what_stays_as_it_was_is_not_told_in_the_journal(counter) -> None:
    job = booked_in()
    before = JournalEntry.objects.count()
    assert put_right(counter, job).status_code == 303
    assert JournalEntry.objects.count() == before


def test_the_right_model_is_found_or_written_down_and_the_wrong_one_stays_for_others(counter) -> None:
    job = booked_in()
    wrong = job.unit.model
    put_right(counter, job, model="TD 40")
    job.refresh_from_db()
    assert Unit.objects.get(pk=job.unit_id).model.name == "TD 40"
    assert UnitModel.objects.filter(pk=wrong.pk).exists()


def test_a_sum_agreed_on_is_put_right_until_the_work_begins(counter) -> None:
    job = booked_in()
    assert put_right(counter, job, limit="250").status_code == 303
    job.refresh_from_db()
    assert job.limit_minor == 25_000
    Job.objects.filter(pk=job.pk).update(stage="on_the_bench")
    job.refresh_from_db()
    page = counter.get(reverse("counter:put_right", args=[job.number])).content.decode()
    assert "recorded in the office" in page
    put_right(counter, job, limit="900")
    job.refresh_from_db()
    assert job.limit_minor == 25_000


def test_a_unit_without_a_maker_is_refused_and_nothing_is_changed(counter) -> None:
    job = booked_in()
    answer = put_right(counter, job, maker=" ", serial="other")
    assert answer.status_code == 422
    assert "Say who made it; “unknown” will do." in answer.content.decode()
    assert Unit.objects.get(pk=job.unit_id).serial == job.unit.serial


def test_what_was_written_of_a_job_that_went_home_stays(counter) -> None:
    job = booked_in()
    Job.objects.filter(pk=job.pk).update(stage="called_off")
    answer = put_right(counter, job, complaint="Something else.")
    assert answer.status_code == 422
    assert "This job has ended" in answer.content.decode()
    assert Job.objects.get(pk=job.pk).complaint == job.complaint


def test_the_bench_puts_right_what_it_reads_off_the_back(client, db) -> None:
    ShopProfileFactory()
    client.force_login(StaffFactory(roles=["bench"]))
    job = booked_in()
    answer = put_right(client, job, protection_class="I")
    assert answer.url == reverse("records:job_card", args=[job.number])
    assert Unit.objects.get(pk=job.unit_id).protection_class == "I"
