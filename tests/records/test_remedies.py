"""What fixed it last time: counted honestly, the nearest model first, with what it took."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from statsmodels.stats.proportion import proportion_confint

from shop.bench import actions
from shop.counter.models import Job, Kind, UnitModel
from shop.records.remedies import advice_for
from tests.factories.counter import MakerFactory, UnitFactory, UnitModelFactory, booked_in
from tests.factories.premises import StaffFactory
from tests.factories.records import past_job
from tests.pages import words_on

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]
COMPLAINT = "No sound from the left channel"


def at_the_bench(job: Job) -> str:
    """What the bench page gets when it asks, after it has come, for what is known of such a complaint."""
    bench = Client()
    bench.force_login(StaffFactory())
    return words_on(
        bench.get(reverse("bench:aside", args=[job.number]), headers={"X-Requested-With": "bench"})
    )


@pytest.fixture
def model() -> UnitModel:
    """A receiver on which the relay was at fault in seven of nine such jobs, and hum was something else."""
    model = UnitModelFactory(name="VX-318", family="VX", kind=Kind.RECEIVER)
    for at in range(7):
        past_job(
            complaint="Left channel dead",
            failed="Speaker relay",
            mode="dirty",
            hours=1 + at / 2,
            parts=["Relay"],
            at=dt.datetime(2026, 1, 2 + at, 9, tzinfo=dt.UTC),
            model=model,
        )
    for failed in ("Balance control", "Output transistor"):
        past_job(complaint="left channel no output at all", failed=failed, mode="open", model=model)
    past_job(complaint="Hum in both channels", failed="Filter capacitor", mode="leaky", model=model)
    return model


def test_seven_of_nine_is_said_with_its_lower_end(model: UnitModel) -> None:
    """The interval against statsmodels' Wilson interval."""
    first = advice_for(model, COMPLAINT).remedies[0]
    assert (first.failed, first.mode) == ("Speaker relay", "Dirty or oxidized")
    (count,) = first.counts
    assert (count.hits, count.tries, count.circle.name) == (7, 9, "this model")
    lower, upper = proportion_confint(7, 9, method="wilson")
    assert count.interval.lower == pytest.approx(lower)
    assert count.interval.upper == pytest.approx(upper)
    assert count.at_least == int(lower * 100) == 45


def test_what_another_complaint_was_is_not_counted(model: UnitModel) -> None:
    assert "Filter capacitor" not in [one.failed for one in advice_for(model, COMPLAINT).remedies]
    assert advice_for(model, "Hums in both channels").remedies[0].failed == "Filter capacitor"


def test_hours_and_parts_are_the_median_of_the_jobs_and_the_newest_are_linked(model: UnitModel) -> None:
    first = advice_for(model, COMPLAINT).remedies[0]
    assert first.seconds == int(2.5 * 3600)  # the fourth of 1, 1.5 … 4 hours
    assert len(first.jobs) == 3
    assert first.jobs[0].booked_in_at > first.jobs[1].booked_in_at


def test_a_model_without_a_history_asks_its_family_then_its_twins_then_its_kind(model: UnitModel) -> None:
    kin = UnitModelFactory(name="VX-320", family="VX", kind=Kind.RECEIVER)
    (family,) = advice_for(kin, COMPLAINT).remedies[0].counts
    assert family.circle.name == "its family and twins"
    twin = UnitModelFactory(name="TW-1", maker=MakerFactory(name="Ostrander"), kind=Kind.AMPLIFIER)
    twin.twins.add(model)
    assert advice_for(twin, COMPLAINT).remedies[0].counts[0].circle.name == "its family and twins"
    stranger = UnitModelFactory(name="Z-9", maker=MakerFactory(name="Fenwick"), kind=Kind.RECEIVER)
    kind = advice_for(stranger, COMPLAINT).remedies[0]
    assert kind.counts[0].circle.name == "this kind of unit"
    assert (
        kind.weight
        < advice_for(kin, COMPLAINT).remedies[0].weight
        < advice_for(model, COMPLAINT).remedies[0].weight
    )


def test_one_lucky_case_stands_below_seven_of_nine(model: UnitModel) -> None:
    """The lower end of 1 of 1 is 0.2065 (trade table of Wilson intervals, checked with statsmodels)."""
    lucky = past_job(complaint="Qwerty squeals", failed="Coil", mode="open", model=model)
    (count,) = advice_for(model, lucky.complaint).remedies[0].counts
    assert (count.hits, count.tries, count.at_least) == (
        1,
        1,
        0,
    )  # one case is told as one, without a per cent
    assert int(count.interval.lower * 100) == 20
    assert (
        advice_for(model, lucky.complaint).remedies[0].weight
        < advice_for(model, COMPLAINT).remedies[0].weight
    )


def test_a_job_does_not_advise_itself(model: UnitModel) -> None:
    job = past_job(complaint="Zyx squeals", failed="Zyx coil", mode="open", model=model, home=False)
    assert advice_for(model, "Zyx squeals").like_jobs == 1
    assert advice_for(model, "Zyx squeals", leave_out=job.pk).like_jobs == 0


def test_no_fault_found_counts_as_a_try_but_never_as_a_remedy(model: UnitModel) -> None:
    past_job(
        complaint="Left channel dead", failed="nothing", mode="none_found", outcome="no_fault", model=model
    )
    advice = advice_for(model, COMPLAINT)
    assert advice.remedies[0].counts[0].tries == 10
    assert advice.no_fault == 1
    assert "nothing" not in [one.failed for one in advice.remedies]


def test_where_the_shop_knows_nothing_nothing_is_said() -> None:
    job = booked_in(complaint="Relay clicks, a burnt resistor")
    assert not advice_for(job.unit.model, job.complaint, job=job)
    assert "Nothing like this complaint has been concluded before." in " ".join(at_the_bench(job).split())


def test_a_chatty_complaint_finds_its_twin() -> None:
    tuner = UnitModelFactory(name="TU-9", kind=Kind.TUNER)
    past_job(complaint="Drifts off the station.", failed="AFC varicap", mode="drift", model=tuner)
    chatty = (
        "Drifts off the station. It really does, I filmed it with my phone on Sunday while my brother in law was "
        "visiting and he heard it, too, you can see the needle wander when the kitchen gets warm."
    )
    assert advice_for(tuner, chatty).remedies[0].failed == "AFC varicap"


def test_a_unit_that_was_here_before_is_the_first_to_tell() -> None:
    first = past_job(complaint="Crackles", failed="Balance pot", mode="dirty", remedy="cleaned")
    again = booked_in(complaint="No lights at all", unit=first.unit)
    (remedy,) = advice_for(again.unit.model, again.complaint, job=again).remedies
    assert (remedy.failed, remedy.counts[0].circle.name) == ("Balance pot", "this very unit")
    page = " ".join(at_the_bench(again).split())
    assert "one case on this very unit" in page
    assert "at least" not in page
    assert first.number in page


def test_the_same_reading_comes_before_the_same_words(model: UnitModel) -> None:
    def read(job: Job, where: str) -> None:
        actions.add_reading(
            job=job,
            where=where,
            typed="0.1 V",
            quantity="voltage_dc",
            expected="-15 V ± 5 %",
            by=job.accepted_by,
        )

    known = booked_in(complaint="Pops now and then", unit=UnitFactory(model=model))
    read(known, "−15 V rail")
    actions.conclude(
        job=known,
        failed="Regulator IC802",
        mode="open",
        remedy="replaced",
        outcome="repaired",
        by=known.accepted_by,
    )
    asks = booked_in(complaint="Something is wrong", unit=UnitFactory(model=model))
    assert not advice_for(model, asks.complaint, job=asks)
    read(asks, "rail, minus 15 V")
    (remedy,) = advice_for(model, asks.complaint, job=asks).remedies
    assert (remedy.failed, remedy.counts[0].circle.name) == (
        "Regulator IC802",
        "this model with such a reading",
    )


def test_what_is_surely_known_weighs_more_than_what_was_replaced_with_others() -> None:
    deck = UnitModelFactory(name="D-8", kind=Kind.TAPE_DECK)
    for failed, known_by in (("Belt", "with_others"), ("Motor", "measured")):
        job = booked_in(complaint="Wow and flutter", unit=UnitFactory(model=deck))
        actions.conclude(
            job=job,
            failed=failed,
            mode="worn",
            remedy="new",
            outcome="repaired",
            known_by=known_by,
            by=job.accepted_by,
        )
    remedies = advice_for(deck, "Wow and flutter").remedies
    assert [(one.failed, one.known_by) for one in remedies] == [
        ("Motor", "Measured on the part itself"),
        ("Belt", "Replaced together with others"),
    ]


def test_the_kind_other_and_a_single_word_of_another_model_say_nothing() -> None:
    dryer = UnitModelFactory(name="Dryer", kind=Kind.OTHER)
    past_job(complaint="Does not start, hums loudly", failed="Compressor", mode="worn", model=dryer)
    deck = UnitModelFactory(name="Deck", maker=MakerFactory(name="Fenwick"), kind=Kind.OTHER)
    assert not advice_for(deck, "Does not start, hums loudly")
    amplifier = UnitModelFactory(name="A-1", kind=Kind.AMPLIFIER)
    past_job(complaint="Hum", failed="Ground wire", mode="open", model=amplifier)
    other = UnitModelFactory(name="A-2", maker=MakerFactory(name="Fenwick"), kind=Kind.AMPLIFIER)
    assert not advice_for(other, "Hum")
    assert advice_for(amplifier, "Hum").remedies[0].failed == "Ground wire"


def test_what_did_not_cure_it_and_what_could_not_be_mended_is_told(model: UnitModel) -> None:
    deck = UnitModelFactory(name="D-7", kind=Kind.TAPE_DECK)
    said = "Squeals on rewind"
    first = past_job(complaint=said, failed="Belt", mode="worn", remedy="new belt", model=deck)
    second = past_job(complaint=said, failed="Idler bearing", mode="worn", unit=first.unit)
    Job.objects.filter(pk=second.pk).update(comeback_of=first)
    past_job(
        complaint=said,
        failed="Head block",
        mode="cracked",
        remedy="no part to be had",
        outcome="beyond",
        model=deck,
    )
    past_job(
        complaint=said,
        failed="nothing",
        mode="none_found",
        remedy="ran for a day",
        outcome="no_fault",
        model=deck,
    )
    advice = advice_for(deck, said)
    assert [one.failed for one in advice.remedies] == ["Idler bearing"]
    assert {(one.why, one.told) for one in advice.cases} == {
        ("did not cure it, the unit came back", "Belt: new belt"),
        ("couldn’t be repaired", "Head block: no part to be had"),
        ("no fault found", "ran for a day"),
    }
    page = " ".join(at_the_bench(booked_in(complaint=said, unit=UnitFactory(model=deck))).split())
    assert "Did not cure it, the unit came back</strong>: Belt: new belt" in page


@pytest.mark.parametrize("complaint", ["", "   ", "🎛️", '"*', "a the of", "x" * 9000])
def test_any_complaint_is_answered(model: UnitModel, complaint: str) -> None:
    advice_for(model, complaint)


def test_advice_is_shown_while_booking_in_and_at_the_bench(client: Client, model: UnitModel) -> None:
    client.force_login(StaffFactory())
    answer = client.get(
        reverse("counter:recognise", args=[booked_in().customer_id]),
        {"unit": "0", "u0-maker": model.maker.name, "u0-model": "vx318", "u0-complaint": COMPLAINT},
    )
    asked = words_on(answer)
    assert "<strong>7 of 9</strong> on this model, at least 45 %" in asked
    job = booked_in(complaint=COMPLAINT)
    assert "7 of 9" in at_the_bench(job)


def test_advice_takes_the_same_queries_however_long_the_history(model: UnitModel) -> None:
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as asked:
            advice_for(model, COMPLAINT)
        counts.append(len(asked))
        for _ in range(20):
            past_job(complaint="Left channel dead", failed="Speaker relay", mode="dirty", model=model)
    assert counts[0] == counts[1] <= 11


def test_an_older_book_that_tells_only_what_was_done_is_counted_by_that() -> None:
    model = UnitModelFactory(name="VX-500")
    for remedy in ("Relay replaced", "Pot cleaned", "Relay replaced"):
        past_job(complaint=COMPLAINT, failed="", remedy=remedy, mode="other", model=model)
    told = advice_for(model, COMPLAINT).remedies
    assert [(one.failed, one.remedy, one.counts[0].hits) for one in told] == [
        ("", "Relay replaced", 2),
        ("", "Pot cleaned", 1),
    ]


def test_of_a_model_never_met_before_its_kind_is_told_while_booking_in(
    model: UnitModel, client: Client
) -> None:
    client.force_login(StaffFactory(roles=["counter"]))
    customer = Job.objects.order_by("pk")[0].customer
    typed = {"maker": "Nobody", "model": "N-1", "complaint": COMPLAINT, "kind": Kind.RECEIVER.value}
    asked = {f"u0-{name}": value for name, value in typed.items()} | {"unit": "0"}
    said = words_on(client.get(reverse("counter:recognise", args=[customer.pk]), asked))
    assert "<strong>7 of 9</strong>" in said
    assert "on this kind of unit" in " ".join(said.split())
    said = words_on(client.get(reverse("counter:recognise", args=[customer.pk]), asked | {"u0-kind": "x"}))
    assert "What fixed it last time" not in said
