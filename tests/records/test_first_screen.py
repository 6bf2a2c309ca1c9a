"""The first screen: what is in the shop, by whose move it is, the longest waiting first."""

from __future__ import annotations

import datetime as dt

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shop.bench import actions as bench
from shop.counter import actions as counter
from shop.counter.actions import Intake, UnitDescribed
from shop.frame import clock
from shop.frame.models import Role, Staff
from shop.records.first_screen import first_screen
from shop.records.setting_up import still_missing
from tests.factories.counter import CustomerFactory, booked_in
from tests.factories.office import rates, tax
from tests.factories.premises import StaffFactory
from tests.factories.records import past_job
from tests.pages import words_on

pytestmark = pytest.mark.django_db
MONDAY = dt.datetime(2026, 6, 1, 9, tzinfo=dt.UTC)


def test_open_jobs_stand_by_mover_and_the_longest_waiting_first() -> None:
    late, early = (booked_in(complaint="Hum", at=MONDAY + dt.timedelta(days=at)) for at in (2, 1))
    on_bench = booked_in(complaint="Dead", at=MONDAY - dt.timedelta(days=9))
    bench.take_to_bench(job=on_bench, by=on_bench.accepted_by, at=MONDAY + dt.timedelta(days=3))
    past_job(complaint="long gone")
    counter.announce(
        customer=CustomerFactory(),
        intakes=[Intake(unit=UnitDescribed(maker="Fenwick", model="R-1"), complaint="Hum")],
        by=on_bench.accepted_by,
    )
    groups = {group.mover.value: group for group in first_screen(StaffFactory()).groups}
    assert [row.job for row in groups["bench"].rows] == [early, late, on_bench]
    assert groups["carrier"].count == 1
    assert groups["customer"].count == 0


def test_the_next_step_is_offered_to_whoever_may_take_it() -> None:
    booked_in()
    for roles, words in (([Role.BENCH], "Start work"), ([Role.COUNTER], None)):
        (row,) = first_screen(StaffFactory(roles=roles)).groups[0].rows
        assert (row.next_step[1] if row.next_step else None) == words


def test_a_promise_that_passed_is_counted_and_said(client: Client) -> None:
    with time_machine.travel(MONDAY, tick=False):
        job = booked_in()
        bench.take_to_bench(job=job, by=job.accepted_by)
        bench.conclude(
            job=job, failed="Belt", mode="worn", remedy="New belt", outcome="repaired", by=job.accepted_by
        )
        counter.promise(job=job, promised_for=clock.today() - dt.timedelta(days=3), by=job.accepted_by)
        client.force_login(StaffFactory())
        page = words_on(client.get(reverse("records:first_screen")))
    assert "1 past its promise" in page
    assert "promised Fri, May 29" in page


def test_an_empty_shop_says_what_to_do_first(client: Client) -> None:
    client.force_login(StaffFactory())
    page = client.get(reverse("records:first_screen")).content.decode()
    assert "Nothing is in the shop yet" in page
    assert reverse("counter:book_in") in page


def test_the_running_clock_leads_back_to_its_job(client: Client) -> None:
    job = booked_in()
    bench.take_to_bench(job=job, by=job.accepted_by)
    bench.start_stint(job=job, kind="diagnosis", by=job.accepted_by)
    client.force_login(job.accepted_by)
    page = client.get(reverse("records:first_screen")).content.decode()
    assert "Your clock runs" in page
    assert reverse("bench:job", args=[job.number]) in page


def test_first_screen_and_lists_ask_the_same_number_of_queries_for_one_job_and_for_fifty(
    client: Client,
) -> None:
    client.force_login(StaffFactory())
    booked_in()
    counts: dict[str, list[int]] = {}
    for _ in range(2):
        for address in ("/", "/jobs/", "/jobs/?move=bench"):
            with CaptureQueriesContext(connection) as asked:
                assert client.get(address).status_code == 200
            counts.setdefault(address, []).append(len(asked))
        for _ in range(51):
            booked_in()
    for address, (one, fifty) in counts.items():
        assert one == fifty < 25, address


def test_a_list_of_all_jobs_pages_by_key_both_ways(client: Client) -> None:
    client.force_login(StaffFactory())
    numbers = [booked_in(at=MONDAY + dt.timedelta(hours=at)).number for at in range(55)][::-1]
    first = client.get("/jobs/")
    assert [job.number for job in first.context["page"].jobs] == numbers[:50]
    second = client.get("/jobs/" + first.context["older"])
    assert [job.number for job in second.context["page"].jobs] == numbers[50:]
    back = client.get("/jobs/" + second.context["newer"])
    assert [job.number for job in back.context["page"].jobs] == numbers[:50]
    waiting = client.get("/jobs/?move=bench")
    assert [job.number for job in waiting.context["page"].jobs] == numbers[::-1][:50]
    rest = client.get("/jobs/" + waiting.context["older"])
    assert [job.number for job in rest.context["page"].jobs] == numbers[::-1][50:]


@pytest.mark.parametrize(
    "query",
    [
        "move=nobody",
        "move=x",
        "from=9",
        "from=x.y",
        "before=x",
        "after=-1",
        "year=0",
        "model=٣",
        f"from={10**30}.1",
    ],
)
def test_an_address_that_makes_no_sense_is_answered_all_the_same(client: Client, query: str) -> None:
    client.force_login(StaffFactory())
    assert client.get(f"/jobs/?move=bench&{query}").status_code == 200
    assert client.get(f"/jobs/?{query}").status_code == 200
    assert client.get(f"/search/?{query}").status_code == 200


def test_nobody_sees_the_shop_without_signing_in(client: Client) -> None:
    for name in ("records:first_screen", "records:search", "records:jobs", "records:synonyms"):
        answer = client.get(reverse(name))
        assert answer.status_code == 302
        assert answer["Location"].startswith(reverse("premises:sign_in"))


def test_a_new_shop_is_told_what_is_missing_until_everything_is_there(client: Client) -> None:
    owner = StaffFactory(roles=[Role.OWNER])
    client.force_login(owner)
    page = words_on(client.get("/"))
    assert "Until then hours cost nothing." in page
    assert f'href="{reverse("counter:book_in")}?expected"' in page
    rates()
    assert "Taxes" in [one.what for one in still_missing(owner)]
    tax("19")
    assert "Before the first estimate" not in words_on(client.get("/"))
    assert "Terms" in [one.what for one in still_missing(owner)]
    for one in still_missing(owner):
        assert one.may_do_without, f"papers need it: {one.what}"
        client.post(reverse("records:news_seen"), {"key": one.may_do_without})
    assert still_missing(Staff.objects.get(pk=owner.pk)) == []


def test_from_the_set_up_card_one_comes_back_to_it(client: Client) -> None:
    client.force_login(StaffFactory(roles=[Role.OWNER]))
    (address,) = [
        one.address for one in still_missing(StaffFactory(roles=[Role.OWNER])) if one.what == "Terms"
    ]
    assert 'name="back" value="/"' in client.get(address).content.decode()
    typed = {"from_date": clock.today().isoformat(), "text": "Thirty days.", "back": "/"}
    assert client.post(reverse("premises:terms"), typed)["Location"] == "/"
    for elsewhere in ("//other.example/", "/\\other.example", "x"):
        answer = client.post(reverse("premises:terms"), typed | {"text": elsewhere, "back": elsewhere})
        assert answer.get("Location", "/premises/terms/").startswith("/premises/terms/")


def test_what_is_missing_is_the_owners_affair() -> None:
    assert still_missing(StaffFactory(roles=[Role.COUNTER])) == []
