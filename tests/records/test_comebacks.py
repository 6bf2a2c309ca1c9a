"""A comeback is found by itself, said at the counter, worked on under warranty, and counted."""

from __future__ import annotations

import datetime as dt

import pytest
from django.test import Client
from django.urls import reverse

from shop.counter.models import Job
from shop.frame.models import JournalEntry, Role
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.records import actions
from shop.records.comebacks import likely_comeback
from shop.records.figures import Figures
from shop.records.searching.answering import Asking, ask
from shop.records.searching.question import Filters
from tests.factories.counter import UnitFactory, booked_in
from tests.factories.premises import StaffFactory
from tests.factories.records import past_job
from tests.pages import words_on

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]
CAME = dt.datetime(2026, 3, 2, 18, tzinfo=dt.UTC)
HOME = CAME + dt.timedelta(days=5)


@pytest.fixture
def earlier() -> Job:
    """A repair that went home on the seventh of March; the warranty is ninety days."""
    return past_job(complaint="No sound from the left channel", failed="Relay", at=CAME, days=5)


def back(earlier: Job, complaint: str, *, after: int) -> Job:
    return booked_in(complaint=complaint, unit=earlier.unit, at=HOME + dt.timedelta(days=after))


def test_the_same_unit_with_a_like_complaint_inside_the_warranty_is_found(earlier: Job) -> None:
    job = back(earlier, "Left channel is dead again", after=20)
    likely = likely_comeback(job.unit, job.complaint, job=job)
    assert likely is not None
    assert (likely.earlier, likely.days_home) == (earlier, 20)
    assert likely.warranty_until == HOME.date() + dt.timedelta(days=the_profile().warranty_days)


@pytest.mark.parametrize("after, found", [(0, True), (90, True), (91, False), (400, False)])
def test_the_last_day_of_the_warranty_counts_and_the_day_after_does_not(
    earlier: Job, after: int, found: bool
) -> None:
    job = back(earlier, "no sound left channel", after=after)
    assert (likely_comeback(job.unit, job.complaint, job=job) is not None) is found


def test_another_complaint_another_unit_and_a_job_that_was_not_repaired_are_no_comebacks(
    earlier: Job,
) -> None:
    other_fault = back(earlier, "Dial lamp out, tuning cord slips", after=10)
    assert likely_comeback(other_fault.unit, other_fault.complaint, job=other_fault) is None
    twin = booked_in(
        complaint=earlier.complaint,
        unit=UnitFactory(model=earlier.unit.model),
        at=HOME + dt.timedelta(days=3),
    )
    assert likely_comeback(twin.unit, twin.complaint, job=twin) is None
    declined = past_job(complaint="Hum", outcome="declined", at=CAME, days=5)
    again = back(declined, "Hum", after=3)
    assert likely_comeback(again.unit, again.complaint, job=again) is None


def test_it_is_said_while_booking_in_and_afterwards_and_one_tap_notes_it(
    client: Client, earlier: Job
) -> None:
    staff = StaffFactory(roles=[Role.COUNTER])
    client.force_login(staff)
    job = back(earlier, "Left channel dead", after=20)
    page = client.get(reverse("counter:booked"), {"job": job.number}).content.decode()
    assert "may be a comeback of" in page
    address = reverse("records:note_comeback", args=[job.number, earlier.number])
    assert address in page
    assert client.post(address).status_code == 303
    job.refresh_from_db()
    assert job.comeback_of == earlier
    assert JournalEntry.objects.filter(verb="job.comeback_noted").count() == 1
    assert "Comeback of" in client.get(reverse("counter:job", args=[job.number])).content.decode()


def test_a_unit_chosen_from_the_customers_own_says_what_came_before_once_the_complaint_is_typed(
    client: Client, earlier: Job
) -> None:
    client.force_login(StaffFactory(roles=[Role.COUNTER]))
    address = reverse("counter:recognise", args=[earlier.customer_id])
    chosen = {"unit": "0", "u0-known": str(earlier.unit_id)}
    before = words_on(client.get(address, chosen))
    assert earlier.number in before
    assert "comeback" not in before
    said = words_on(client.get(address, chosen | {"u0-complaint": earlier.complaint}))
    assert "Earlier jobs of this unit" in said
    assert words_on(client.get(address, {"unit": "0", "u0-known": "9" * 18})).strip() == ""


def test_a_noted_comeback_is_offered_under_warranty_at_the_bench(client: Client, earlier: Job) -> None:
    job = back(earlier, "Left channel dead", after=20)
    client.force_login(StaffFactory(roles=[Role.BENCH]))
    address = reverse("bench:job", args=[job.number])
    plain = client.get(address).content.decode()
    actions.note_comeback(job=job, earlier=earlier, by=job.accepted_by)
    noted = client.get(address).content.decode()
    assert 'name="under_warranty"' in noted
    assert noted.count("checked") > plain.count("checked")


def test_comebacks_are_counted_and_can_be_searched_for(earlier: Job) -> None:
    job = back(earlier, "Left channel dead", after=20)
    actions.note_comeback(job=job, earlier=earlier, by=job.accepted_by)
    assert (Figures(2026).comebacks.hits, Figures(2026).comebacks.tries) == (1, 2)
    assert [hit.job for hit in ask(Asking(filters=Filters(comeback=True))).hits] == [job]
    actions.withdraw_comeback(job=job, by=job.accepted_by)
    assert Figures(2026).comebacks.hits == 0
    assert not ask(Asking(filters=Filters(comeback=True))).hits


def test_only_an_earlier_job_of_the_same_unit_can_be_come_back_from(earlier: Job) -> None:
    job = back(earlier, "Left channel dead", after=20)
    stranger = past_job(complaint="Hum")
    for wrong in (stranger, job):
        with pytest.raises(Refusal):
            actions.note_comeback(job=job, earlier=wrong, by=job.accepted_by)
    with pytest.raises(Refusal):
        actions.note_comeback(job=earlier, earlier=job, by=job.accepted_by)
