"""Model files and figures: sums, shares and percentiles that somebody else's arithmetic confirms."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from shop.counter.models import Job, StageMove, UnitModel
from shop.counter.stages import Stage
from shop.frame import clock
from shop.frame.plots import Bar, bars, pareto
from shop.handbook.counting import percentile
from shop.planner.reckoning import reckon
from shop.records.figures import Figures, seconds_by_stage
from shop.records.model_files import ModelFile, listed_models
from tests.factories.counter import MakerFactory, UnitFactory, UnitModelFactory, booked_in
from tests.factories.premises import StaffFactory
from tests.factories.records import past_job

pytestmark = pytest.mark.django_db


def day(number: int) -> dt.datetime:
    return dt.datetime(2026, 2, number, 9, tzinfo=dt.UTC)


@pytest.fixture
def model() -> UnitModel:
    """A model of ten kilograms with six jobs: three relays, a capacitor, a belt, one not repaired."""
    model = UnitModelFactory(
        name="VX-318", weight_grams=10_000, built_from=dt.date(1976, 1, 1), built_to=dt.date(1976, 12, 31)
    )
    causes = [("Relay", "dirty")] * 3 + [("Capacitor", "leaky"), ("Belt", "worn")]
    for at, (failed, mode) in enumerate(causes):
        past_job(
            complaint="Hum",
            failed=failed,
            mode=mode,
            hours=at + 1,
            days=at + 2,
            at=day(at + 1),
            model=model,
            parts=[failed],
        )
    past_job(
        complaint="Burnt",
        failed="Transformer",
        mode="open",
        outcome="beyond",
        at=day(9),
        model=model,
        marking="X",
    )
    return model


@given(values=st.lists(st.integers(0, 10**6), min_size=1, max_size=60), share=st.sampled_from([0.5, 0.85]))
def test_percentiles_are_those_of_numpy(values: list[int], share: float) -> None:
    """numpy's method `inverted_cdf`: the smallest value that the share does not exceed."""
    assert percentile(values, share) == np.percentile(values, share * 100, method="inverted_cdf")


def test_a_model_file_adds_up_what_failed_and_what_it_took(model: UnitModel) -> None:
    file = ModelFile(model)
    assert [(row.label, row.count, row.percent, row.so_far) for row in file.failures] == [
        ("Relay, dirty or oxidized", 3, 50, 50),
        ("Belt, worn", 1, 17, 67),
        ("Capacitor, leaky", 1, 17, 83),
        ("Transformer, open", 1, 17, 100),
    ]
    assert (file.repaired.hits, file.repaired.tries) == (5, 6)
    hours = [one * 3600 for one in range(1, 6)]
    assert file.hours == (
        int(np.percentile(hours, 50, method="inverted_cdf")),
        int(np.percentile(hours, 85, method="inverted_cdf")),
    )
    assert (file.earlier_repairs.hits, file.earlier_repairs.tries) == (1, 6)
    assert file.ages == (49, 49, 49)
    assert file.parts[0].label == "Relay"
    assert file.parts[0].count == 3


def test_the_shares_of_a_pareto_end_at_a_hundred_and_the_rest_is_taken_together() -> None:
    rows = pareto([(f"part {at}", 20 - at) for at in range(15)], most=10)
    assert rows[-1].label == "all others"
    assert rows[-1].so_far == 100
    assert sum(row.count for row in rows) == sum(20 - at for at in range(15))
    assert pareto([]) == []


def test_a_failure_is_counted_once_however_it_is_spelt_and_not_where_an_older_book_is_silent() -> None:
    model = UnitModelFactory(name="VX-500")
    for failed in ("Speaker relay", "speaker relays", "Speaker relay", ""):
        past_job(complaint="Dead", failed=failed, mode="dirty", model=model)
    assert [(row.label, row.count, row.percent) for row in ModelFile(model).failures] == [
        ("Speaker relay, dirty or oxidized", 3, 100)
    ]


def test_turnaround_is_told_by_median_and_85th_and_kilograms_of_what_was_repaired(model: UnitModel) -> None:
    past_job(
        complaint="Hum",
        at=day(11),
        unit=UnitFactory(model=UnitModelFactory(name="No weight", weight_grams=None)),
    )
    figures = Figures(2026)
    days = [2, 3, 4, 5, 6, 5, 5]
    assert figures.turnaround is not None
    assert (figures.turnaround.jobs, figures.turnaround.median, figures.turnaround.p85) == (
        7,
        int(np.percentile(days, 50, method="inverted_cdf")),
        int(np.percentile(days, 85, method="inverted_cdf")),
    )
    waste = figures.waste
    assert (waste.grams, waste.weighed, waste.unweighed) == (50_000, 5, 1)


def test_a_unit_repaired_twice_is_kept_out_of_the_waste_once_and_one_still_here_is_not_counted(
    model: UnitModel,
) -> None:
    once = Figures(2026).waste.grams
    past_job(complaint="Hum again", at=day(12), unit=Job.objects.order_by("pk")[0].unit)
    still_here = past_job(complaint="Hum", at=day(13), model=model)
    Job.objects.filter(pk=still_here.pk).update(stage=Stage.READY, ended_at=None)
    assert Figures(2026).waste.grams == once


def test_time_at_each_stage_comes_from_the_moves() -> None:
    job = booked_in(at=day(1))
    for at, (before, after) in enumerate(
        [
            (Stage.BOOKED_IN, Stage.ON_THE_BENCH),
            (Stage.ON_THE_BENCH, Stage.AWAITING_PARTS),
            (Stage.AWAITING_PARTS, Stage.ON_THE_BENCH),
            (Stage.ON_THE_BENCH, Stage.READY),
        ]
    ):
        StageMove.objects.create(job=job, from_stage=before, to_stage=after, at=day(3 + 2 * at))
    spent = seconds_by_stage([job.pk])
    assert {stage: by_job[job.pk] // 86_400 for stage, by_job in spent.items()} == {
        Stage.BOOKED_IN: 2,
        Stage.ON_THE_BENCH: 4,
        Stage.AWAITING_PARTS: 2,
    }


def test_the_queue_is_told_once_with_this_years_figures_and_by_the_planner(
    client: Client, model: UnitModel
) -> None:
    client.force_login(StaffFactory())
    booked_in()
    state = reckon()
    this, page = clock.today().year, reverse("records:figures")
    assert f"{state.week_hours:.1f}".removesuffix(".0") in client.get(page, {"year": this}).content.decode()
    for year in {job.year for job in Job.objects.all()} - {this}:
        assert "h of work is likely" not in client.get(page, {"year": year}).content.decode()


def test_a_plot_says_its_figures_in_words_and_carries_no_style(model: UnitModel) -> None:
    drawn = bars("What failed", [Bar("Relay <3>", 3), Bar("Belt", 1, "1 (25 %)")])
    assert 'aria-label="What failed: Relay &lt;3&gt; 3, Belt 1 (25 %)"' in drawn
    assert "style=" not in drawn
    assert "<script" not in bars("x", [Bar("<script>", 1)])
    assert bars("nothing", []) == ""


def test_pages_of_figures_are_bounded_and_shown_for_any_address(client: Client, model: UnitModel) -> None:
    client.force_login(StaffFactory())
    addresses = [
        reverse("records:models"),
        reverse("records:model", args=[model.pk]),
        reverse("records:figures"),
    ]
    counts = []
    for _ in range(2):
        counts.append([])
        for address in addresses:
            with CaptureQueriesContext(connection) as asked:
                assert client.get(address).status_code == 200
            counts[-1].append(len(asked))
        for at in range(20):
            past_job(complaint="Hum", failed=f"Part {at}", at=day(1 + at), model=model)
    assert counts[0] == counts[1]
    assert max(counts[0]) < 25
    for query in ("year=9999", "year=x", "year=" + "9" * 50, "after=zz", "model=%22*"):
        for address in addresses:
            assert client.get(f"{address}?{query}").status_code == 200


def test_the_list_of_models_pages_by_key_and_counts_jobs(model: UnitModel) -> None:
    maker = MakerFactory(name="Zither")
    for at in range(60):
        UnitModelFactory(name=f"Z-{at:03d}", maker=maker)
    first, following = listed_models()
    second, end = listed_models(after=following)
    assert len(first) == 50
    assert end == ""
    assert len({one.pk for one in [*first, *second]}) == UnitModel.objects.count()
    assert vars(next(one for one in first if one.pk == model.pk))["job_count"] == 6
    assert [one.name for one in listed_models("zither 042")[0]] == ["Z-042"]


def test_a_merged_models_address_leads_to_the_one_it_became(client: Client, model: UnitModel) -> None:
    other = UnitModelFactory(name="VX 318 mk2", merged_into=model)
    client.force_login(StaffFactory())
    answer = client.get(reverse("records:model", args=[other.pk]))
    assert answer["Location"] == reverse("records:model", args=[model.pk])
    assert Job.objects.exists()
