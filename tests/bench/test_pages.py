"""The bench's pages as a browser without script and a tablet's outbox send them."""

from __future__ import annotations

import datetime as dt
import gzip
import re
import uuid
from pathlib import Path
from urllib.parse import unquote

import pytest
from django.conf import settings
from django.contrib.messages import get_messages
from django.contrib.staticfiles import finders
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import get_resolver, reverse

from shop.bench import actions, models
from shop.bench.page import WRITTEN_BY
from shop.bench.urls import of_a_job
from shop.counter.actions import Intake, announce
from shop.counter.models import Job, ModelNote, OriginalPart, TestPoint
from shop.counter.stages import Stage
from shop.premises import clock
from shop.premises.journal import verify
from shop.stockroom.models import PartFitted, PartWanted
from tests.bench.test_judging import jpeg
from tests.factories.bench import a_meter, on_the_bench, readings
from tests.factories.counter import UnitFactory, booked_in
from tests.factories.premises import StaffFactory

STATIC = Path(settings.BASE_DIR) / "static"


def at(job, name: str = "job", *args) -> str:
    return reverse(f"bench:{name}", args=[job.number, *args])


def post(client, job, name: str, *args, entry: str = "", **typed):
    headers = {"x-bench-entry": entry} if entry else {}
    return client.post(at(job, name, *args), {"once": entry or str(uuid.uuid4()), **typed}, headers=headers)


# --- every door ------------------------------------------------------------------------------------------

ARGS = {"overrule": ["load-open"], "strike": ["finding", 1], "mend_stint": [1], "photo": [1]}
ARGS |= {"set_photo_aside": [1], "safety_record": [1]}
ONLY_READ = {"job", "judge_reading", "judge_evidence", "offer_parts", "model_file", "aside"}
OWN_PAGE = {"overrule", "strike", "mend_stint", "photo", "safety", "reservoir", "limits", "matched_set"}
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
        assert f"Time to look at {other.number}" in page


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


# --- writing ---------------------------------------------------------------------------------------------

BELT = {"drawer": "Belt, flat, 71 mm", "quantity": "1", "unit_price": "6.50"}
CONCLUDED = {"failed": "Capstan motor", "mode": "worn", "remedy": "New motor.", "outcome": "repaired"}


def test_what_is_found_measured_and_done_is_written_down_with_its_moment_and_its_person(
    bench, technician, job
) -> None:
    point = job.unit.model.test_points.get(name="TP4")
    post(bench, job, "finding", text="Belt shiny and 1 mm too long.")
    post(bench, job, "reading", test_point=point.pk, typed="10.2 V")
    post(bench, job, "evidence", kind="date_code", where="Q702", marking="9148")
    post(bench, job, "part", **BELT)
    reading = models.Reading.objects.get()
    assert (reading.verdict, reading.where, reading.expected, reading.role) == (
        "low",
        point.where,
        point.expected,
        "rail",
    )
    trace = models.Evidence.objects.get()
    assert (trace.judgement, trace.by) == ("later", technician)
    assert "fitted later" in trace.argument
    assert PartFitted.objects.get().unit_price_ten_thousandths == 65_000
    page = bench.get(at(job)).content.decode()
    for words in ("Belt shiny", "10.2 V", "9148", "Belt, flat", "fitted later"):
        assert words in page
    assert verify() == []


@pytest.mark.parametrize(
    "door, typed, sentence",
    [
        ("finding", {"text": "   "}, "Say what was found."),
        ("finding", {"text": "x" * 8001}, "characters"),
        ("reading", {"typed": "4k7x", "quantity": "resistance", "where": "R1"}, "can&#x27;t be read"),
        ("reading", {"typed": "1e309", "quantity": "voltage_dc", "where": "R1"}, "field-error"),
        ("reading", {"typed": "12 V", "quantity": "voltage_dc"}, "Say where it was measured"),
        ("reading", {"typed": "12 V", "where": "TP4"}, "Choose what was measured."),
        (
            "reading",
            {"typed": "12 V", "quantity": "voltage_dc", "where": "TP4", "expected": "12"},
            "How far off",
        ),
        (
            "reading",
            {"typed": "12 V", "quantity": "weight", "where": "TP4"},
            "Choose one of those that are offered",
        ),
        ("evidence", {"kind": "date_code", "where": "Q1", "marking": "9960"}, "can&#x27;t be read as a date"),
        ("evidence", {"kind": "date_code", "marking": "9148"}, "Say where it was found."),
        ("evidence", {"kind": "rework", "where": "Power board"}, "Copy the marking, or say what was seen."),
        ("part", {"quantity": "1"}, "Say which part"),
        ("part", {"drawer": "Belt", "quantity": "-2"}, "quantity"),
        ("part", {"drawer": "Belt", "unit_price": "-1"}, "be negative"),
        ("want", {}, "Say which part"),
        (
            "conclusion",
            {"mode": "worn", "remedy": "New motor", "outcome": "repaired"},
            "Say what had failed.",
        ),
        ("conclusion", {"failed": "Motor", "mode": "worn", "outcome": "repaired"}, "Say what put it right"),
        ("photos", {}, "Take or choose a photograph first."),
        ("soak", {"hours": "0", "check_every": "30"}, "six minutes at least"),
        ("soak", {"hours": "4", "check_every": "30"}, "State first what had failed"),
        ("ready", {}, "State the conclusion first"),
    ],
)
def test_a_wrong_form_gets_one_sentence_keeps_what_was_typed_and_writes_nothing(
    bench, job, door: str, typed: dict[str, str], sentence: str
) -> None:
    before = everything_written(job)
    answer = post(bench, job, door, **typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page
    assert everything_written(job) == before
    for value in typed.values():
        if value.strip() and len(value) < 100 and value != "weight":
            assert value in page


def everything_written(job) -> list[int]:
    job.refresh_from_db()
    tables = [*models.Written.__subclasses__(), PartFitted, PartWanted]
    return [job.stage, *(table.objects.count() for table in tables)]


def test_a_file_that_is_no_picture_is_refused_in_one_sentence(bench, job) -> None:
    upload = SimpleUploadedFile("belt.jpg", b"no picture at all", "image/jpeg")
    answer = bench.post(at(job, "photos"), {"photos": upload, "caption": "The belt"})
    assert answer.status_code == 422
    assert "is not a picture" in answer.content.decode()
    assert "The belt" in answer.content.decode()
    assert job.pictures.count() == 0


def test_a_form_that_is_sent_twice_is_taken_once(bench, job) -> None:
    once = str(uuid.uuid4())
    for _ in range(3):
        assert bench.post(at(job, "finding"), {"once": once, "text": "Dry joint at R312."}).status_code == 302
    assert models.Finding.objects.count() == 1


def test_what_a_tablet_sends_late_keeps_the_moment_at_which_it_was_noted(bench, job) -> None:
    Job.objects.filter(pk=job.pk).update(booked_in_at=clock.now() - dt.timedelta(days=2))
    entry = str(uuid.uuid4())
    answer = post(
        bench, job, "finding", entry=entry, text="Noted in the cellar.", noted=milliseconds(hours=-1)
    )
    assert (answer.status_code, answer["X-Bench-Entry"]) == (200, entry)
    noted = models.Finding.objects.get()
    assert dt.timedelta(minutes=59) < clock.now() - noted.at < dt.timedelta(minutes=61)
    assert str(noted.entry) == entry


def test_a_note_is_never_older_than_its_job(bench, job) -> None:
    job.refresh_from_db()
    post(bench, job, "finding", text="A device with a wrong sense of time.", noted="1000")
    post(bench, job, "finding", text="And one that is ahead.", noted=milliseconds(hours=5))
    for one in models.Finding.objects.all():
        assert job.booked_in_at <= one.at <= clock.now()
    assert post(bench, job, "finding", text="When?", noted="9" * 30).status_code == 422


def milliseconds(**away: int) -> str:
    """A moment that far from now, as a tablet sends it."""
    return str(int((clock.now() + dt.timedelta(**away)).timestamp() * 1000))


def test_a_tablet_gets_the_changed_pieces_and_they_agree_with_the_whole_page(bench, job) -> None:
    point = job.unit.model.test_points.first().pk
    notes = {
        "reading": {"typed": "12.1 V", "test_point": point},
        "finding": {"text": "Belt shiny."},
        "evidence": {"kind": "date_code", "where": "C12", "marking": "8012"},
        "part": {"drawer": "Belt, flat", "free": "on", "quantity": "1"},
        "photos": {"photos": SimpleUploadedFile("belt.jpg", jpeg(), "image/jpeg")},
    }
    for panel, fields in notes.items():
        answer = post(bench, job, panel, entry=str(uuid.uuid4()), **fields)
        assert answer.status_code == 200
        html, whole = answer.content.decode(), bench.get(at(job)).content.decode()
        assert "<html" not in html
        written = re.findall(r'id="(record-\w+)"', html)
        assert written == [f"record-{section}" for section in WRITTEN_BY[panel]]
        for name in ("bench-next", *written):
            assert piece(html, name) == piece(whole, name), (panel, name)
        assert f'id="{panel}"' in html


def piece(html: str, name: str) -> str:
    """The piece of that id, without what differs in every answer."""
    part = html[html.index(f'id="{name}"') :]
    part = part[: part.index("</div>" if name == "bench-next" else "</section>")]
    part = re.sub(r'name="(once|csrfmiddlewaretoken)" value="[^"]*"', "", part)
    return re.sub(r"\s+", " ", part)


def test_a_refused_entry_comes_back_with_its_reason_for_the_tablet_to_keep(bench, job) -> None:
    entry = str(uuid.uuid4())
    answer = post(bench, job, "reading", entry=entry, typed="4k7x", quantity="resistance", where="R118")
    assert (answer.status_code, answer["X-Bench-Entry"]) == (422, entry)
    assert "can't be read" in unquote(answer["X-Bench-Reason"])
    assert "4k7x" in answer.content.decode()
    assert "<html" not in answer.content.decode()


def test_a_page_to_sign_in_is_never_taken_for_an_answer_to_an_entry(client, job) -> None:
    answer = post(client, job, "finding", entry=str(uuid.uuid4()), text="Signed out meanwhile.")
    assert answer.status_code == 302
    assert "X-Bench-Entry" not in answer


def test_an_ended_job_takes_no_more_lines(bench, technician, job) -> None:
    Job.objects.filter(pk=job.pk).update(
        stage=Stage.KEPT_HERE, outcome="unclaimed", ended_at=clock.now(), whose_move="nobody"
    )
    answer = post(bench, job, "finding", text="Too late.")
    assert answer.status_code == 422
    assert "has ended" in answer.content.decode()
    assert models.Finding.objects.count() == 0


def test_a_job_that_is_still_expected_is_booked_in_before_anything_is_noted(bench, technician) -> None:
    unit = UnitFactory()
    (job,) = announce(
        customer=unit.owner, intakes=[Intake(unit=unit, complaint="No sound.")], by=technician, carrier="Rail"
    )
    page = bench.get(at(job)).content.decode()
    assert "It has not come yet." in page
    assert reverse("counter:receive", args=[job.number]) in page
    for control in ("bench-dock", "data-clock-box", 'id="reading"', "Take it to the bench", "None yet"):
        assert control not in page, control
    for door, typed in (("start", {}), ("finding", {"text": "Too early."})):
        answer = post(bench, job, door, **typed)
        assert answer.status_code == 422
        assert "has not come yet" in answer.content.decode()
    assert not models.Stint.objects.exists()
    assert not models.Finding.objects.exists()


# --- the clock -------------------------------------------------------------------------------------------


def test_the_clock_starts_pauses_and_goes_on_with_the_same_work(bench, job) -> None:
    post(bench, job, "start", kind="alignment")
    assert "Your clock runs" in bench.get(at(job)).content.decode()
    post(bench, job, "stop")
    page = bench.get(at(job)).content.decode()
    assert "Go on" in page
    assert '<option value="alignment" selected' in page
    post(bench, job, "start", kind="alignment")
    assert models.Stint.objects.filter(kind="alignment").count() == 2
    assert post(bench, job, "stop", then="bench").url == reverse("bench:bench")


def test_starting_takes_a_unit_from_its_shelf_and_stops_the_clock_on_another(bench, technician, job) -> None:
    other = booked_in(by=technician, unit=UnitFactory(model=job.unit.model))
    post(bench, job, "start", kind="repair")
    post(bench, other, "start", kind="diagnosis")
    other.refresh_from_db()
    assert other.stage == Stage.ON_THE_BENCH
    assert models.Stint.objects.get(job=job).stopped_at is not None
    assert post(bench, job, "stop").status_code == 422


def test_a_forgotten_clock_is_asked_about_with_the_last_thing_that_was_noted(bench, technician, job) -> None:
    yesterday = clock.now() - dt.timedelta(hours=20)
    actions.start_stint(job=job, by=technician, at=yesterday)
    noted = yesterday + dt.timedelta(minutes=40)
    actions.add_finding(job=job, text="Motor hot.", by=technician, at=noted)
    page = bench.get(at(job))
    told = page.context["page"].forgotten
    assert told.stopped_at == noted + dt.timedelta(minutes=10)
    assert "has run for 20 h" in page.content.decode()
    stint = models.Stint.objects.get()
    bench.post(at(job, "mend_stint", stint.pk), {"started_at": told.started, "stopped_at": told.stopped})
    stint.refresh_from_db()
    assert stint.mended
    assert abs((stint.stopped_at - told.stopped_at).total_seconds()) < 1


def test_without_a_line_a_forgotten_clock_is_taken_to_have_run_as_long_as_usual(
    bench, technician, job
) -> None:
    start = clock.now() - dt.timedelta(days=3)
    for minutes in (20, 30, 70):
        stint = actions.start_stint(job=job, by=technician, at=start)
        actions.stop_stint(stint=stint, by=technician, at=start + dt.timedelta(minutes=minutes))
        start += dt.timedelta(hours=3)
    begun = clock.now() - dt.timedelta(hours=9)
    actions.start_stint(job=job, by=technician, at=begun)
    told = bench.get(at(job)).context["page"].forgotten
    assert told.stopped_at == begun + dt.timedelta(minutes=30)


def test_a_clock_of_two_hours_is_no_forgotten_one(bench, technician, job) -> None:
    actions.start_stint(job=job, by=technician, at=clock.now() - dt.timedelta(hours=2))
    assert bench.get(at(job)).context["page"].forgotten is None


@pytest.mark.parametrize(
    "started, stopped, sentence",
    [
        ("2026-01-05T10:00:00", "2026-01-05T09:00:00", "stops before it starts"),
        ("2026-01-05T10:00:00", "2265-01-05T11:00:00", "in the future"),
        ("2026-01-05T10:00:00", "2026-01-07T10:00:00", "longer than sixteen hours"),
        ("2026-01-05T10:00:00", "half past nine", "Type the date and the time of day."),
    ],
)
def test_times_that_can_not_be_are_refused(
    bench, technician, job, started: str, stopped: str, sentence: str
) -> None:
    stint = actions.start_stint(job=job, by=technician)
    answer = bench.post(at(job, "mend_stint", stint.pk), {"started_at": started, "stopped_at": stopped})
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    stint.refresh_from_db()
    assert stint.stopped_at is None


# --- to the end ------------------------------------------------------------------------------------------


def test_a_unit_goes_from_the_conclusion_over_the_soak_test_to_ready(bench, job) -> None:
    post(bench, job, "conclusion", **CONCLUDED)
    assert "Put it on soak test" in bench.get(at(job)).content.decode()
    post(bench, job, "soak", hours="4", check_every="30")
    job.refresh_from_db()
    assert job.stage == Stage.PROVING
    assert post(bench, job, "soak_check", temperature="warm").status_code == 422
    post(bench, job, "soak_check", temperature="41.5", dc_offset="12 mV")
    look = models.SoakCheck.objects.get()
    assert (str(look.temperature), str(look.dc_offset.normalize())) == ("41.5", "0.012")
    post(bench, job, "soak_end", result="passed")
    job.refresh_from_db()
    assert (job.stage, job.outcome) == (Stage.READY, "repaired")
    assert "The safety check is owed." in bench.get(at(job)).content.decode()


def test_a_fault_that_came_back_puts_the_unit_on_the_bench_again(bench, job) -> None:
    post(bench, job, "conclusion", **CONCLUDED)
    post(bench, job, "soak", hours="4", check_every="30")
    post(bench, job, "soak_end", result="came_back", note="After two hours.")
    job.refresh_from_db()
    assert job.stage == Stage.ON_THE_BENCH


def test_a_job_is_set_aside_for_a_part_in_one_step(bench, job) -> None:
    post(bench, job, "want", drawer="Capstan motor", quantity="1", set_aside="on")
    job.refresh_from_db()
    assert (job.stage, PartWanted.objects.get().description) == (Stage.AWAITING_PARTS, "Capstan motor")


def test_a_struck_line_stays_readable_with_its_reason(bench, technician, job) -> None:
    finding = actions.add_finding(job=job, text="Belt torn.", by=technician)
    address = at(job, "strike", "finding", finding.pk)
    assert "Belt torn." in bench.get(address).content.decode()
    assert bench.post(address, {"reason": ""}).status_code == 422
    bench.post(address, {"reason": "Wrong deck"})
    page = bench.get(at(job)).content.decode()
    assert "Belt torn." in page
    assert "struck out: Wrong deck" in page
    assert bench.post(address, {"reason": "Again"}).status_code == 422


def test_a_line_of_another_job_can_not_be_struck_from_here(bench, technician, job) -> None:
    other = on_the_bench(technician, unit=UnitFactory(model=job.unit.model))
    finding = actions.add_finding(job=other, text="Elsewhere.", by=technician)
    assert bench.post(at(job, "strike", "finding", finding.pk), {"reason": "No"}).status_code == 404


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
