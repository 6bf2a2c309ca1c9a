"""Jobs like a job, each with why; and the one line at the counter, which is silent where it rests on too little."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from shop.bench.models import Reading
from shop.counter.models import Job, Kind
from shop.records.alike import jobs_like
from shop.records.remedies import advice_for
from shop.records.usually import usual_of
from tests.factories.counter import UnitModelFactory
from tests.factories.premises import StaffFactory
from tests.factories.records import day, past_job
from tests.pages import words_on

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]


def low_at_the_relay(job: Job) -> None:
    Reading.objects.create(
        job=job,
        typed="8",
        quantity="voltage",
        value="8",
        unit="V",
        where="relay coil",
        verdict="low",
        by=None,
    )


def test_the_units_own_jobs_come_first_then_like_readings_then_like_words(client: Client) -> None:
    receiver = UnitModelFactory(kind=Kind.RECEIVER)
    asking = past_job(complaint="Left channel hums when warm", model=receiver, at=day(20), home=False)
    mine = past_job(complaint="Dial lamp dark", unit=asking.unit, at=day(2))
    read = past_job(complaint="Protection clicks", model=receiver, at=day(3))
    low_at_the_relay(asking)
    low_at_the_relay(read)
    said = past_job(complaint="Hum left channel", failed="Filter capacitor", model=receiver, at=day(4))
    past_job(complaint="Keys stick", model=UnitModelFactory(kind=Kind.SYNTHESIZER), at=day(5))
    found = jobs_like(asking)
    assert [(one.job, one.why) for one in found] == [
        (mine, "this very unit"),
        (read, "this model with such a reading"),
        (said, "this model"),
    ]
    assert found[2].said == ("left channel", "hums")
    assert found[2].concluded == "Filter capacitor: replaced"
    client.force_login(StaffFactory())
    page = words_on(client.get(reverse("records:like_it", args=[asking.number])))
    assert "This model; both say left channel, hums" in page
    assert "Jobs like this one" in words_on(client.get(reverse("records:job_card", args=[asking.number])))
    alone = past_job(complaint="zz", model=UnitModelFactory(kind=Kind.OTHER))
    assert "None is known" in words_on(client.get(reverse("records:like_it", args=[alone.number])))


def test_the_counter_is_told_in_one_line_what_it_usually_is_and_nothing_below_five_jobs() -> None:
    deck = UnitModelFactory(kind=Kind.TURNTABLE)
    for number in range(4):
        past_job(
            complaint="Belt slips",
            failed="Drive belt",
            mode="hardened",
            hours=1.5,
            model=deck,
            at=day(2 + number),
        )
    assert usual_of(advice_for(deck, "belt slips again")) is None
    past_job(complaint="Belt slips", failed="Motor", mode="worn", hours=3, model=deck, at=day(9))
    usual = usual_of(advice_for(deck, "belt slips again"))
    assert usual is not None
    assert (usual.what, usual.hits, usual.tries) == (
        "Drive belt, hardened grease or rubber",
        4,
        5,
    )
    assert (usual.hours, usual.charged_minor) == (5400, None)  # 1.5 hours in the middle; nothing was invoiced


def test_nothing_is_usual_where_every_like_job_had_something_else() -> None:
    deck = UnitModelFactory(kind=Kind.TURNTABLE)
    for number, failed in enumerate(("Belt", "Motor", "Stylus", "Plinth", "Lamp", "Switch")):
        past_job(complaint="No rotation", failed=failed, model=deck, at=day(2 + number))
    assert usual_of(advice_for(deck, "no rotation")) is None
