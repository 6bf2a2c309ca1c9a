"""The clock of a job, and how it ends: conclusion, soak test, parts to wait for, struck lines."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse

from shop.bench import actions, models
from shop.bench.views.lines import LINES, REASONS
from shop.counter.stages import Stage
from shop.frame import clock
from shop.stockroom.models import PartWanted
from tests.bench.page_cases import CONCLUDED, at, post
from tests.factories.bench import on_the_bench
from tests.factories.counter import UnitFactory, booked_in

# --- the clock -------------------------------------------------------------------------------------------


def test_the_clock_starts_pauses_and_goes_on_with_the_same_work(bench, job) -> None:
    post(bench, job, "start", kind="alignment")
    assert "Your clock runs" in bench.get(at(job)).content.decode()
    post(bench, job, "stop")
    page = bench.get(at(job)).content.decode()
    assert "Go on" in page
    assert 'name="kind" value="alignment" data-likely' in page
    post(bench, job, "start", kind="alignment")
    assert models.Stint.objects.filter(kind="alignment").count() == 2
    assert post(bench, job, "stop", then="bench").url == at(job)


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
    early = post(bench, job, "soak_end", result="passed")
    assert early.status_code == 422
    assert "0 min of 4 h so far: let it run, or say why that is enough." in early.content.decode()
    post(bench, job, "soak_end", result="passed", note="It ran all of yesterday.")
    job.refresh_from_db()
    assert (job.stage, job.outcome) == (Stage.READY, "repaired")
    assert "The safety check is owed." in bench.get(at(job)).content.decode()


@pytest.mark.parametrize("unattended, ran", [(False, 90), (True, 240)])
def test_a_soak_does_not_count_on_while_nobody_looks_unless_the_shop_lets_it(
    technician, job, unattended: bool, ran: int
) -> None:
    """Check every 30 minutes: at 20, at 50, then nobody for three hours, and the end at 240: 20 + 30 + 30 + 10."""
    start = dt.datetime(2026, 11, 25, 9, tzinfo=dt.UTC)
    at_minute = [start + dt.timedelta(minutes=one) for one in (0, 20, 50, 230, 240)]
    actions.conclude(job=job, **CONCLUDED, by=technician)
    soak = actions.start_soak(
        job=job, planned_seconds=4 * 3600, unattended=unattended, by=technician, at=at_minute[0]
    )
    for moment in at_minute[1:-1]:
        actions.add_soak_check(soak=soak, by=technician, at=moment)
    actions.end_soak(soak=soak, result="passed", note="Two evenings before.", by=technician, at=at_minute[-1])
    soak.refresh_from_db()
    assert soak.seconds == ran * 60


def test_planned_and_run_hours_are_two_things_and_the_clock_asks(bench, technician, job) -> None:
    actions.conclude(job=job, **CONCLUDED, by=technician)
    actions.start_stint(job=job, kind="repair", by=technician)
    assert "Pause your clock" not in bench.get(at(job)).content.decode()
    post(bench, job, "soak", hours="4", check_every="30")
    assert "It is on soak test by itself. Pause your clock" in bench.get(at(job)).content.decode()
    post(bench, job, "soak_end", result="passed", note="Ran yesterday.")
    page = bench.get(at(job)).content.decode()
    assert "It is ready. Pause your clock" in page
    assert "Passed: planned 4 h, ran 0 min" in page
    assert (
        "planned 4 h, ran 0 min: passed"
        in bench.get(reverse("records:job_card", args=[job.number])).content.decode()
    )


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


def test_each_kind_of_line_has_reasons_of_its_own_to_be_struck_for() -> None:
    assert REASONS.keys() == LINES.keys()
    assert "Wrong meter" not in REASONS["finding"]
