"""The notebook beside findings and readings: what is temporarily installed, where one stopped, checklists, lists of parts."""

from __future__ import annotations

import datetime as dt

import pytest
from django.test import Client
from django.urls import reverse

from shop.bench import actions, listing, models, queries
from shop.bench.models import LeftOff, Reading, Temporary, Ticked
from shop.bench.models.written import Written
from shop.bench.page import BenchPage
from shop.bench.views.lines import LINES
from shop.counter.models import Job, OriginalPart
from shop.counter.moving import MoveRefused
from shop.counter.stages import Stage
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.handbook.parts_list import ListError
from shop.stockroom.models import PartFitted
from tests.factories.stockroom import a_part

pytestmark = pytest.mark.django_db


def concluded(job: Job, by: Staff) -> None:
    actions.conclude(job=job, failed="Driver", mode="open", remedy="New driver.", outcome="repaired", by=by)


def test_a_set_with_a_lamp_in_series_is_not_ready_until_the_lamp_is_out(job: Job, technician: Staff) -> None:
    concluded(job, technician)
    lamp = actions.put_in_temporarily(job=job, what="Lamp in series", where="line cord", by=technician)
    with pytest.raises(MoveRefused, match="Lamp in series, line cord"):
        actions.call_ready(job=job, by=technician)
    actions.put_back(temporary=lamp, by=technician)
    actions.call_ready(job=job, by=technician)
    job.refresh_from_db()
    assert job.stage == Stage.READY


def test_a_soak_test_passes_only_when_everything_is_back(job: Job, technician: Staff) -> None:
    concluded(job, technician)
    actions.start_soak(job=job, planned_seconds=3600, by=technician)
    fuse = actions.put_in_temporarily(job=job, what="Bigger fuse", where="F801", by=technician)
    with pytest.raises(MoveRefused, match="Bigger fuse"):
        actions.end_running_soak(job=job, result="passed", note="Long enough.", by=technician)
    actions.put_back(temporary=fuse, by=technician)
    actions.end_running_soak(job=job, result="passed", note="Long enough.", by=technician)


def test_what_was_noted_by_mistake_holds_nothing_up_and_is_put_back_once(job: Job, technician: Staff) -> None:
    wrong = actions.put_in_temporarily(job=job, what="Jumper", where="R12", by=technician)
    actions.strike(line=wrong, reason="Wrong place", by=technician)
    assert queries.not_put_back(job) is None
    with pytest.raises(Refusal, match="already"):
        actions.put_back(temporary=wrong, by=technician)
    assert Temporary.objects.get().back_at is None


def test_where_one_stopped_and_the_steps_ticked_stand_with_the_job(job: Job, technician: Staff) -> None:
    actions.leave_off(job=job, text="Board out, screws in tray 3. Next: Q707", by=technician)
    actions.tick(
        job=job,
        checklist="First power",
        done=["Lamp in series"],
        left_out={"Loudspeakers": "later"},
        by=technician,
    )
    assert LeftOff.objects.get().text.endswith("Next: Q707")
    assert list(Ticked.objects.order_by("id").values_list("step", "left_out")) == [
        ("Lamp in series", ""),
        ("Loudspeakers", "later"),
    ]
    with pytest.raises(Refusal, match="Check a step"):
        actions.tick(job=job, checklist="First power", done=[], by=technician)


def test_a_list_takes_from_the_drawers_what_lies_there_and_words_for_the_rest(
    job: Job, technician: Staff
) -> None:
    a_part(technician, number="C-47-63", designation="47 µF", rating="63 V", description="Capacitor", there=9)
    found = listing.parts_of("C12 47u63, C13 47u50, Q707 KSC3503 @1.20, C9", job)
    assert [one.part.number if one.part else one.words for one in found] == [
        "C-47-63",
        "C-47-63",
        "KSC3503",
        f"C9, {listing.NO_VALUE}",
    ]
    fitted = actions.fit_list(job=job, text="C12 47u63, …", parts=found, by=technician)
    assert [one.position for one in PartFitted.objects.order_by("id")] == ["C12", "C13", "Q707", "C9"]
    assert PartFitted.objects.get(position="Q707").unit_price_ten_thousandths == 12_000
    assert PartFitted.objects.get(position="C9").unit_price_ten_thousandths == 0
    assert found[0].part is not None
    found[0].part.level.refresh_from_db()
    assert found[0].part.level.quantity_thousandths == 7000
    actions.take_list_back(fitted=fitted, by=technician)
    found[0].part.level.refresh_from_db()
    assert found[0].part.level.quantity_thousandths == 9000
    assert set(PartFitted.objects.values_list("struck_reason", flat=True)) == {"taken back"}
    with pytest.raises(Refusal, match="already"):
        actions.take_list_back(fitted=fitted, by=technician)


def test_a_list_is_fitted_whole_or_not_at_all(job: Job, technician: Staff) -> None:
    a_part(technician, number="R-100", designation="100 R", description="Resistor", there=1)
    found = listing.parts_of("R1 R-100, R2 R-100", job)
    with pytest.raises(Refusal, match="R2"):
        actions.fit_list(job=job, text="R1 R-100, R2 R-100", parts=found, by=technician)
    assert not PartFitted.objects.exists()


def test_recapped_opens_the_list_with_the_values_of_the_model_file(job: Job) -> None:
    model = job.unit.model
    OriginalPart.objects.create(model=model, position="C1", designation="10u 50V")
    OriginalPart.objects.create(model=model, position="C3", designation="100u 25V")
    found = listing.parts_of("C1–C3 recapped", job)
    assert listing.spelled_out(found) == "C1 10u 50V\nC2\nC3 100u 25V"
    assert found[1].price == 0


def test_a_price_that_is_no_price_is_told_with_its_position(job: Job) -> None:
    with pytest.raises(ListError, match="Q1"):
        listing.parts_of("Q1 BC550 @cheap", job)


def test_a_reading_typed_anew_in_its_cell_strikes_the_one_before(job: Job, technician: Staff) -> None:
    facts = {"quantity": "voltage_dc", "where": "Rail +", "against": "chassis", "by": technician, "job": job}
    first = actions.add_reading(typed="19.1 V", **facts)
    second = actions.add_reading(typed="1.91 V", instead_of=first, **facts)
    first.refresh_from_db()
    assert first.struck_reason == "Typed anew in its cell"
    assert (second.against, second.struck_at) == ("chassis", None)


def test_what_a_part_does_is_a_reading_in_words(job: Job, technician: Staff) -> None:
    reading = actions.add_reading(
        job=job, typed="locks after 4 s", quantity="text", where="Servo", by=technician
    )
    assert (reading.value, reading.verdict, reading.shown) == (None, "", "locks after 4 s")
    assert Reading.objects.get() == reading


def test_every_kind_of_line_can_be_struck_out_or_is_taken_back_in_a_way_of_its_own() -> None:
    own_way = {
        models.SoakTest: "it is ended",
        models.FittedList: "it is undone with its parts",
        models.Taking: "it is taken back with its lines",
        models.Said: "its proposals are taken or dropped one by one",
    }
    assert set(Written.__subclasses__()) - set(LINES.values()) == own_way.keys()


def test_a_line_of_the_notebook_that_was_wrong_is_struck_out_on_the_page(
    job: Job, technician: Staff, client: Client
) -> None:
    actions.put_in_temporarily(job=job, what="Jumper", where="R12", by=technician)
    actions.leave_off(job=job, text="Next: Q707", by=technician)
    actions.tick(job=job, checklist="First power", done=["Lamp in series"], by=technician)
    client.force_login(technician)
    for kind, table in (("temporary", Temporary), ("left_off", LeftOff), ("ticked", Ticked)):
        line = table.objects.get()
        address = reverse("bench:strike", args=[job.number, kind, line.pk])
        assert str(line) in client.get(address).content.decode()
        client.post(address, {"reason": "Wrong line"})
        line.refresh_from_db()
        assert line.struck_reason == "Wrong line"
    page = BenchPage(job, technician)
    assert (page.temporaries, page.left_off) == ([], None)
    assert not any(step.left_out == "" for one in page.checklists for step in one.steps)


def test_a_suggestion_that_was_set_aside_by_mistake_holds_again(job: Job, technician: Staff) -> None:
    aside = actions.overrule(job=job, rule="dc_at_output", reason="Bridged amplifier", by=technician)
    assert BenchPage(job, technician).notes["overruled"][0].pk == aside.pk
    actions.strike(line=aside, reason="It is not bridged", by=technician)
    assert BenchPage(job, technician).notes["overruled"] == []


@pytest.mark.parametrize(
    "kept",
    ["2026-11-29 18:30:00.250000", dt.datetime(2026, 11, 29, 18, 30, 0, 250_000)],
    ids=["text", "read by the driver"],
)
def test_a_moment_of_the_notebook_is_greenwichs_however_the_driver_hands_it_out(kept):
    # which of the two SQLite's driver gives hangs on the plan of the statement
    assert queries.as_moment(kept) == dt.datetime(2026, 11, 29, 18, 30, 0, 250_000, tzinfo=dt.UTC)
