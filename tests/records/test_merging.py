"""Things that are one merged, and taken apart again."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from shop.bench.models import Reservoir
from shop.counter.models import Customer, Job, OriginalPart, SafetyLimits, Unit, UnitModel
from shop.counter.queries import find_customers
from shop.frame.journal import verify
from shop.frame.refusal import Refusal
from shop.records import merging
from shop.records.models import Merge, SearchRow
from shop.records.searching.answering import Asking, ask
from shop.records.searching.question import Filters
from tests.factories.counter import CustomerFactory, UnitFactory, UnitModelFactory
from tests.factories.premises import StaffFactory
from tests.factories.records import past_job
from tests.pages import words_on

pytestmark = pytest.mark.django_db


def state() -> list[list[Any]]:
    """Where everything points."""
    return [
        list(Job.objects.order_by("pk").values_list("pk", "customer", "unit")),
        list(Unit.objects.order_by("pk").values_list("pk", "owner", "model", "merged_into")),
        list(UnitModel.objects.order_by("pk").values_list("pk", "merged_into")),
        list(Customer.objects.order_by("pk").values_list("pk", "merged_into")),
        list(SearchRow.objects.order_by("pk").values_list("pk", "job", "model", "facets")),
    ]


def test_two_customers_become_one_and_two_again() -> None:
    kept, gone = CustomerFactory(regular=True), CustomerFactory(name="M. Osei")
    by = StaffFactory()
    jobs = [past_job(complaint="Hum", owner=owner) for owner in (kept, gone)]
    before = state()
    done = merging.merge(kind="customer", gone=gone, kept=kept, by=by)
    assert set(Job.objects.values_list("customer", flat=True)) == {kept.pk}
    assert len(ask(Asking(filters=Filters(customer=kept.pk))).hits) == len(jobs)
    assert gone not in find_customers("M Osei")
    merging.undo_merge(done=done, by=by)
    assert state() == before
    assert len(ask(Asking(filters=Filters(customer=kept.pk))).hits) == 1
    with pytest.raises(Refusal):
        merging.undo_merge(done=done, by=by)
    assert verify() == []


def test_two_models_become_one_with_their_units_and_notes_and_two_again() -> None:
    kept, gone = UnitModelFactory(name="VX-318"), UnitModelFactory(name="VX-318 mk1")
    for model in (kept, gone):
        past_job(complaint="Hum", model=model)
        OriginalPart.objects.create(model=model, position="Q1", designation="2SC1815")
    OriginalPart.objects.create(model=gone, position="Q2", designation="2SA1015")
    before, by = state(), StaffFactory()
    done = merging.merge(kind="model", gone=gone, kept=kept, by=by)
    assert set(Unit.objects.values_list("model", flat=True)) == {kept.pk}
    assert sorted(kept.originals.values_list("position", flat=True)) == ["Q1", "Q2"]
    assert len(ask(Asking(filters=Filters(model=kept.pk))).hits) == 2
    merging.undo_merge(done=done, by=by)
    assert state() == before
    assert sorted(gone.originals.values_list("position", flat=True)) == ["Q1", "Q2"]


@pytest.mark.postgres
def test_limits_reservoir_and_twins_of_a_model_move_where_the_other_has_none() -> None:
    kept, gone, twin, shared = (UnitModelFactory(name=name) for name in ("VX-1", "VX-1b", "SR-1", "SR-2"))
    gone.twins.add(twin, shared, kept)
    kept.twins.add(shared)
    limits = [SafetyLimits.objects.create(model=model) for model in (kept, gone)]
    Reservoir.objects.create(model=gone, volt=40, farad=1, ohm=2)
    by = StaffFactory()
    done = merging.merge(kind="model", gone=gone, kept=kept, by=by)
    assert {one.name for one in kept.twins.all()} == {"SR-1", "SR-2", "VX-1b"}
    assert {one.name for one in twin.twins.all()} == {"VX-1"}
    assert Reservoir.objects.get().model == kept
    assert [one.model for one in SafetyLimits.objects.order_by("pk")] == [kept, gone]
    merging.undo_merge(done=done, by=by)
    assert {one.name for one in gone.twins.all()} == {"SR-1", "SR-2", "VX-1"}
    assert {one.name for one in kept.twins.all()} == {"SR-2", "VX-1b"}
    assert Reservoir.objects.get().model == gone
    assert [one.model for one in limits] == [kept, gone]


def test_two_units_of_one_model_become_one_and_two_again() -> None:
    model = UnitModelFactory()
    kept, gone = UnitFactory(model=model, serial="A1"), UnitFactory(model=model, serial="A-1")
    for unit in (kept, gone):
        past_job(complaint="Hum", unit=unit)
    before, by = state(), StaffFactory()
    done = merging.merge(kind="unit", gone=gone, kept=kept, by=by)
    assert set(Job.objects.values_list("unit", flat=True)) == {kept.pk}
    merging.undo_merge(done=done, by=by)
    assert state() == before
    stranger = UnitFactory(model=UnitModelFactory(name="Other"))
    with pytest.raises(Refusal, match="merge the models first"):
        merging.merge(kind="unit", gone=stranger, kept=kept, by=by)


def test_what_is_merged_already_is_not_merged_again() -> None:
    one, two, three = CustomerFactory(), CustomerFactory(), CustomerFactory()
    by = StaffFactory()
    merging.merge(kind="customer", gone=one, kept=two, by=by)
    for gone, kept in ((two, two), (one, three), (three, one), (two, three)):
        gone.refresh_from_db()
        kept.refresh_from_db()
        with pytest.raises(Refusal):
            merging.merge(kind="customer", gone=gone, kept=kept, by=by)
    assert Merge.objects.count() == 1


def test_what_moved_on_after_a_merging_stays_where_it_is_when_it_is_taken_back() -> None:
    kept, gone, third = CustomerFactory(), CustomerFactory(), CustomerFactory()
    by = StaffFactory()
    job = past_job(complaint="Hum", owner=gone)
    done = merging.merge(kind="customer", gone=gone, kept=kept, by=by)
    Job.objects.filter(pk=job.pk).update(customer=third)
    merging.undo_merge(done=done, by=by)
    job.refresh_from_db()
    assert job.customer == third


def test_the_owner_merges_by_forms_alone_and_takes_it_back(client: Client) -> None:
    kept, gone = CustomerFactory(regular=True), CustomerFactory(name="Marguerite Osey")
    client.force_login(StaffFactory())
    address = reverse("records:merge", args=["customer", kept.pk])
    page = words_on(client.get(address, {"other": "marguerite"}))
    assert "Keep Marguerite Osey" in page
    assert client.post(address, {"other": str(kept.pk), "keep": "this"}).status_code == 422
    assert client.post(address, {"other": str(gone.pk), "keep": "this"}).status_code == 303
    gone.refresh_from_db()
    assert gone.merged_into == kept
    assert client.post(reverse("records:undo_merge", args=[Merge.objects.get().pk])).status_code == 302
    gone.refresh_from_db()
    assert gone.merged_into is None
    for bad in ({"other": "x"}, {"other": "99999999"}, {}):
        assert client.post(address, bad).status_code == 404
    assert client.get("/merge/spoon/1/").status_code == 404
