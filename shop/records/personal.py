"""One person's data: everything held on a customer as one file.

What is held is found by walking the tables: whatever points to the customer, to their jobs or to something of these, belongs
to the file, so that a table that is added later is in it by itself; and with it the pictures, files and papers that it shows.
"""

from __future__ import annotations

import datetime as dt
import json
import tempfile
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from pathlib import PurePosixPath
from typing import IO, Any, cast

from django.db import models
from django.db.models.fields.files import FieldFile

from shop.counter.models import Customer, Job, JobPaper, Unit, UnitModel
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.once import keyless
from shop.keeping.models import IssuedPaper, Message, Picture, StoredFile
from shop.records.bringing_in.kept import told_of
from shop.records.taking_out.rows import plain_row, tables

DEEPEST = 3
IN_MEMORY = 8 << 20
HOUSE = frozenset({"frame", "keeping", "press", "premises", "auth"})
"""Rooms whose tables are nobody's: staff, pictures, papers. What of them concerns a customer is reached from elsewhere."""


# --- what is held ------------------------------------------------------------------------------------------------


def one_with(customer: Customer) -> models.QuerySet[Customer]:
    """The customer and all that were merged into them."""
    return Customer.objects.filter(models.Q(pk=customer.pk) | models.Q(merged_into=customer))


def held_on(customer: Customer) -> Iterator[tuple[type[models.Model], models.QuerySet[Any]]]:
    """Every table that says something of this customer, with the rows that do."""
    mine = one_with(customer)
    yield Customer, mine
    for model in tables():
        if model is Unit or (model is not Customer and any(_paths(model))):
            yield model, rows_about(model, mine)
    yield IssuedPaper, _papers_of(mine)
    yield Message, letters_to(list(mine))


def rows_about(model: type[models.Model], mine: Iterable[Customer]) -> models.QuerySet[Any]:
    """The rows of one table that say something of these customers."""
    if model is Unit:
        met = models.Q(owner__in=mine) | models.Q(jobs__customer__in=mine)
    else:
        met = models.Q(*((f"{path}__in", mine) for path in _paths(model)), _connector=models.Q.OR)
    return model._default_manager.filter(met).distinct()


def letters_to(mine: Sequence[Customer]) -> models.QuerySet[Message]:
    """Letters by e-mail: to their address, with a paper of theirs, or to an address of before, beginning with their name."""
    met = models.Q(paper__in=_papers_of(mine).values("pk"))
    for one in mine:
        met |= models.Q(body__startswith=f"Dear {one.name},")
        if one.email:
            met |= models.Q(to__iexact=one.email)
    return Message.objects.filter(met)


def _papers_of(mine: Iterable[Customer]) -> models.QuerySet[IssuedPaper]:
    return IssuedPaper.objects.filter(pk__in=JobPaper.objects.filter(job__customer__in=mine).values("paper"))


def _paths(model: type[models.Model], *, depth: int = DEEPEST, before: str = "") -> Iterator[str]:
    """Ways over foreign keys from a table to the customer, such as `invoice__customer` and `job__customer`."""
    if depth == 0:
        return
    for f in model._meta.concrete_fields:
        to = _related(f)
        if to is None or to is model or f.name == "merged_into":
            continue
        if to is Customer:
            yield f"{before}{f.name}"
        elif to is Job:
            yield f"{before}{f.name}__customer"
        elif to._meta.app_label not in HOUSE and to is not Unit:
            yield from _paths(to, depth=depth - 1, before=f"{before}{f.name}__")


def _related(field: models.Field[object, object]) -> type[models.Model] | None:
    """The table that a foreign key leads to; none for any other column."""
    return cast("type[models.Model]", field.related_model) if field.is_relation else None


# --- handed out --------------------------------------------------------------------------------------------------


@keyless("read")
def data_file(*, customer: Customer, by: Staff, at: dt.datetime | None = None) -> IO[bytes]:
    """Everything held on a customer as one zip file, open at its start: `data.json`, papers, pictures, files.

    The journal notes that it was handed out.
    """
    content: dict[str, list[object]] = {}
    shown: dict[type[models.Model], set[int]] = {IssuedPaper: set(), Picture: set(), StoredFile: set()}
    into = tempfile.SpooledTemporaryFile(max_size=IN_MEMORY)  # noqa: SIM115  (the caller closes it)
    with zipfile.ZipFile(into, "w", zipfile.ZIP_DEFLATED) as file:
        for model, rows in held_on(customer):
            found = list(rows.order_by("pk"))
            content[str(model._meta.verbose_name_plural)] = [json.loads(_plain(row)) for row in found]
            _note_what_is_shown(model, found, shown)
        content |= _to_read_it_by(one_with(customer))
        for model, pks in shown.items():
            _add_files(file, model._default_manager.filter(pk__in=pks))
        file.writestr("data.json", json.dumps(content, ensure_ascii=False, indent=2) + "\n")
    with acting(by=by, at=at) as act:
        act.record("customer.data_handed_out", subject=customer)
    into.seek(0)
    return into


def _to_read_it_by(mine: models.QuerySet[Customer]) -> dict[str, list[object]]:
    """What their units are, by the numbers that the rows name; and what old lists that were brought in say of their jobs."""
    known = UnitModel.objects.filter(units__in=rows_about(Unit, mine)).distinct().select_related("maker")
    jobs = Job.objects.filter(customer__in=mine).values_list("pk", flat=True)
    return {
        "models": [
            {"id": one.pk, "maker": one.maker.name, "name": one.name, "kind": one.get_kind_display()}
            for one in known.order_by("pk")
        ],
        "rows of old lists": list(told_of(set(jobs))),
    }


def _note_what_is_shown(
    model: type[models.Model], rows: Iterable[models.Model], shown: dict[type[models.Model], set[int]]
) -> None:
    """Note the papers, pictures and files that these rows are or point to."""
    if model in shown:
        shown[model].update(row.pk for row in rows)
        return
    columns = [(f.attname, to) for f in model._meta.concrete_fields if (to := _related(f)) in shown]
    for row in rows:
        for column, to in columns:
            if (pk := getattr(row, column)) is not None:
                shown[to].add(pk)


def _plain(row: models.Model) -> str:
    values = {f.attname: f.value_from_object(row) for f in row._meta.concrete_fields}
    files = {
        f.attname: str(values[f.attname])
        for f in row._meta.concrete_fields
        if isinstance(f, models.FileField)
    }
    return plain_row(type(row), values | files)


def _add_files(into: zipfile.ZipFile, rows: models.QuerySet[Any]) -> None:
    """Put the file of each row in, by the table's name; one that is no longer kept is left out."""
    folder = str(rows.model._meta.verbose_name_plural).replace(" ", "-")
    for row in rows.order_by("pk").iterator(chunk_size=200):
        kept: FieldFile = row.file
        if kept.name and kept.storage.exists(kept.name):
            with (
                kept.open("rb") as file,
                into.open(f"{folder}/{row.pk}{PurePosixPath(kept.name).suffix}", "w") as to,
            ):
                while piece := file.read(1 << 20):
                    to.write(piece)
