"""What is told in one place is changed in one place: something new is declared, and the shop's pages go by it."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest
from django.test import RequestFactory

from shop.bench import actions as bench
from shop.bench import drawing
from shop.bench.cautions import steps_at
from shop.bench.forms import FindingForm
from shop.bench.models import Finding
from shop.bench.page import BenchPage
from shop.bench.panels import PANELS, Panel, stands_at
from shop.bench.views.writing import door_of
from shop.counter.papers import law_notices
from shop.counter.stages import ENDED, MOVES, OPEN, NextStep, Row, Stage, Told, for_each_open
from shop.frame.models import Role, ShopProfile
from shop.frame.whose_move import WhoseMove
from shop.handbook import law
from shop.handbook.law import LawProfile, Paper, Requirement
from shop.opening.country import customs_of
from shop.premises.forms.shop import ProfileForm
from shop.records.next_step import next_step
from shop.window.page import WindowPage
from tests.factories.counter import booked_in
from tests.factories.premises import ShopProfileFactory, StaffFactory

pytestmark = pytest.mark.django_db

FREEDONIA = LawProfile(
    "freedonia",
    "Freedonia",
    dt.date(2026, 11, 25),
    (Requirement("invented", Paper.CLAIM_CHECK, "Repairs Act § 7", "a notice", text="As § 7 asks."),),
    countries=frozenset({"FJ"}),
)
"""An invented law of an invented country, under a code that no other profile has."""


def test_a_new_law_is_offered_kept_and_printed_from_its_own_declaration(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(law.PROFILES, FREEDONIA.key, FREEDONIA)
    profile = ShopProfileFactory(law_profile=FREEDONIA.key)
    profile.full_clean()
    assert "Freedonia" in str(ProfileForm()["law_profile"])
    assert customs_of("FJ", dt.date(2026, 11, 25)).law_profile == "freedonia"
    assert ShopProfile.objects.get().law is FREEDONIA
    (notice,) = law_notices(Paper.CLAIM_CHECK, on=dt.date(2026, 11, 25))
    assert notice.text == "As § 7 asks."


def test_a_stage_is_told_everywhere_by_its_row(monkeypatch: pytest.MonkeyPatch) -> None:
    ShopProfileFactory()
    by = StaffFactory()
    job = booked_in(by=by)
    row = replace(
        Stage.BOOKED_IN.row,
        told=Told("In the cellar", "It dries out first."),
        next_step=NextStep("bench:job", "Fetch it up", Role.BENCH),
        waits_for="the cellar",
        cautions=(),
    )
    monkeypatch.setattr(Stage.BOOKED_IN, "row", row)
    assert WindowPage(job).stands == "In the cellar"
    assert WindowPage(job).words.startswith("It dries out first.")
    assert (step := next_step(job)) is not None
    assert step.act == "Fetch it up"
    assert steps_at(job.stage) == ()


def test_every_stage_has_its_row_and_somebodys_move() -> None:
    for stage in Stage:
        assert isinstance(stage.row, Row)
        assert (stage.row.whose_move == WhoseMove.NOBODY) == stage.row.is_end
        assert (stage.row.next_step is None) == stage.row.is_end
        assert stage in {*ENDED, *(start for start, _ in MOVES)}, "a job would never get on from here"


def test_a_rooms_table_that_forgets_an_open_stage_breaks_the_import() -> None:
    whole = dict.fromkeys(OPEN, "")
    assert for_each_open(whole) is whole
    del whole[Stage.PROVING]
    with pytest.raises(RuntimeError, match="proving"):
        for_each_open(whole)


def test_a_panel_of_the_bench_is_opened_and_taken_from_its_own_declaration(
    monkeypatch: pytest.MonkeyPatch, rf: RequestFactory
) -> None:
    ShopProfileFactory()
    by = StaffFactory(roles=[Role.BENCH])
    job = booked_in(by=by)
    smell = Panel(
        "smell",
        FindingForm,
        lambda form, stamp: bench.add_finding(text=f"Smells of {form.cleaned_data['text']}", **stamp),
        title="Smell",
        words="Smell",
        icon="flame",
        sections=("findings",),
        when=stands_at(Stage.BOOKED_IN),
    )
    monkeypatch.setattr(drawing, "PANELS", (*PANELS, smell))
    page = BenchPage(job, by)
    context = drawing.context_of(page)
    assert context["dock"][-1] is smell
    assert [type(form) for panel, form in context["panels"] if panel is smell] == [FindingForm]
    request = rf.post("/", {"text": "burnt varnish"}, headers={"X-Bench-Entry": "1"})
    request.user = by
    assert door_of(smell)(request, number=job.number).status_code == 200
    assert Finding.objects.get().text == "Smells of burnt varnish"
