"""Two customers, units or models that are one: what points to the one points to the other from now on, and can be put back.

What the database keeps as it was written (issued invoices, payments, papers) goes on naming the one that is gone; it leads to the
one that is kept.
"""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import dataclass
from typing import Any

from django.db import models

from shop.bench.models import Reservoir
from shop.counter.models import (
    Customer,
    InboundParcel,
    Job,
    ModelNote,
    ModelPaper,
    OriginalPart,
    SafetyLimits,
    TestPoint,
    Unit,
    UnitModel,
)
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.records.models import Merge

Thing = Customer | Unit | UnitModel


@dataclass(frozen=True, slots=True)
class Mergeable:
    """One kind of thing: its table, what moves in words and by columns that point to it, and what its name is made of."""

    model: type[models.Model]
    says: str
    moves: tuple[tuple[type[models.Model], str], ...]
    named_by: tuple[str, ...] = ()

    def named(self) -> models.QuerySet[Any]:
        """Things of this kind, ready to be called by their names."""
        return self.model._default_manager.select_related(*self.named_by)


_Twins: type[models.Model] = UnitModel.twins.through

KINDS: dict[str, Mergeable] = {
    Merge.Kind.CUSTOMER: Mergeable(
        Customer, "Jobs and units", ((Job, "customer"), (Unit, "owner"), (InboundParcel, "customer"))
    ),
    Merge.Kind.UNIT: Mergeable(Unit, "Jobs", ((Job, "unit"),), ("model__maker",)),
    Merge.Kind.MODEL: Mergeable(
        UnitModel,
        "Units, test points, limits, originals, papers, twins and notes",
        (
            (Unit, "model"),
            (TestPoint, "model"),
            (OriginalPart, "model"),
            (ModelPaper, "model"),
            (ModelNote, "model"),
            (SafetyLimits, "model"),
            (Reservoir, "model"),
            (_Twins, "from_unitmodel"),
            (_Twins, "to_unitmodel"),
        ),
        ("maker",),
    ),
}

MERGED: dict[str, str] = {
    Merge.Kind.CUSTOMER: "customer.merged",
    Merge.Kind.UNIT: "unit.merged",
    Merge.Kind.MODEL: "model.merged",
}
MERGE_UNDONE: dict[str, str] = {
    Merge.Kind.CUSTOMER: "customer.merge_undone",
    Merge.Kind.UNIT: "unit.merge_undone",
    Merge.Kind.MODEL: "model.merge_undone",
}


def why_not(gone: Thing, kept: Thing) -> str | None:
    """Why these two can't be merged; None when they can."""
    if gone.pk == kept.pk:
        return "That is one and the same already."
    if gone.merged_into_id or kept.merged_into_id:
        return "One of the two was merged into another already; take that back first."
    if type(gone)._default_manager.filter(merged_into=gone.pk).exists():
        return "Another was merged into the one that would go; take that back first."
    if any(isinstance(one, Customer) and (one.is_shop or one.forgotten_at) for one in (gone, kept)):
        return "The shop itself and forgotten customers are not merged."
    if isinstance(gone, Unit) and isinstance(kept, Unit) and gone.model_id != kept.model_id:
        return "They are of two models; merge the models first if those are one."
    return None


def merge(
    *,
    kind: str,
    gone: Thing,
    kept: Thing,
    by: Staff,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Merge:
    """Let `kept` stand for both from now on; jobs, units and notes of `gone` move to it."""
    if sentence := why_not(gone, kept):
        raise Refusal(sentence)
    with acting(by=by, at=at, once=once_key) as act:
        moved: dict[str, list[int]] = {}
        for table, column in KINDS[kind].moves:
            pks = _movable(table, column, gone, kept)
            if pks:
                table._default_manager.filter(pk__in=pks).update(**{column: kept})
                moved[f"{table._meta.label_lower}.{column}"] = pks
        type(gone)._default_manager.filter(pk=gone.pk).update(merged_into=kept)
        done = Merge.objects.create(
            kind=kind, gone_id=gone.pk, kept_id=kept.pk, moved=moved, by=by, at=act.at
        )
        act.record(MERGED[kind], subject=kept, jobs=_jobs_of(kind, kept), gone=gone.pk)
    gone.refresh_from_db()
    return done


def undo_merge(
    *, done: Merge, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Merge:
    """Take a merging back: what moved and still stands there goes back, and both are two again."""
    if done.undone_at is not None:
        raise Refusal("This was taken back already.")
    model = KINDS[done.kind].model
    gone, kept = model._default_manager.get(pk=done.gone_id), model._default_manager.get(pk=done.kept_id)
    with acting(by=by, at=at, once=once_key) as act:
        touched = _jobs_of(done.kind, kept)
        for table, column in KINDS[done.kind].moves:
            pks = done.moved.get(f"{table._meta.label_lower}.{column}", [])
            table._default_manager.filter(pk__in=pks, **{column: kept}).update(**{column: gone})
        model._default_manager.filter(pk=gone.pk, merged_into=kept).update(merged_into=None)
        Merge.objects.filter(pk=done.pk).update(undone_at=act.at)
        act.record(MERGE_UNDONE[done.kind], subject=kept, jobs=touched, gone=gone.pk)
    done.refresh_from_db()
    return done


def _movable(table: type[models.Model], column: str, gone: Thing, kept: Thing) -> list[int]:
    """The rows that point to the one that goes, but for what the other has as well: originals, twins, limits."""
    rows = table._default_manager.filter(**{column: gone})
    alone = isinstance(table._meta.get_field(column), models.OneToOneField)
    if alone and table._default_manager.filter(**{column: kept}).exists():
        return []
    if table is _Twins:
        other = "to_unitmodel" if column == "from_unitmodel" else "from_unitmodel"
        known = _Twins._default_manager.filter(**{column: kept}).values(other)
        rows = rows.exclude(**{other: kept}).exclude(**{f"{other}__in": known})
    if table is OriginalPart:
        there = set(OriginalPart.objects.filter(model=kept.pk).values_list("position", "designation"))
        return [
            row.pk
            for row in OriginalPart.objects.filter(model=gone.pk)
            if (row.position, row.designation) not in there
        ]
    return list(rows.order_by("pk").values_list("pk", flat=True))


def _jobs_of(kind: str, thing: object) -> list[int]:
    path = {Merge.Kind.CUSTOMER: "customer", Merge.Kind.UNIT: "unit", Merge.Kind.MODEL: "unit__model"}[
        Merge.Kind(kind)
    ]
    return list(Job.objects.filter(**{path: thing}).values_list("pk", flat=True))
