"""The safety check on its screens: what is typed, judged, kept and held back.

The worked numbers come from `tests/standards/`, where each names its source; here it is tried that the screens use them.
"""

from __future__ import annotations

import datetime as dt
import io
from decimal import Decimal

import pypdf
import pytest
from django.urls import reverse

from shop.bench import actions, models, papers
from shop.bench.safety import holds_back
from shop.counter import model_file
from shop.counter.actions import change_unit
from shop.counter.models import JobPaper, SafetyLimits
from shop.counter.moving import MoveRefused
from shop.counter.stages import Stage
from shop.frame import clock
from shop.frame.models import ShopProfile
from shop.keeping.papers import stored_bytes
from tests.bench.page_cases import at, send
from tests.factories.bench import a_meter, on_the_bench
from tests.factories.counter import UnitFactory

# --- the safety check ------------------------------------------------------------------------------------

SOUND = {
    "sound": "yes",
    "cold_0_where": "Headphone shell",
    "cold_0_ohm": "2.4M",
    "cold_0_returns": "yes",
    "hot_0_where": "Headphone shell",
    "hot_0_a_on": "0.11 V",
    "hot_0_a_off": "60 mV",
    "hot_0_b_on": "0.12",
    "hot_0_b_off": "60 mV",
}


def test_a_class_two_unit_on_120_volts_owes_inspection_cold_check_and_hot_check(bench, job) -> None:
    page = bench.get(at(job, "safety")).content.decode()
    assert "Cold check" in page
    assert "Hot leakage" in page
    assert "Insulation" not in page
    assert "Leakage is measured live" in page


def test_a_passed_check_names_its_meter_and_is_printed_once(bench, technician, job) -> None:
    meter = a_meter(technician, calibration_due=clock.today() + dt.timedelta(days=90), serial="HM-7")
    assert send(bench, job, "safety", meter=meter.pk, **SOUND).status_code == 303
    check = models.SafetyCheck.objects.get()
    assert (check.outcome, check.meter) == ("passed", meter)
    assert {test.key: test.outcome for test in check.tests.all()} == {
        "visual": "passed",
        "cold": "passed",
        "hot": "passed",
    }
    assert check.tests.get(key="cold").typed == "Headphone shell: 2.4M"
    assert check.tests.get(key="hot").typed == (
        "Headphone shell: 0.11 V (plug one way, on), 60 mV (plug one way, off), "
        "0.12 V (plug reversed, on), 60 mV (plug reversed, off)"
    )
    for _ in range(2):
        paper = papers.issue_safety_record(check=check, by=technician)
    assert JobPaper.objects.filter(job=job).count() == 1
    pdf = stored_bytes(paper)
    text = " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages).split())
    said = (
        "Bench meter HM-7",
        "valid until",
        "Headphone shell: 0.11 V (plug one way, on)",
        "at most 0.75 V",
        "passed",
    )
    for words in (*said, technician.signature, "local codes and licensed practice come first"):
        assert words in text
    assert bench.post(at(job, "safety_record", check.pk)).url == reverse("premises:paper", args=[paper.pk])


@pytest.mark.parametrize("country, word, other", [("GB", "earth", "ground"), ("US", "ground", "earth")])
def test_the_record_says_earth_where_the_trade_does(
    bench, technician, job, country: str, word: str, other: str
) -> None:
    """Nothing was read: the record says from where to where it would have been. BS 7671 says earth (from memory)."""
    ShopProfile.objects.update(country=country)
    kept = {name: value for name, value in SOUND.items() if not name.startswith("hot_")}
    send(bench, job, "safety", **kept, unfinished="on")
    paper = papers.issue_safety_record(check=models.SafetyCheck.objects.get(), by=technician)
    pages = pypdf.PdfReader(io.BytesIO(stored_bytes(paper))).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert f"exposed metal to {word}" in text
    assert f"to {other}" not in text


def test_the_printed_record_says_what_the_meter_could_not_decide(bench, technician, job) -> None:
    # 0.745 V on a meter of ±(1 % + 5 digits of 1 mV) is worth ±12.45 mV: 0.75 V lies inside (arithmetic)
    meter = a_meter(technician, serial="HM-7")
    send(bench, job, "safety", meter=meter.pk, **(SOUND | {"hot_0_b_on": "0.745"}))
    check = models.SafetyCheck.objects.get()
    assert (check.outcome, check.tests.get(key="hot").outcome) == ("not_done", "too_close")
    assert holds_back(job)
    pdf = stored_bytes(papers.issue_safety_record(check=check, by=technician))
    text = " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages).split())
    for words in ("too close to call", "0.745 V", "HM-7", "better meter"):
        assert words in text


@pytest.mark.parametrize(
    "changes, outcome",
    [
        (
            {"hot_0_b_on": "0.9"},
            "failed",
        ),  # over 0.75 V RMS (service manuals, tests/standards/test_safety.py)
        ({"cold_0_ohm": "300k"}, "failed"),  # under 1 MΩ (service manuals, the same)
        ({"hot_0_b_off": "", "unfinished": "on"}, "not_done"),
        ({"sound": "no"}, "failed"),
    ],
)
def test_the_outcome_follows_from_the_readings(bench, job, changes: dict[str, str], outcome: str) -> None:
    send(bench, job, "safety", **(SOUND | changes))
    assert models.SafetyCheck.objects.get().outcome == outcome


def test_the_record_names_the_class_that_was_tested_even_after_the_unit_is_put_right(
    bench, technician, job
) -> None:
    change_unit(unit=job.unit, protection_class="?", by=technician)
    send(bench, job, "safety", **SOUND)
    change_unit(unit=job.unit, protection_class="I", by=technician)
    facts = {fact.label: fact.value for fact in papers.safety_facts(models.SafetyCheck.objects.get())}
    assert facts["Class"] == "Not known yet, tested as class II"
    assert facts["Line"] == "120 V"


def test_a_check_of_one_class_does_not_let_a_unit_of_another_go(bench, technician, job) -> None:
    # a class I unit owes the earth test, which a class II check never asks for (IEC 62368-1, IEC 60065 practice)
    send(bench, job, "safety", **SOUND)
    assert holds_back(job) is None
    change_unit(unit=job.unit, protection_class="I", by=technician)
    assert "checked as class II, but is of class I:" in holds_back(job)
    send(bench, job, "waiver", reason="Goes back to be scrapped, cord cut off.")
    assert holds_back(job) is None


@pytest.mark.parametrize(
    "typed, sentence",
    [
        ({}, "Nothing was entered yet"),
        ({"cold_0_where": "Shell"}, "What does the meter show here?"),
        ({"cold_0_ohm": "2M2"}, "Say at which part this was measured."),
        ({"hot_0_where": "Shell", "hot_0_a_on": "OL"}, "choose a larger range"),
        ({"hot_0_where": "Shell", "hot_0_a_on": "lots"}, "read"),
        ({"cold_0_where": "Shell", "cold_0_ohm": "-5"}, "less than nothing"),
    ],
)
def test_a_safety_check_that_can_not_be_read_is_refused(
    bench, job, typed: dict[str, str], sentence: str
) -> None:
    answer = send(bench, job, "safety", **typed)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert models.SafetyCheck.objects.count() == 0


def outcomes(bench, job, **changes: str) -> str:
    send(bench, job, "safety", **(SOUND | changes))
    return models.SafetyCheck.objects.latest("pk").outcome


def test_no_upper_limit_holds_unless_this_models_manual_prints_one(bench, technician, job) -> None:
    # 1 MΩ and 5.2 MΩ: service manuals, tests/standards/test_safety_trials.py
    assert outcomes(bench, job, cold_0_ohm="20M") == "passed"
    assert outcomes(bench, job, cold_0_ohm="", cold_0_over="on", cold_0_returns="no") == "passed"
    assert models.SafetyTest.objects.filter(key="cold").latest("pk").typed == (
        "Headphone shell: over range, no path to the chassis"
    )
    assert outcomes(bench, job, cold_0_ohm="0.9M", cold_0_returns="no") == "failed"
    model_file.set_safety_limits(model=job.unit.model, cold_max_ohms=Decimal("5.2E6"), by=technician)
    assert outcomes(bench, job, cold_0_ohm="20M") == "failed"
    assert outcomes(bench, job, cold_0_ohm="20M", cold_0_returns="no") == "passed"
    model_file.set_safety_limits(model=job.unit.model, cold_infinite=True, by=technician)
    assert outcomes(bench, job, cold_0_ohm="20M", cold_0_returns="no") == "failed"
    assert outcomes(bench, job, cold_0_ohm="OL", cold_0_returns="no") == "passed"


def test_the_form_says_what_is_missing_before_it_is_kept_and_keeps_what_was_typed(bench, job) -> None:
    answer = send(bench, job, "safety", **(SOUND | {"hot_0_b_off": ""}))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Headphone shell (plug reversed, switch off)" in page
    assert 'value="2.4M"' in page
    assert "Limit:</strong> at most 0.75 V" in page
    assert models.SafetyCheck.objects.count() == 0
    answer = send(
        bench, job, "safety", **{name: value for name, value in SOUND.items() if name != "cold_0_returns"}
    )
    assert "Say whether this metal returns to the chassis." in answer.content.decode()


def test_a_job_whose_last_check_failed_is_not_ready(bench, technician, job) -> None:
    actions.conclude(
        job=job, failed="relay", mode="open", remedy="replaced", outcome="repaired", by=technician
    )
    assert outcomes(bench, job, hot_0_a_on="0.9 V") == "failed"
    with pytest.raises(MoveRefused, match=r"The last safety check of .* failed: fix that and check again"):
        actions.call_ready(job=job, by=technician)
    assert outcomes(bench, job) == "passed"
    actions.call_ready(job=job, by=technician)
    assert job.stage == Stage.READY
    outcomes(bench, job, hot_0_a_on="0.9 V")
    job.refresh_from_db()
    assert job.stage == Stage.ON_THE_BENCH


def test_the_hot_check_of_an_earthed_set_wants_its_conductor_open_and_measured_again(
    bench, technician
) -> None:
    # grounding conductor open: ANSI C101.1, now UL 101 (from memory)
    job = on_the_bench(technician, unit=UnitFactory(line_voltage=120, protection_class="I"))
    assert (
        "with the protective conductor open for this one reading"
        in bench.get(at(job, "safety")).content.decode()
    )
    typed = SOUND | {"conductor_0_where": "Rear screw", "conductor_0_ohm": "0.12"}
    for opened in ({}, {"hot_opened": "closed"}):
        answer = send(bench, job, "safety", **(typed | opened | {"hot_again": "0.13"}))
        assert answer.status_code == 422
        assert "that is no reading" in answer.content.decode()
    answer = send(bench, job, "safety", **(typed | {"hot_opened": "open"}))
    assert "the protective conductor again, closed" in answer.content.decode()
    assert models.SafetyCheck.objects.count() == 0
    assert (
        send(bench, job, "safety", **(typed | {"hot_opened": "open", "hot_again": "0.13"})).status_code == 303
    )
    check = models.SafetyCheck.objects.get()
    assert check.outcome == "passed"
    assert "Protective conductor again: 0.13 Ω" in check.tests.get(key="hot").typed


def test_a_class_one_unit_on_230_volts_is_asked_for_the_european_tests(bench, technician) -> None:
    job = on_the_bench(technician, unit=UnitFactory(line_voltage=230, protection_class="I"))
    typed = {
        "sound": "yes",
        "conductor_0_where": "Rear screw",
        "conductor_0_ohm": "0.12",
        "insulation_0_where": "Chassis",
        "insulation_0_ohm": ">200M",
        "insulation_0_volt": "500",
        "conductor_current_0_where": "Ground conductor",
        "conductor_current_0_a": "0.4",
        "conductor_current_0_b": "0.5 mA",
        "touch_current_0_where": "Knob",
        "touch_current_0_a": "0.02",
        "touch_current_0_b": "20 µA",
    }
    assert send(bench, job, "safety", **typed).status_code == 303
    check = models.SafetyCheck.objects.get()
    assert (check.outcome, check.tests.count()) == ("passed", 5)
    assert check.tests.get(key="insulation").typed == "Chassis: >200M, tested at 500 V"
    assert check.tests.get(key="touch_current").typed == "Knob: 0.02 mA (plug one way), 20 µA (plug reversed)"


def test_a_maker_who_prints_only_a_lower_limit_has_no_upper_one(bench, technician, job) -> None:
    model_file.set_safety_limits(model=job.unit.model, cold_min_ohms=Decimal("100E6"), by=technician)
    assert SafetyLimits.objects.count() == 1
    send(bench, job, "safety", **(SOUND | {"cold_0_ohm": "180M"}))
    assert models.SafetyCheck.objects.get().outcome == "passed"


def test_a_reason_in_place_of_the_check_is_written_out_and_signed(bench, technician, job) -> None:
    assert send(bench, job, "waiver", reason="no").status_code == 422
    send(bench, job, "waiver", reason="Goes back as a donor, cord cut off at the customer's wish.")
    assert models.SafetyWaiver.objects.get().by == technician
