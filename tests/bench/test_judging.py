"""What the bench tells while one types and after: verdicts, dates, devices, suggestions, cautions, sets, meters.

The worked numbers come from `tests/standards/`, where each names its source; here it is tried that the screens use them.
"""

from __future__ import annotations

import datetime as dt
import uuid
from decimal import Decimal

import pytest
import time_machine
from django.urls import reverse

from shop.bench import actions, models
from shop.bench.cautions import traits_of
from shop.bench.story import earlier_work
from shop.counter.models import Unit
from shop.frame import clock
from shop.handbook.cautions import Trait
from tests.bench.page_cases import at, send
from tests.factories.bench import a_meter, on_the_bench, readings
from tests.pages import words_on

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
    assert "580 mV ± 10 %" in answer  # 580 mV less ten percent


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
        ("Q999", "2SC1815-GR", "", "no original to compare"),
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
    # the pages write days as the shop does: Unicode CLDR, en-US, medium (Mar 9, 1980)
    shown = [
        one.replace("9 March 1980", "Mar 9, 1980").replace("14 March 1992", "Mar 14, 1992")
        for one in story.sentences
    ]
    assert shown != list(story.sentences)
    assert " ".join(shown) in words_on(bench.get(at(job))).replace("&quot;", '"')
    card = words_on(bench.get(reverse("records:job_card", args=[job.number]))).replace("&quot;", '"')
    assert all(sentence in card for sentence in shown)
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


def test_a_hint_says_what_to_measure_next_and_when_it_does_not_hold(bench, technician, job) -> None:
    readings(job, technician, "11.9 V", "2.9 V", "OL")
    page = words_on(bench.get(at(job)))
    assert "To be sure:</strong> Read the load again at its own terminals" in page
    assert "It doesn’t hold when: The meter" in page
    assert "Source: common practice, no source." in page


def test_a_relay_coil_in_other_words_is_one_place_and_one_touch_puts_a_guess_right(
    bench, technician, job
) -> None:
    def read(where: str, typed: str, quantity: str, expected: str) -> models.Reading:
        return actions.add_reading(
            job=job, where=where, typed=typed, quantity=quantity, expected=expected, by=technician
        )

    read("relay coil", "23.8 V", "voltage_dc", "24 V ± 10 %")
    coil = read("coil of relay RL1", "OL", "resistance", "200 to 1k")
    page = bench.get(at(job))
    assert [one.suggestion.rule for one in page.context["page"].suggested] == ["load-open"]
    assert "relay RL1 · coil · load" in words_on(page)
    answer = bench.post(reverse("bench:reading_role", args=[job.number]), {"as": f"{coil.pk}:none"})
    assert answer.status_code == 302
    page = bench.get(at(job))
    assert page.context["page"].suggested == []
    for wrong in (f"{coil.pk}:king", "x:load", ""):
        bench.post(reverse("bench:reading_role", args=[job.number]), {"as": wrong})
    coil.refresh_from_db()
    assert coil.role == "none"


def test_the_model_file_learns_what_a_place_is_and_knows_it_in_other_words(bench, technician, job) -> None:
    def read(where: str) -> models.Reading:
        return actions.add_reading(job=job, where=where, typed="0.9 V", quantity="voltage_dc", by=technician)

    first = read("pin 3 of CN2")
    actions.set_role(reading=first, role="output", by=technician)
    bench.post(reverse("bench:learn", args=[job.number]), {"reading": first.pk})
    actions.strike(line=first, reason="Measured again", by=technician)
    read("CN2: pin 3")
    assert [one.suggestion.rule for one in bench.get(at(job)).context["page"].suggested] == ["dc-at-output"]


def test_struck_readings_suggest_nothing(bench, technician, job) -> None:
    readings(job, technician, "11.9 V", "2.9 V", "OL")
    actions.strike(line=models.Reading.objects.get(typed="OL"), reason="Lead off", by=technician)
    assert bench.get(at(job)).context["page"].suggested == []


# --- cautions --------------------------------------------------------------------------------------------


def test_cautions_are_shown_until_they_were_read_on_this_job_by_this_person_in_this_sitting(
    bench, technician, job
) -> None:
    page = bench.get(at(job))
    unread = page.context["page"].unread_cautions
    assert {one.caution.key for one in unread} >= {"mains-cover", "charged-capacitors"}
    send(bench, job, "cautions", key=[one.caution.key for one in unread])
    page = bench.get(at(job))
    assert page.context["page"].unread_cautions == []
    assert "line, charged capacitors" in words_on(page)
    assert send(bench, job, "cautions", key=["made-up"]).status_code == 422
    models.CautionRead.objects.update(at=clock.now() - dt.timedelta(hours=13))
    assert bench.get(at(job)).context["page"].unread_cautions


def test_the_wait_before_hands_go_in_is_computed_from_the_model_file(bench, job) -> None:
    # 63 V, 10 mF with 20 % more, through 2.2 kΩ down to 10 V: R·C·ln(V/Vs) = 48.6 s (circuit theory)
    answer = send(bench, job, "reservoir", where="C801", volt="63 V", farad="10 mF", ohm="2k2")
    assert answer.status_code == 303
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
