"""Issued papers of a time in one file: for the tax adviser, or to print what a month's end has made."""

from __future__ import annotations

import csv
import datetime as dt
import io
import tempfile
import zipfile
from collections.abc import Collection, Iterable
from typing import IO

from shop.frame.cells import cell
from shop.frame.clock import within
from shop.handbook.money import Money
from shop.keeping.handing_out import file_name
from shop.keeping.models import IssuedPaper
from shop.keeping.papers import stored_bytes
from shop.office.models import Invoice

HEAD = ("number", "date", "kind", "customer", "net", "tax", "total", "currency")


def papers_in_one(kinds: Collection[str], *, starts: dt.date, ends: dt.date) -> IO[bytes]:
    """A zip of the papers of these kinds, each exactly as it was issued and checked against its hash.

    Invoices have a list of them beside. A paper whose file was deleted after its years is left out of the papers, not of the
    list. Raises Altered when a file is missing or was changed.
    """
    papers = IssuedPaper.objects.filter(within("issued_at", starts, ends), kind__in=kinds).order_by("id")
    together: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115  whoever asked closes it
    with zipfile.ZipFile(together, "w", zipfile.ZIP_STORED) as bundle:
        for paper in papers.iterator():
            if paper.deleted_at is None:
                bundle.writestr(f"{file_name(paper.title)}.pdf", stored_bytes(paper))
        if "invoice" in kinds:
            issued = Invoice.objects.filter(paper__in=papers).select_related("customer")
            bundle.writestr("invoices.csv", list_of(issued.order_by("issue_date", "id")))
    together.seek(0)
    return together


def list_of(invoices: Iterable[Invoice]) -> str:
    """Invoices and credit notes as a table: commas, ISO days, sums in major units with a decimal point."""
    written = io.StringIO()
    table = csv.writer(written)
    table.writerow(HEAD)
    for one in invoices:
        sums = (Money(minor, one.currency).plain for minor in (one.net_minor, one.tax_minor, one.total_minor))
        table.writerow((one.number, one.issue_date, one.kind, cell(one.customer.name), *sums, one.currency))
    return written.getvalue()
