"""A panel of the bench page is declared in one place; what the page and its doors need follows from there."""

from __future__ import annotations

import pytest
from django.template.loader import get_template
from django.urls import resolve, reverse

from shop.bench.next_step import next_step
from shop.bench.page import BenchPage
from shop.bench.panels import PANELS, SECTIONS, SENT
from shop.counter.stages import Stage
from tests.factories.counter import booked_in
from tests.factories.premises import ShopProfileFactory, StaffFactory


def test_each_has_a_name_of_its_own_a_door_and_templates() -> None:
    names = [one.name for one in SENT]
    assert len(set(names)) == len(names)
    for one in SENT:
        address = reverse(one.door, args=["26-0001"])
        assert address == f"/bench/26-0001/{one.path}"
        assert "/" not in one.path[:-1], "the outbox finds the job's page one step above a door"
        assert resolve(address).url_name == one.name
    for panel in PANELS:
        get_template(panel.template)
        assert panel.title
        assert panel.words
    for section in SECTIONS:
        get_template(f"bench/record/{section}.html")


@pytest.mark.django_db
def test_the_next_step_opens_a_panel_that_is_there() -> None:
    ShopProfileFactory()
    by = StaffFactory()
    job = booked_in(by=by)
    page = BenchPage(job, by)
    for stage in Stage:
        job.stage = stage
        step = next_step(job, page.record, ())
        if step is not None and step.panel:
            page = BenchPage(job, by)
            (panel,) = [one for one in PANELS if one.name == step.panel]
            assert panel.name == "soak_check" or panel.when(page), stage
