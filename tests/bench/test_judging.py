"""What the bench tells while one types and after: verdicts, dates, devices, suggestions, cautions, the safety check, meters.

The worked numbers come from `tests/standards/`, where each names its source; here it is tried that the screens use them.
"""

from __future__ import annotations

import datetime as dt
import io
import json
import uuid
from decimal import Decimal

import pypdf
import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from shop.bench import actions, models, papers
from shop.bench.cautions import traits_of
from shop.bench.safety import holds_back
from shop.bench.story import earlier_work
from shop.counter import model_file
from shop.counter.actions import change_unit
from shop.counter.models import JobPaper, JobPicture, SafetyLimits, Unit
from shop.handbook.cautions import Trait
from shop.premises import clock
from shop.premises.press import stored_bytes
from shop.premises.refusal import Refusal
from shop.stockroom.models import PartFitted
from tests.factories.bench import a_meter, on_the_bench, readings
from tests.factories.counter import UnitFactory
from tests.factories.stockroom import a_part
from tests.pages import words_on


def jpeg() -> bytes:
    """A small photograph."""
    file = io.BytesIO()
    Image.new("RGB", (160, 120), "tan").save(file, "JPEG")
    return file.getvalue()


def at(job, name: str = "job", *args) -> str:
    return reverse(f"bench:{name}", args=[job.number, *args])


def send(client, job, name: str, *args, **typed):
    return client.post(at(job, name, *args), {"once": str(uuid.uuid4()), **typed})


# --- while one types -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "asked, words",
    [
        # 12 V ± 5 % is 11.4 to 12.6 V (arithmetic)
        ({"typed": "11.9 V", "quantity": "voltage_dc", "expected": "12 V ± 5 %"}, "within"),
        ({"typed": "11.3 V", "quantity": "voltage_dc", "expected": "12 V ± 5 %"}, "low"),
        ({"typed": "OL", "quantity": "resistance", "expected": "8 to 20 ohm"}, "open"),
        ({"typed": "4k7", "quantity": "resistance"}, "nothing is expected"),
        ({"typed": "4k7x", "quantity": "resistance"}, "read"),
        ({"typed": "12 V", "quantity": "voltage_dc", "expected": "12 V"}, "How far off"),
    ],
)
def test_a_reading_is_judged_while_it_is_typed(bench, job, asked: dict[str, str], words: str) -> None:
    answer = bench.get(at(job, "judge_reading"), asked)
    assert answer.status_code == 200
    assert words in answer.content.decode()
    assert models.Reading.objects.count() == 0


def test_a_verdict_while_one_types_asks_the_database_so_little_that_it_comes_at_once(
    bench, technician, job, django_assert_max_num_queries
) -> None:
    # who asks (session, person, second step) and the meter with its ranges; no page of the job is made for it
    meter = a_meter(technician)
    asked = {"typed": "11.9 V", "quantity": "voltage_dc", "expected": "12 V ± 5 %", "meter": str(meter.pk)}
    bench.get(at(job, "judge_reading"), asked)
    with django_assert_max_num_queries(6):
        assert "within" in bench.get(at(job, "judge_reading"), asked).content.decode()


def test_the_chosen_test_point_brings_its_quantity_and_expectation_along(bench, job) -> None:
    point = job.unit.model.test_points.get(name="Line out R")
    answer = bench.get(at(job, "judge_reading"), {"typed": "412 mV", "test_point": point.pk}).content.decode()
    assert "low" in answer
    assert "522 mV" in answer  # 580 mV less ten percent


def test_near_the_limit_the_meter_makes_it_too_close_to_call(bench, technician, job) -> None:
    # ±(0.5 % + 3 digits of 10 mV) of 11.42 V is ±0.0871 V: 11.4 V lies within it (arithmetic)
    meter = a_meter(technician)
    asked = {"typed": "11.42 V", "quantity": "voltage_dc", "expected": "12 V ± 5 %"}
    assert "within" in bench.get(at(job, "judge_reading"), asked).content.decode()
    told = bench.get(at(job, "judge_reading"), asked | {"meter": meter.pk}).content.decode()
    assert "too close" in told
    send(bench, job, "reading", where="TP4", meter=meter.pk, **asked)
    assert models.Reading.objects.get().verdict == "too_close"


def test_a_trace_is_read_while_it_is_typed_and_shows_its_argument(bench, job) -> None:
    asked = {"kind": "date_code", "where": "Q702", "marking": "9148"}
    told = bench.get(at(job, "judge_evidence"), asked).content.decode()
    assert "fitted later" in told
    assert "1991" in told
    assert bench.get(at(job, "judge_evidence"), asked | {"marking": "9960"}).status_code == 200
    assert bench.get(at(job, "judge_evidence"), asked | {"kind": "bogus"}).content == b""


@pytest.mark.parametrize(
    "where, marking, judgement, words",
    [
        ("Q701", "C1815-GR", "original", "is the original 2SC1815-GR"),
        ("q 701", "2SC1815-Y", "open", "it has Y, the list says GR"),
        ("Q702", "BC557B", "later", "another type than the original"),
        ("Q999", "2SC1815-GR", "open", "no original to compare"),
    ],
)
def test_a_device_is_decoded_and_held_against_the_model_file(
    bench, technician, job, where: str, marking: str, judgement: str, words: str
) -> None:
    assert (
        words
        in bench.get(
            at(job, "judge_evidence"), {"kind": "device", "where": where, "marking": marking}
        ).content.decode()
    )
    trace = actions.add_evidence(job=job, kind="device", where=where, marking=marking, by=technician)
    assert trace.judgement == judgement
    assert words in trace.argument
    # no register fixes ratings or pins (JIS C 7012, EIA-370, Pro Electron: tests/standards/test_designations.py)
    assert trace.argument.endswith("ratings and pinout.")


def test_one_of_several_readings_can_be_chosen(bench, technician, job) -> None:
    open_one = actions.add_evidence(
        job=job, kind="date_stamp", where="Cover", marking="3-4-82", by=technician
    )
    assert len(open_one.candidates) > 1
    chosen = actions.add_evidence(
        job=job, kind="date_stamp", where="Cover", marking="3-4-82", chosen=1, by=technician
    )
    picked = chosen.candidates[1]
    assert (chosen.earliest.isoformat(), chosen.latest.isoformat()) == (picked["first"], picked["last"])
    assert chosen.earliest > open_one.earliest or chosen.latest < open_one.latest


# --- the story of the earlier repair ---------------------------------------------------------------------


@time_machine.travel(dt.datetime(2026, 11, 25, 12, tzinfo=dt.UTC), tick=False)
def test_the_story_of_the_earlier_repair_is_told_in_two_sentences_from_all_jobs_of_the_unit(
    bench, technician, job
) -> None:
    actions.add_evidence(job=job, kind="date_code", where="IC301", marking="8012", by=technician)
    actions.add_evidence(job=job, kind="date_code", where="Q702", marking="9148", by=technician)
    label = actions.add_evidence(
        job=job, kind="date_stamp", where="Cover", marking="14 MAR 1992", by=technician
    )
    story = earlier_work(job)
    assert story is not None
    built, work = story.sentences
    assert built.startswith("Built between 1978 and 1982")
    assert "IC301" in built
    assert "14 March 1992" in work
    assert "Q702" in work
    assert " ".join(story.sentences) in bench.get(at(job)).content.decode().replace("&quot;", '"')
    card = words_on(bench.get(reverse("records:job_card", args=[job.number]))).replace("&quot;", '"')
    assert all(sentence in card for sentence in story.sentences)
    back_again = on_the_bench(technician, unit=job.unit)
    assert earlier_work(back_again) == story
    actions.strike(line=label, reason="Label of another deck", by=technician)
    changed = earlier_work(job)
    assert changed is not None
    assert "14 March 1992" not in changed.sentences[1]


def test_without_a_dated_trace_there_is_no_story(technician, job) -> None:
    actions.add_evidence(job=job, kind="rework", where="Power board", note="Flux left.", by=technician)
    assert earlier_work(job) is None


# --- what this suggests ----------------------------------------------------------------------------------


def test_a_suggestion_cites_its_readings_and_can_be_set_aside(bench, technician, job) -> None:
    readings(job, technician, "11.9 V", "2.9 V", "OL")
    page = bench.get(at(job))
    (one,) = page.context["page"].suggested
    assert one.suggestion.rule == "load-open"
    assert [reading.typed for reading in one.readings] == ["2.9 V", "OL"]
    address = at(job, "overrule", "load-open")
    assert bench.post(address, {"reason": ""}).status_code == 422
    bench.post(address, {"once": str(uuid.uuid4()), "reason": "The lead had come off."})
    page = bench.get(at(job))
    (one,) = page.context["page"].suggested
    assert one.overruled is not None
    assert "The lead had come off." in page.content.decode()


def test_struck_readings_suggest_nothing(bench, technician, job) -> None:
    readings(job, technician, "11.9 V", "2.9 V", "OL")
    actions.strike(line=models.Reading.objects.get(typed="OL"), reason="Lead off", by=technician)
    assert bench.get(at(job)).context["page"].suggested == []


# --- cautions --------------------------------------------------------------------------------------------


def test_cautions_are_shown_until_they_were_read_once_on_this_job_by_this_person(
    bench, technician, job
) -> None:
    page = bench.get(at(job))
    unread = page.context["page"].unread_cautions
    assert {one.caution.key for one in unread} >= {"mains-cover", "charged-capacitors"}
    send(bench, job, "cautions", key=[one.caution.key for one in unread])
    page = bench.get(at(job))
    assert page.context["page"].unread_cautions == []
    assert "for this unit" in words_on(page)
    assert send(bench, job, "cautions", key=["made-up"]).status_code == 422


def test_the_wait_before_hands_go_in_is_computed_from_the_model_file(bench, job) -> None:
    # 63 V, 10 mF with 20 % more, through 2.2 kΩ down to 10 V: R·C·ln(V/Vs) = 48.6 s (circuit theory)
    answer = send(bench, job, "reservoir", where="C801", volt="63 V", farad="10 mF", ohm="2k2")
    assert answer.status_code == 302
    assert "Wait at least 49 seconds" in bench.get(at(job)).content.decode()
    assert send(bench, job, "reservoir", volt="63 V", farad="10 mF", ohm="0").status_code == 422
    assert send(bench, job, "reservoir", volt="many", farad="10 mF", ohm="2k2").status_code == 422


def test_what_can_hurt_is_known_from_the_unit_its_kind_and_its_model(job) -> None:
    unit: Unit = job.unit
    unit.model.traits = ["tube", "charged capacitors", "LIVE-CHASSIS", "nonsense"]
    unit.mains = False
    assert traits_of(unit) == {Trait.TUBE, Trait.CAPACITORS, Trait.LIVE_CHASSIS}
    unit.model.traits, unit.mains, unit.model.kind = [], True, "guitar_amp"
    assert traits_of(unit) == {Trait.MAINS, Trait.CAPACITORS}


# --- sets that must match --------------------------------------------------------------------------------

PAIR = {
    "kind": "output pair",
    "d0_name": "Q901",
    "d0_marking": "2SC1815-GR",
    "d0_hfe": "96",
    "d1_name": "Q903",
    "d1_marking": "2SC1815-GR",
    "d1_hfe": "106",
}


def test_a_set_is_compared_first_and_kept_as_evidence_when_asked(bench, job) -> None:
    # 96 and 106 are 10.42 % apart of the lower: more than the 10 % allowed (arithmetic)
    page = send(bench, job, "matched_set", act="compare", **PAIR)
    assert page.status_code == 200
    assert "10.42 %" in page.content.decode()
    assert models.Evidence.objects.count() == 0
    send(bench, job, "matched_set", act="keep", **PAIR)
    kept = models.Evidence.objects.get()
    assert (kept.kind, kept.judgement, kept.where) == ("mismatch", "not_matched", "Q901, Q903")
    assert "10.42 %" in kept.note


@pytest.mark.parametrize(
    "changes",
    [{"d1_marking": ""}, {"d0_hfe": "many"}, {"d1_marking": "", "d1_name": "", "d1_hfe": ""}, {"kind": "x"}],
)
def test_a_set_that_can_not_be_compared_is_refused(bench, job, changes: dict[str, str]) -> None:
    assert send(bench, job, "matched_set", act="keep", **(PAIR | changes)).status_code == 422
    assert models.Evidence.objects.count() == 0


# --- the safety check ------------------------------------------------------------------------------------

SOUND = {
    "sound": "yes",
    "cold_0_where": "Headphone shell",
    "cold_0_ohm": "2.4M",
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
    assert send(bench, job, "safety", meter=meter.pk, **SOUND).status_code == 302
    check = models.SafetyCheck.objects.get()
    assert (check.outcome, check.meter) == ("passed", meter)
    assert {test.key: test.outcome for test in check.tests.all()} == {
        "visual": "passed",
        "cold": "passed",
        "hot": "passed",
    }
    assert check.tests.get(key="hot").typed == "0.11 V / 60 mV / 0.12 V / 60 mV"
    for _ in range(2):
        paper = papers.issue_safety_record(check=check, by=technician)
    assert JobPaper.objects.filter(job=job).count() == 1
    pdf = stored_bytes(paper)
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)
    for words in ("Bench meter HM-7", "valid until", "Headphone shell", "passed", technician.signature):
        assert words in text
    assert bench.post(at(job, "safety_record", check.pk)).url == reverse("premises:paper", args=[paper.pk])


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
        ({"hot_0_b_off": ""}, "not_done"),
        ({"sound": "no"}, "failed"),
    ],
)
def test_the_outcome_follows_from_the_readings(bench, job, changes: dict[str, str], outcome: str) -> None:
    send(bench, job, "safety", **(SOUND | changes))
    assert models.SafetyCheck.objects.get().outcome == outcome


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


def test_no_return_to_the_chassis_passes_only_open(bench, job) -> None:
    send(bench, job, "safety", **(SOUND | {"cold_0_open": "on"}))
    assert models.SafetyCheck.objects.latest("pk").outcome == "failed"
    send(bench, job, "safety", **(SOUND | {"cold_0_open": "on", "cold_0_ohm": "OL"}))
    assert models.SafetyCheck.objects.latest("pk").outcome == "passed"


def test_a_class_one_unit_on_230_volts_is_asked_for_the_european_tests(bench, technician) -> None:
    job = on_the_bench(technician, unit=UnitFactory(line_voltage=230, protection_class="I"))
    typed = {
        "sound": "yes",
        "conductor_0_where": "Rear screw",
        "conductor_0_ohm": "0.12",
        "insulation_0_where": "Chassis",
        "insulation_0_ohm": ">200M",
        "insulation_0_volt": "500",
        "conductor_current_0_where": "Earth conductor",
        "conductor_current_0_a": "0.4",
        "conductor_current_0_b": "0.5 mA",
        "touch_current_0_where": "Knob",
        "touch_current_0_a": "0.02",
        "touch_current_0_b": "20 µA",
    }
    assert send(bench, job, "safety", **typed).status_code == 302
    check = models.SafetyCheck.objects.get()
    assert (check.outcome, check.tests.count()) == ("passed", 5)


def test_a_maker_who_prints_only_a_lower_limit_has_no_upper_one(bench, technician, job) -> None:
    model_file.set_safety_limits(model=job.unit.model, cold_min_ohms=Decimal("100E6"), by=technician)
    assert SafetyLimits.objects.count() == 1
    send(bench, job, "safety", **(SOUND | {"cold_0_ohm": "180M"}))
    assert models.SafetyCheck.objects.get().outcome == "passed"


def test_a_reason_in_place_of_the_check_is_written_out_and_signed(bench, technician, job) -> None:
    assert send(bench, job, "waiver", reason="no").status_code == 422
    send(bench, job, "waiver", reason="Goes back as a donor, cord cut off at the customer's wish.")
    assert models.SafetyWaiver.objects.get().by == technician


# --- meters ----------------------------------------------------------------------------------------------

RANGE = {
    "rows": "3",
    "r0_kind": "voltage_dc",
    "r0_full": "40 V",
    "r0_digit": "10 mV",
    "r0_accuracy": "±(0.5 % + 3)",
}


def test_a_meter_is_written_down_with_its_ranges_and_put_right(bench) -> None:
    bench.post(reverse("bench:add_meter"), {"name": "Hand-held", "calibration_due": "2027-03-01", **RANGE})
    meter = models.Meter.objects.get()
    (only,) = meter.ranges.all()
    assert (only.full_scale, only.resolution, only.percent_of_reading, only.digits) == (
        Decimal(40),
        Decimal("0.010"),
        Decimal("0.5"),
        3,
    )
    page = bench.get(reverse("bench:meter", args=[meter.pk])).content.decode()
    assert "40 V" in page
    bench.post(reverse("bench:meter", args=[meter.pk]), {"name": "Hand-held", **RANGE, "r0_full": "60 V"})
    assert meter.ranges.get().full_scale == Decimal(60)
    bench.post(reverse("bench:retire_meter", args=[meter.pk]))
    assert "out of use" in bench.get(reverse("bench:meters")).content.decode()


@pytest.mark.parametrize(
    "changes, sentence",
    [
        ({"name": ""}, "What is it called?"),
        ({"name": "bench METER"}, "Another meter has that name already."),
        ({"r0_kind": ""}, "Choose what this range measures."),
        ({"r0_full": "lots"}, "read"),
        ({"r0_full": "OL"}, "Over range is no end of a range."),
        ({"r0_digit": "50 V"}, "no larger than its full scale"),
        ({"r0_accuracy": "good"}, "percent of reading plus digits"),
        ({"calibrated_on": "2265-01-01"}, "in the future"),
        ({"calibrated_on": "2026-05-01", "calibration_due": "2026-04-01"}, "due before it was made"),
    ],
)
def test_a_meter_that_can_not_be_is_refused(
    bench, technician, changes: dict[str, str], sentence: str
) -> None:
    a_meter(technician)
    answer = bench.post(reverse("bench:add_meter"), {"name": "Hand-held", **RANGE, **changes})
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert models.Meter.objects.count() == 1


# --- photographs -----------------------------------------------------------------------------------------


def two_photos(job, by) -> list[JobPicture]:
    uploads = [SimpleUploadedFile(f"{name}.jpg", jpeg(), "image/jpeg") for name in ("before", "after")]
    return actions.add_pictures(job=job, photos=uploads, by=by)


def test_a_photograph_is_described_marked_and_paired(bench, technician, job) -> None:
    before, after = two_photos(job, technician)
    marks = [
        {"shape": "arrow", "x1": 0.1, "y1": 0.1, "x2": 0.52341, "y2": 0.5},
        {"shape": "circle", "x1": 0.5, "y1": 0.5, "x2": 0.6, "y2": 0.5},
    ]
    typed = {
        "caption": "Worn belt",
        "shows": "before",
        "pair": after.pk,
        "in_report": "on",
        "marks": json.dumps(marks),
    }
    assert send(bench, job, "photo", before.pk, **typed).status_code == 302
    before.refresh_from_db()
    after.refresh_from_db()
    before.picture.refresh_from_db()
    assert (before.caption, before.shows, before.pair, after.pair) == ("Worn belt", "before", after, before)
    assert (before.in_report, before.for_customer) == (True, False)
    assert before.picture.marks[0]["x2"] == 0.5234
    page = bench.get(at(job)).content.decode()
    assert "<circle" in page
    assert "<polygon" in page


@pytest.mark.parametrize(
    "marks",
    [
        "[",
        '[{"shape": "star", "x1": 0, "y1": 0, "x2": 1, "y2": 1}]',
        '[{"shape": "arrow", "x1": 2, "y1": 0, "x2": 1, "y2": 1}]',
        '[{"shape": "arrow"}]',
        '"<svg onload=alert(1)>"',
        json.dumps([{"shape": "arrow", "x1": 0, "y1": 0, "x2": 1, "y2": 1}] * 40),
    ],
)
def test_marks_that_are_none_are_refused(bench, technician, job, marks: str) -> None:
    photo, _ = two_photos(job, technician)
    answer = send(bench, job, "photo", photo.pk, shows="bench", marks=marks)
    assert answer.status_code == 422
    photo.picture.refresh_from_db()
    assert photo.picture.marks == []


def test_a_photograph_is_taken_out_of_the_record_but_not_destroyed(bench, technician, job) -> None:
    photo, other = two_photos(job, technician)
    bench.post(at(job, "set_photo_aside", photo.pk), {})
    assert list(JobPicture.objects.filter(job=job, struck_at=None)) == [other]
    assert bench.get(at(job, "photo", photo.pk)).status_code == 404
    assert photo.picture.file.storage.exists(photo.picture.file.name)


# --- parts -----------------------------------------------------------------------------------------------


def test_one_match_is_taken_several_are_offered_and_none_is_taken_in_words(bench, technician, job) -> None:
    a_part(technician, number="B-71", description="Belt, flat, 71 mm", drawer="14", there=5)
    square = a_part(technician, number="B-80", description="Belt, square, 80 mm", drawer="14", there=5)
    answer = send(bench, job, "part", drawer="belt")
    assert answer.status_code == 422
    assert "Several parts match" in answer.content.decode()
    send(bench, job, "part", drawer="belt", part=square.pk)
    send(bench, job, "part", drawer="71 mm", position="Capstan")
    send(bench, job, "part", drawer="Felt pad cut to size")
    fitted = PartFitted.objects.order_by("id")
    assert [(one.part.number if one.part else "", one.description) for one in fitted] == [
        ("B-80", "Belt, square, 80 mm"),
        ("B-71", "Belt, flat, 71 mm"),
        ("", "Felt pad cut to size"),
    ]
    page = bench.get(at(job)).context["page"]
    assert [part.number for part in page.likely_parts] == ["B-71", "B-80"]


def test_more_than_the_drawer_holds_is_refused_at_the_quantity(bench, technician, job) -> None:
    a_part(technician, number="B-71", description="Belt, flat, 71 mm", drawer="14", there=1)
    answer = send(bench, job, "part", drawer="B-71", quantity="2")
    assert answer.status_code == 422
    assert "not that much of B-71" in answer.content.decode()


def test_parts_are_offered_while_one_types(bench, technician, job) -> None:
    a_part(technician, number="B-71", description="Belt, flat, 71 mm", drawer="14", there=5)
    assert "B-71" in bench.get(at(job, "offer_parts"), {"drawer": "belt"}).content.decode()
    assert "B-71" not in bench.get(at(job, "offer_parts"), {"drawer": "capacitor"}).content.decode()


def test_an_action_says_itself_what_it_refuses(technician, job) -> None:
    with pytest.raises(Refusal, match="Say what was found"):
        actions.add_finding(job=job, text=" ", by=technician)
    with pytest.raises(Refusal, match="clock does not run"):
        actions.stop_running_stint(job=job, by=technician)
