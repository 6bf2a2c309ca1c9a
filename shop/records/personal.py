"""One person's data: everything held on a customer as one file, and forgetting them while books and technical history stay.

What is held is found by walking the tables: whatever points to the customer, to their jobs or to something of these, belongs
to the file, so that a table that is added later is in it by itself.

Forgetting takes name, address, phone, e-mail and notes away, the words on the customer's page, letters, the rows of lists that
were brought in, and the name out of every text about their units. What stays: jobs, findings, parts and figures without a name;
and, as the law on books asks, issued papers, invoices, payments and the answers that work was charged by, until the end of
their retention. The journal never held a name.
"""

from __future__ import annotations

import datetime as dt
import io
import json
import zipfile
from collections.abc import Iterator

from django.apps import apps
from django.db import models

from shop.bench.models import Conclusion, Evidence, Finding
from shop.counter.models import Customer, InboundParcel, Job, JobPaper, JobPicture, Unit
from shop.counter.stages import ENDED
from shop.dispatch.models import Collection, Parcel
from shop.handbook.openrepair import without_personal
from shop.office.queries import balance_of
from shop.premises.journal import acting
from shop.premises.models import IssuedPaper, Message, Picture, Staff
from shop.premises.refusal import Refusal
from shop.records.bringing_in.batches import blank_rows
from shop.records.taking_out.rows import plain_row, tables

FORGOTTEN = "Forgotten customer"
DEEPEST = 3
_PATHS_TO = {Customer: "customer", Job: "job"}

TEXTS: tuple[tuple[type[models.Model], str, tuple[str, ...]], ...] = (
    (Job, "", ("complaint", "condition")),
    (Finding, "job__", ("text",)),
    (Evidence, "job__", ("note",)),
    (Conclusion, "job__", ("remedy", "watch")),
    (JobPicture, "job__", ("caption",)),
)
"""Free texts that may name the customer: table, path to the job, columns."""


# --- what is held ------------------------------------------------------------------------------------------------


def held_on(customer: Customer) -> Iterator[tuple[type[models.Model], models.QuerySet]]:
    """Every table that says something of this customer, with the rows that do."""
    mine = Customer.objects.filter(models.Q(pk=customer.pk) | models.Q(merged_into=customer))
    yield Customer, mine
    units = Unit.objects.filter(models.Q(owner__in=mine) | models.Q(jobs__customer__in=mine)).distinct()
    yield Unit, units
    for model in tables():
        if model in {Customer, Unit} or model._meta.label_lower.startswith("auth."):
            continue
        paths = list(_paths(model))
        if not paths:
            continue
        met = models.Q()
        for path in paths:
            met |= models.Q(**{f"{path}__in": mine})
        yield model, model._default_manager.filter(met).distinct()
    yield (
        IssuedPaper,
        IssuedPaper.objects.filter(pk__in=JobPaper.objects.filter(job__customer__in=mine).values("paper")),
    )
    yield Message, _letters(customer)


def _letters(customer: Customer) -> models.QuerySet[Message]:
    return Message.objects.filter(to__iexact=customer.email) if customer.email else Message.objects.none()


def _paths(model: type[models.Model], *, depth: int = DEEPEST, before: str = "") -> Iterator[str]:
    """Ways over foreign keys from a table to the customer, such as `invoice__customer` and `job__customer`."""
    if depth == 0:
        return
    for f in model._meta.concrete_fields:
        if not f.is_relation or f.related_model is model or f.name == "merged_into":
            continue
        if f.related_model is Customer:
            yield f"{before}{f.name}"
        elif f.related_model is Job:
            yield f"{before}{f.name}__customer"
        elif f.related_model._meta.app_label not in {"premises", "auth"} and f.related_model is not Unit:
            yield from _paths(f.related_model, depth=depth - 1, before=f"{before}{f.name}__")


def data_file(*, customer: Customer, by: Staff, at: dt.datetime | None = None) -> bytes:
    """Everything held on a customer as one zip file: `data.json`, the papers; the journal notes that it was handed out."""
    content: dict[str, list[object]] = {}
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as file:
        for model, rows in held_on(customer):
            name = str(model._meta.verbose_name_plural)
            content[name] = [json.loads(_plain(row)) for row in rows.order_by("pk")]
            if model is IssuedPaper:
                _add_papers(file, rows)
        file.writestr("data.json", json.dumps(content, ensure_ascii=False, indent=2) + "\n")
    with acting(by=by, at=at) as act:
        act.record("customer.data_handed_out", subject=customer)
    return buffer.getvalue()


def _plain(row: models.Model) -> str:
    values = {f.attname: f.value_from_object(row) for f in row._meta.concrete_fields}
    files = {
        f.attname: str(values[f.attname])
        for f in row._meta.concrete_fields
        if isinstance(f, models.FileField)
    }
    return plain_row(type(row), values | files)


def _add_papers(file: zipfile.ZipFile, papers: models.QuerySet[IssuedPaper]) -> None:
    for paper in papers:
        if paper.deleted_at is None and paper.file and paper.file.storage.exists(paper.file.name):
            with paper.file.open("rb") as kept:
                file.writestr(f"papers/{paper.pk}-{paper.kind}.pdf", kept.read())


# --- forgetting -----------------------------------------------------------------------------------------------------


def holds_back(customer: Customer) -> str | None:
    """Why a customer can't be forgotten yet: something of theirs is here, something is owed, or they are the shop."""
    if customer.is_shop:
        return "The shop itself is not forgotten."
    if customer.forgotten_at is not None:
        return "This customer was forgotten already."
    jobs = Job.objects.filter(customer=customer)
    if still := jobs.exclude(stage__in=ENDED).first():
        return f"{still.number} is still open; the customer can be forgotten when it has ended."
    for job in jobs:
        if (balance := balance_of(job)).minor != 0:
            return f"{balance} is open on {job.number}; settle it first."
    return None


def forget(*, customer: Customer, by: Staff, at: dt.datetime | None = None) -> Customer:
    """Forget a customer. What went can't be brought back; a copy for them is made with `data_file` before."""
    if sentence := holds_back(customer):
        raise Refusal(sentence)
    with acting(by=by, at=at) as act:
        mine = [customer, *Customer.objects.filter(merged_into=customer)]
        jobs = list(Job.objects.filter(customer__in=mine).values_list("pk", flat=True))
        names = [
            text
            for one in mine
            for text in (one.name, one.organisation, one.address, one.email.partition("@")[0])
        ]
        _letters(customer).delete()
        _take_names_out(jobs, names)
        Parcel.objects.filter(customer__in=mine).update(address="")
        _drop_signatures(Collection.objects.filter(customer__in=mine))
        InboundParcel.objects.filter(customer__in=mine).update(packing_note="")
        _drop_conversations(jobs)
        blank_rows(jobs)
        Customer.objects.filter(pk__in=[one.pk for one in mine]).update(
            name=FORGOTTEN,
            **dict.fromkeys(
                (
                    "organisation",
                    "address",
                    "phone",
                    "email",
                    "note",
                    "tax_number",
                    "search_key",
                    "phone_digits",
                ),
                "",
            ),
            forgotten_at=act.at,
        )
        act.record("customer.forgotten", subject=customer, jobs=jobs)
    customer.refresh_from_db()
    return customer


def _take_names_out(jobs: list[int], names: list[str]) -> None:
    """The customer's own name, address and numbers out of every text about their jobs; the fault itself stays."""
    for model, path, columns in TEXTS:
        rows = list(model._default_manager.filter(**{f"{path}pk__in": jobs}))
        changed = []
        for row in rows:
            new = {column: without_personal(getattr(row, column), names) for column in columns}
            if any(getattr(row, column) != text for column, text in new.items()):
                for column, text in new.items():
                    setattr(row, column, text)
                changed.append(row)
        if changed:
            model._default_manager.bulk_update(changed, list(columns))


def _drop_signatures(collections: models.QuerySet[Collection]) -> None:
    """Who collected it, by name and by a drawn signature; the file itself goes with the night's clearing."""
    drawn = list(collections.exclude(drawing=None).values_list("drawing", flat=True))
    collections.update(collected_by=FORGOTTEN, drawing=None)
    Picture.objects.filter(pk__in=drawn).delete()


def _drop_conversations(jobs: list[int]) -> None:
    """The words on the customers' pages and the keys to them; the window stands beside the records, so it is asked by name."""
    for model in apps.get_app_config("window").get_models():
        model._default_manager.filter(job__in=jobs).delete()
