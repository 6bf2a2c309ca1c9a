"""The counter's verbs and things as the journal tells them."""

from __future__ import annotations

from collections.abc import Iterable

from django.urls import reverse

from shop.counter.models import Customer, Job, Unit, UnitModel
from shop.counter.stages import Stage
from shop.frame.wording import JOB, Name

WORDS = {
    "customer.added": "wrote a customer down",
    "customer.changed": "corrected a customer’s details: {fields}",
    "model.added": "wrote a model down",
    "model.changed": "corrected the model’s details: {fields}",
    "unit.added": "wrote a unit down",
    "unit.changed": "corrected the unit’s details: {fields}",
    "job.booked_in": "booked it in, {how}",
    "job.announced": "noted that it is on its way by parcel",
    "job.moved": "moved it from {from_stage} to {to_stage}",
    "job.put_right": "corrected what was written of it: {fields}",
    "job.shelved": "put it on another shelf",
    "job.promised": "promised it for {day}",
    "job.word_promised": "promised a first word by {day}",
    "job.accessory_mended": "corrected what came with it",
    "job.accessory_taken": "took in something that came with it",
    "job.picture_kept": "kept a photograph: {shows}",
    "paper.filed": "filed a paper with the job: {kind}",
    "model.point_learnt": "noted a test point of the model",
    "model.note_learnt": "added a note about the model",
    "model.original_learnt": "noted what the maker fitted in the model",
    "model.limits_set": "noted the safety limits that the maker prints",
}


STAGES = {str(stage.value): str(stage.label).lower() for stage in Stage}
LABELS = {"from_stage": STAGES, "to_stage": STAGES, "stage": STAGES}


def job_names(ids: Iterable[int]) -> dict[int, Name]:
    """Jobs by id: number and card."""
    rows = Job.objects.filter(pk__in=list(ids)).values_list("pk", "number")
    return {pk: Name(number, reverse("records:job_card", args=[number])) for pk, number in rows}


def customer_names(ids: Iterable[int]) -> dict[int, Name]:
    """Customers by id."""
    found = Customer.objects.filter(pk__in=list(ids))
    return {one.pk: Name(str(one), reverse("counter:customer", args=[one.pk])) for one in found}


def unit_names(ids: Iterable[int]) -> dict[int, Name]:
    """Units by id."""
    found = Unit.objects.filter(pk__in=list(ids)).select_related("model__maker")
    return {one.pk: Name(str(one)) for one in found}


def model_names(ids: Iterable[int]) -> dict[int, Name]:
    """Models by id."""
    found = UnitModel.objects.filter(pk__in=list(ids)).select_related("maker")
    return {one.pk: Name(str(one)) for one in found}


NAMERS = {
    JOB: job_names,
    "counter.customer": customer_names,
    "counter.unit": unit_names,
    "counter.unitmodel": model_names,
}
