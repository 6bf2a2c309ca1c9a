"""The job card: everything about one job on one page, in a fixed number of queries."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shop.bench.models import Evidence, Finding, Reading
from shop.counter.models import Job
from shop.frame.models import Role, Staff
from shop.records.card import JobCard
from shop.scenes.walkthrough import walk_through
from tests.factories.counter import booked_in
from tests.factories.premises import StaffFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def walked() -> Job:
    """A job that went the whole way, with its papers."""
    return walk_through().job


def test_the_card_of_a_job_that_went_the_whole_way_says_everything(client: Client, walked: Job) -> None:
    client.force_login(Staff.objects.get())
    page = client.get(reverse("records:job_card", args=[walked.number])).content.decode()
    for heading in (
        *("Complaint", "Unit", "Conclusion", "Findings", "Readings", "Evidence of earlier work"),
        *("Soak test and safety", "Bench time", "Parts", "Money", "Going home", "Papers", "Journal"),
    ):
        assert f">{heading}</h2>" in page, heading
    card = JobCard(walked)
    for reading in Reading.objects.filter(job=walked):
        assert reading.typed in page
    for finding in Finding.objects.filter(job=walked):
        assert finding.text.split(".")[0] in page
    assert card.balance.minor == 0
    assert {tested.of.outcome for tested in card.safety_checks} == {"passed"}
    assert card.safety_checks[0].lines
    assert card.soaks[0].lines
    assert [one.kind for one in card.ways_home] == ["parcel"]
    for filed in card.papers:
        assert reverse("premises:paper", args=[filed.paper_id]) in page


def test_the_journal_is_told_in_words_and_no_verb_is_left_raw(client: Client, walked: Job) -> None:
    told = [one.sentence for one in JobCard(walked).journal]
    assert "Moved it from booked in to on the bench" in told
    assert "Booked it in, carried in" in told
    raw = [sentence for sentence in told if ": " in sentence and sentence.split(":")[0].islower()]
    assert raw == []
    assert not [sentence for sentence in told if "(" in sentence], told


def test_the_fullest_card_stays_under_twenty_five_queries_and_lines_add_none(
    client: Client, walked: Job
) -> None:
    client.force_login(Staff.objects.get())
    address = reverse("records:job_card", args=[walked.number])
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as asked:
            assert client.get(address).status_code == 200
        counts.append(len(asked))
        Finding.objects.bulk_create(Finding(job=walked, text=f"More {at}") for at in range(50))
        Evidence.objects.bulk_create(Evidence(job=walked, kind="other", where=f"C{at}") for at in range(50))
    assert counts[0] == counts[1] < 25


def test_a_struck_line_stays_in_sight_with_its_reason(client: Client) -> None:
    job = booked_in()
    Finding.objects.create(
        job=job, text="Fuse F2 open", struck_at=job.booked_in_at, struck_reason="wrong unit"
    )
    client.force_login(StaffFactory())
    page = client.get(reverse("records:job_card", args=[job.number])).content.decode()
    assert "Fuse F2 open" in page
    assert "struck out: wrong unit" in page


def test_the_tabs_of_a_job_lead_where_the_persons_roles_reach(client: Client) -> None:
    job = booked_in()
    for role, seen, unseen in (
        (Role.BENCH, "bench:job", "office:job"),
        (Role.COUNTER, "office:job", "bench:job"),
    ):
        client.force_login(StaffFactory(roles=[role]))
        page = client.get(reverse("records:job_card", args=[job.number])).content.decode()
        assert reverse(seen, args=[job.number]) in page
        assert reverse(unseen, args=[job.number]) not in page


def test_a_number_typed_in_small_letters_is_found_and_an_unknown_one_is_not(client: Client) -> None:
    client.force_login(StaffFactory())
    job = booked_in()
    assert client.get(f"/jobs/{job.number.lower()}/").status_code == 200
    assert client.get("/jobs/99-9999-9/").status_code == 404
