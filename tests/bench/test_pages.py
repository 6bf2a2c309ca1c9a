"""The bench's pages as a browser without script sends them: doors, the list, the model file, how much is asked."""

from __future__ import annotations

import datetime as dt
import gzip
import re
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.contrib.messages import get_messages
from django.contrib.staticfiles import finders
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import get_resolver, reverse

from shop.bench import actions, models
from shop.bench.urls import of_a_job
from shop.counter.models import Job, ModelNote, OriginalPart, TestPoint
from shop.counter.stages import Stage
from shop.frame import clock
from tests.bench.page_cases import CONCLUDED, at
from tests.factories.bench import a_meter, on_the_bench, readings
from tests.factories.counter import UnitFactory, booked_in
from tests.factories.premises import StaffFactory

STATIC = Path(settings.BASE_DIR) / "static"


# --- every door ------------------------------------------------------------------------------------------

ARGS: dict[str, list[Any]] = {
    "overrule": ["load-open"],
    "strike": ["finding", 1],
    "mend_stint": [1],
    "photo": [1],
}
ARGS |= {"set_photo_aside": [1], "safety_record": [1]}
ARGS |= {
    "said": [1],
    "chapters": [1],
    "chapters_vtt": [1],
    "talk_stint": [1],
    "talk_began": [1],
    "note_sum": ["esr"],
}
ONLY_READ = {
    "job",
    "judge_reading",
    "judge_evidence",
    "offer_parts",
    "model_file",
    "aside",
    "rows",
    "judge_list",
    "chapters",
    "chapters_vtt",
}
OWN_PAGE = {"overrule", "strike", "mend_stint", "photo", "safety", "reservoir", "limits", "matched_set"}
OWN_PAGE |= {"said", "talks"}
DOORS = [pattern.name for pattern in of_a_job]


@pytest.mark.parametrize("name", DOORS)
def test_every_door_of_a_job_is_shut_to_the_counter_and_to_the_wrong_method(client, job, name: str) -> None:
    address = at(job, name, *ARGS.get(name, []))
    client.force_login(StaffFactory(roles=["counter"]))
    send = client.get if name in ONLY_READ | OWN_PAGE else client.post
    assert send(address).status_code == 403
    client.force_login(StaffFactory(roles=["bench"]))
    wrong = client.post if name in ONLY_READ else client.put if name in OWN_PAGE else client.get
    assert wrong(address).status_code == 405


@pytest.mark.parametrize("name", DOORS)
def test_a_job_that_does_not_exist_has_no_bench_page(bench, name: str) -> None:
    address = reverse(f"bench:{name}", args=["26-9999-X", *ARGS.get(name, [])])
    send = bench.get if name in ONLY_READ | OWN_PAGE else bench.post
    if name != "judge_reading":
        assert send(address).status_code == 404


def test_the_resolver_finds_every_door_of_the_bench() -> None:
    names = {name for name in get_resolver().namespace_dict["bench"][1].reverse_dict if isinstance(name, str)}
    assert set(DOORS) < names


# --- the list --------------------------------------------------------------------------------------------


def test_a_typed_sequence_number_leads_to_its_job(bench, job) -> None:
    answer = bench.get(reverse("bench:bench"), {"number": str(job.sequence)})
    assert (answer.status_code, answer.url) == (302, at(job))


def test_two_years_that_share_a_number_are_both_offered_the_open_job_first(bench, technician, job) -> None:
    last_year = booked_in(by=technician, at=clock.now() - dt.timedelta(days=400))
    assert last_year.sequence == job.sequence
    page = bench.get(reverse("bench:bench"), {"number": str(job.sequence)})
    found = page.context["found"]
    assert [one.number for one in found] == sorted([job.number, last_year.number], reverse=True)


def test_the_bell_rings_on_every_page_of_the_bench(bench, technician, job) -> None:
    other = on_the_bench(technician, unit=UnitFactory(model=job.unit.model))
    conclusion = {"failed": "Relay", "mode": "dirty", "remedy": "New relay.", "outcome": "repaired"}
    actions.conclude(job=other, by=technician, **conclusion)
    began = clock.now() - dt.timedelta(minutes=20)
    actions.start_soak(job=other, planned_seconds=7200, check_every_seconds=1800, by=technician, at=began)
    for address in (reverse("bench:bench"), at(job)):
        page = bench.get(address).content.decode()
        bell = re.search(r'data-bell-in="(\d+)" hidden>', page)
        assert bell is not None
        assert 590 <= int(bell[1]) <= 600
    models.SoakTest.objects.update(check_every_seconds=900)
    for address in (reverse("bench:bench"), at(job)):
        page = bench.get(address).content.decode()
        assert 'data-bell-in="0">' in page
        assert f"Time to check on {other.number}" in page


def test_a_number_that_no_job_has_is_said_so(bench, job) -> None:
    page = bench.get(reverse("bench:bench"), {"number": "8888"})
    assert "No job has the number" in page.content.decode()


def test_the_list_asks_as_little_for_fifty_jobs_as_for_one(
    bench, technician, job, django_assert_num_queries
) -> None:
    address = reverse("bench:bench")
    with CaptureQueriesContext(connection) as first:
        bench.get(address)
    for _ in range(50):
        booked_in(by=technician, unit=UnitFactory(model=job.unit.model))
    with django_assert_num_queries(len(first)):
        bench.get(address)
    assert len(first) < 25


def test_the_tag_leads_the_bench_to_the_bench_and_the_counter_to_the_card(client, job) -> None:
    address = reverse("bench:tag", args=[job.number])
    assert address == f"/t/{job.number}"
    client.force_login(StaffFactory(roles=["bench"]))
    assert client.get(address).url == at(job)
    client.force_login(StaffFactory(roles=["counter"]))
    assert job.number in client.get(address).url
    assert client.get(address).url != at(job)


MOST_WEIGHT = 150_000


def test_the_bench_page_weighs_little_on_its_way(bench, technician, job) -> None:
    a_meter(technician)
    readings(job, technician, *(["11.9 V", "2.9 V", "OL", "581 mV"] * 5))
    for number in range(30):
        actions.add_finding(job=job, text=f"Finding {number}: flux at the motor plug.", by=technician)
    answer = bench.get(at(job), headers={"accept-encoding": "gzip"})
    assert answer["Content-Encoding"] == "gzip"
    page = gzip.decompress(answer.content).decode()
    fetched = set(re.findall(r'(?:href|src)="/static/([^"#]+)', page))
    fetched |= {f"js/bench/{one.name}" for one in (STATIC / "js" / "bench").glob("*.js")}
    fetched = {one for one in fetched if one.endswith((".css", ".js", ".svg", ".woff2"))}
    assert {"css/bench.css", "js/house.js"} <= fetched
    weights = {one: len(gzip.compress(Path(finders.find(one)).read_bytes())) for one in fetched}
    weights["the page"] = len(answer.content)
    assert sum(weights.values()) <= MOST_WEIGHT, weights


# --- how much is asked -----------------------------------------------------------------------------------


def test_the_bench_page_asks_as_little_for_fifty_lines_of_each_kind_as_for_one(
    bench, technician, job, django_assert_num_queries
) -> None:
    def one_more(at: int) -> None:
        readings(job, technician, "11.9 V", "2.9 V", "OL")
        actions.add_finding(job=job, text=f"Finding {at}.", by=technician)
        actions.add_evidence(job=job, kind="date_code", where=f"C{at}", marking="8012", by=technician)
        stint = actions.start_stint(job=job, by=technician)
        actions.stop_stint(stint=stint, by=technician)

    one_more(0)
    actions.conclude(job=job, by=technician, **CONCLUDED)
    with CaptureQueriesContext(connection) as first:
        bench.get(at(job))
    for number in range(1, 17):
        one_more(number)
    with django_assert_num_queries(len(first)):
        bench.get(at(job))
    assert len(first) < 25


def test_even_the_fullest_page_asks_fewer_than_twenty_five_times(bench, technician, job) -> None:
    a_meter(technician)
    readings(job, technician, "11.9 V", "2.9 V", "OL", "580 mV", "412 mV")
    actions.overrule(job=job, rule="load-open", reason="Meter lead was off.", by=technician)
    actions.want_and_await(job=job, by=technician, description="Motor")
    Job.objects.filter(pk=job.pk).update(stage=Stage.ON_THE_BENCH)
    job.refresh_from_db()
    actions.conclude(job=job, by=technician, **CONCLUDED)
    actions.start_stint(job=job, by=technician)
    actions.start_soak(job=job, planned_seconds=3600, by=technician)
    with CaptureQueriesContext(connection) as asked:
        assert bench.get(at(job)).status_code == 200
    assert len(asked) < 25, [one["sql"][:90] for one in asked]


# --- the model file --------------------------------------------------------------------------------------


def learn(client, job, **line) -> str:
    answer = client.post(at(job, "learn"), line, follow=True)
    return str(next(iter(get_messages(answer.wsgi_request)), "")) + answer.content.decode()


def test_a_reading_becomes_a_test_point_with_one_touch(bench, technician, job) -> None:
    new = actions.add_reading(
        job=job, typed="5.02 V", quantity="voltage_dc", where="IC3 pin 8", condition="standby", by=technician
    )
    assert "5.02 V ± 10 %" in learn(bench, job, reading=new.pk)
    point = TestPoint.objects.get(name="IC3 pin 8")
    assert (point.expected, point.condition, point.note) == (
        "5.02 V ± 10 %",
        "standby",
        f"from one reading on {job.number}",
    )
    learn(bench, job, reading=new.pk)
    assert TestPoint.objects.filter(name="IC3 pin 8").count() == 1


def test_a_finding_becomes_a_note_and_a_device_an_original(bench, technician, job) -> None:
    finding = actions.add_finding(
        job=job, text="The belt is 71 mm flat, not 73 as in the parts list.", by=technician
    )
    learn(bench, job, finding=finding.pk)
    assert ModelNote.objects.get().job == job
    device = actions.add_evidence(job=job, kind="device", where="Q705", marking="2SC2240-BL", by=technician)
    learn(bench, job, evidence=device.pk)
    assert OriginalPart.objects.get(position="Q705").designation == "2SC2240-BL"
    page = bench.get(at(job, "model_file")).content.decode()
    assert "71 mm flat" in page
    assert "2SC2240-BL" in page


def test_what_tells_nothing_of_the_model_is_refused(bench, technician, job) -> None:
    readings(job, technician, "11.9 V")
    assert "stands in the model file already" in learn(bench, job, reading=models.Reading.objects.get().pk)
    assert "Choose a line" in learn(bench, job, reading="1; drop")
    assert "Choose a line" in learn(bench, job)
    assert "not of this job" in learn(bench, job, finding=99_999)
