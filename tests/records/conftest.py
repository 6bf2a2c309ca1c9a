"""A job whose customer has left their name everywhere."""

from __future__ import annotations

import pytest

from shop.bench.models import Finding
from shop.counter.models import Customer, Job
from shop.premises.models import Message
from shop.scenes.walkthrough import walk_through
from shop.window import actions as window


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
