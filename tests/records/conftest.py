"""Histories that the tests of several files ask."""

from __future__ import annotations

import pytest

from shop.bench.models import Finding
from shop.counter.models import Customer, Job, Kind
from shop.keeping.models import Message
from shop.scenes.walkthrough import walk_through
from shop.window import actions as window
from tests.factories.counter import CustomerFactory, MakerFactory, UnitModelFactory
from tests.factories.records import day, past_job


@pytest.fixture
def named_job(db: None) -> Job:
    """A job that went the whole way; its customer wrote, and is named in its texts."""
    job = walk_through().job
    customer = job.customer
    Customer.objects.filter(pk=customer.pk).update(email="odalys@example.com", note="Knocks twice")
    customer.refresh_from_db()
    surname = customer.name.split()[-1]
    Job.objects.filter(pk=job.pk).update(complaint=f"{surname}’s synth drifts, ring 555-555-0166")
    Finding.objects.create(
        job=job, text=f"{surname} says that it was dropped. C101 leaky.", by=job.accepted_by
    )
    Message.objects.create(to="Odalys@example.com", subject="Ready", body="It is ready.")
    window.open_window(job=job, by=None)
    window.say_word(job=job, text="I live behind the mill")
    job.refresh_from_db()
    return job


@pytest.fixture
def history(db: None) -> dict[str, Job]:
    """Seven jobs; their names say what is remarkable about each."""

    receiver = UnitModelFactory(name="VX-318", maker=MakerFactory(name="Brackwater"), kind=Kind.RECEIVER)
    deck = UnitModelFactory(name="TT-9", maker=MakerFactory(name="Kestrel & Vane"), kind=Kind.TURNTABLE)
    synth = UnitModelFactory(name="Nightjar 4", maker=MakerFactory(name="Ostrander"), kind=Kind.SYNTHESIZER)
    osei = CustomerFactory(regular=True)
    return {
        "relay": past_job(
            complaint="No sound from the left channel",
            findings=["RY701 contacts black"],
            failed="Speaker relay",
            mode="dirty",
            at=day(2),
            model=receiver,
            serial="A0482137",
            owner=osei,
        ),
        "caps": past_job(
            complaint="Hum in both channels",
            failed="Filter capacitors",
            mode="leaky",
            parts=["Capacitor 4.7µF 63V"],
            at=day(3),
            model=receiver,
        ),
        "stamp": past_job(
            complaint="Distorted when hot", marking="2SC1815-GR 8-14-79", at=day(4), model=receiver
        ),
        "belt": past_job(
            complaint="Speed wavers", failed="Drive belt", mode="hardened", at=day(5), model=deck
        ),
        "pot": past_job(complaint="Crackles when the volume is turned", at=day(6), model=deck),
        "keys": past_job(complaint="Two keys dead, drifts", at=day(7), model=synth),
        "open": past_job(complaint="Blows fuses at C-101", at=day(8), model=synth, home=False),
    }
