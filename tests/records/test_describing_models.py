"""What the shop knows of a model as a whole is written down by hand, and what counts on it follows."""

from __future__ import annotations

import datetime as dt

import pytest
from django.test import Client
from django.urls import reverse

from shop.bench.cautions import traits_of
from shop.counter.models import Kind, Unit, UnitModel
from shop.frame.journal import verify
from shop.frame.models import JournalEntry
from shop.handbook.cautions import Trait
from shop.records.remedies import circles_of
from tests.factories.counter import UnitFactory, UnitModelFactory, booked_in
from tests.factories.premises import ShopProfileFactory, StaffFactory

pytestmark = pytest.mark.django_db

TYPED = {
    "kind": Kind.AMPLIFIER.value,
    "family": "VX",
    "built": "1979 to 1982",
    "weight": "12.4 kg",
    "traits": ["tube", "heavy"],
    "twins": "brackwater vx 340\n",
    "notes": "The lid is held by four screws.",
}


@pytest.fixture
def model() -> UnitModel:
    ShopProfileFactory()
    return UnitModelFactory(maker__name="Brackwater", name="VX-318", kind=Kind.OTHER)


@pytest.fixture
def bench(client: Client, model: UnitModel) -> Client:
    client.force_login(StaffFactory(roles=["bench"]))
    return client


def test_what_is_known_of_a_model_is_kept_and_counts(bench: Client, model: UnitModel) -> None:
    twin = UnitModelFactory(maker=model.maker, name="VX-340")
    job = booked_in(unit=UnitFactory(model=model))
    page = reverse("records:describe_model", args=[model.pk])
    assert bench.post(page, TYPED).headers["Location"] == reverse("records:model", args=[model.pk])
    model = UnitModel.objects.get(pk=model.pk)
    assert (model.kind, model.family, model.weight_grams) == (Kind.AMPLIFIER, "VX", 12_400)
    assert (model.built_from, model.built_to) == (dt.date(1979, 1, 1), dt.date(1982, 12, 31))
    assert {Trait.TUBE, Trait.HEAVY} <= traits_of(Unit.objects.get(pk=job.unit_id))
    assert list(model.twins.all()) == [twin]
    assert [circle.name for circle in circles_of(model)][1] == "its family and twins"
    # the same once more, as the page offers it, writes nothing
    entries = JournalEntry.objects.count()
    form = bench.get(page).context["form"]
    bench.post(page, {name: value for name, value in form.initial.items() if value is not None})
    assert JournalEntry.objects.count() == entries
    assert verify() == []


@pytest.mark.parametrize(
    "field, typed, sentence",
    [
        ("built", "1982 to 1979", "Type a year, or the first and the last"),
        ("built", "long ago", "Type a year, or the first and the last"),
        ("twins", "Nobody X-1", "The shop knows no other model “Nobody X-1”"),
        ("twins", "Brackwater VX-318", "The shop knows no other model “Brackwater VX-318”"),
    ],
)
def test_what_cannot_be_so_is_said_at_its_field(
    bench: Client, model: UnitModel, field: str, typed: str, sentence: str
) -> None:
    said = {**TYPED, "twins": "", field: typed}
    answer = bench.post(reverse("records:describe_model", args=[model.pk]), said)
    assert answer.status_code == 422
    assert sentence in answer.context["form"].errors[field][0]
    assert not UnitModel.objects.get(pk=model.pk).family
