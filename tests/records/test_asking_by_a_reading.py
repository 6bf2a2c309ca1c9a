"""A question that names a place and what was read there finds the jobs that read so."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from shop.bench.models import Reading
from shop.counter.models import Job
from shop.records.searching.by_reading import jobs_reading_so, parts_of
from shop.records.searching.upkeep import refresh
from tests.factories.premises import StaffFactory
from tests.factories.records import day, past_job
from tests.pages import words_on

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]


def read_on(job: Job, where: str, typed: str, value: str | None, verdict: str = "", unit: str = "V") -> None:
    Reading.objects.create(
        job=job,
        typed=typed,
        quantity="voltage_dc" if unit == "V" else "resistance",
        value=value,
        over_range=value is None,
        unit=unit,
        where=where,
        verdict=verdict,
    )
    refresh([job.pk])


@pytest.fixture
def jobs() -> dict[str, Job]:
    relay = past_job(complaint="Never clicks", at=day(2))
    read_on(relay, "relay supply", "24.1", "24.1")
    read_on(relay, "RY701 coil", "OL", None, "open", "Ω")
    rail = past_job(complaint="Dead display", at=day(3))
    read_on(rail, "12 V rail", "8.1", "8.1", "low")
    fine = past_job(complaint="Hum", at=day(4))
    read_on(fine, "12 V rail", "12.1", "12.1", "within")
    read_on(fine, "relay supply", "11.9", "11.9")
    return {"relay": relay, "rail": rail, "fine": fine}


@pytest.mark.parametrize(
    "typed, wanted",
    [
        ("24 V at the relay", ["relay"]),
        ("relay 23V", ["relay"]),
        ("coil open, 24 V at the relay", ["relay"]),
        ("12 V rail low", ["rail"]),
        ("rail 8 V", ["rail"]),
        ("12V at the relay", ["fine"]),
        ("12 V rail", ["fine", "rail"]),
        ("coil short", []),
        ("2 MHz at the relay", []),
    ],
)
def test_jobs_are_found_by_what_was_read_at_a_place(
    jobs: dict[str, Job], typed: str, wanted: list[str]
) -> None:
    names = {job.pk: name for name, job in jobs.items()}
    assert [names[one.job.pk] for one in jobs_reading_so(typed)] == wanted


def test_what_asks_for_no_reading_costs_nothing() -> None:
    for typed in ("", "no sound", "24 V", "open", "2SC1815 vx-318 4u7", "1e9999 V at the relay" * 40):
        assert all(part.place and (part.value or part.verdict) for part in parts_of(typed))
    assert parts_of("no sound from the left channel") == []
    assert parts_of("24 V") == []


def test_the_search_page_shows_the_readings(jobs: dict[str, Job], client: Client) -> None:
    client.force_login(StaffFactory())
    page = words_on(client.get(reverse("records:search"), {"q": "coil open, 24 V at the relay"}))
    assert "Jobs that read so" in page
    assert "RY701 coil: OL" in page
