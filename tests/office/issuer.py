"""One issuer among many: a process of its own that drafts and issues invoices until it is done, or is killed.

    python -m tests.office.issuer prepare ISSUERS      migrate an empty book and make a job for each issuer
    python -m tests.office.issuer issue WHICH COUNT    issue so many invoices, a line on standard output for each
    python -m tests.office.issuer inspect              print as JSON what stands in the book

Where the book is, SHOP_DATA and DATABASE_URL say.
"""

from __future__ import annotations

import json
import os
import sys
from typing import Any

import django

PATIENCE = 20

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")


def prepare(issuers: int) -> None:
    from django.core.management import call_command  # noqa: PLC0415

    call_command("migrate", verbosity=0)
    from tests.factories.counter import booked_in  # noqa: PLC0415
    from tests.factories.office import agreed, rates, rules, sales_tax  # noqa: PLC0415
    from tests.factories.premises import StaffFactory  # noqa: PLC0415

    by = StaffFactory()
    rules()
    rates()
    sales_tax()
    for _ in range(issuers):
        agreed(booked_in(by=by), 10**11, by=by)


def issue(which: int, count: int) -> None:
    from shop.counter.models import Job  # noqa: PLC0415
    from shop.frame.models import Staff  # noqa: PLC0415
    from shop.office import actions  # noqa: PLC0415
    from shop.office.models import LineKind  # noqa: PLC0415
    from tests.factories.office import item  # noqa: PLC0415

    by = Staff.objects.get()
    job = Job.objects.select_related("customer").order_by("id")[which]
    for at in range(count):
        items = [item(quantity=1000 + at, unit="h"), item(LineKind.PART, "12.00")]
        draft = _patiently(
            lambda lines: actions.draft_invoice(customer=job.customer, jobs=[job], items=lines, by=by), items
        )
        print(_patiently(lambda row: actions.issue_invoice(invoice=row, by=by), draft).number, flush=True)  # noqa: T201


def _patiently(act: Any, what: Any) -> Any:
    """Do it, again where SQLite's queue ran past its timeout: then nothing was written, and a person would press once more."""
    from django.db import OperationalError  # noqa: PLC0415

    for _ in range(PATIENCE):
        try:
            return act(what)
        except OperationalError as error:
            if "locked" not in str(error):
                raise
            print("waited too long", file=sys.stderr, flush=True)  # noqa: T201
    raise RuntimeError("The book stayed locked.")


def inspect() -> None:
    from shop.frame import journal  # noqa: PLC0415
    from shop.frame.models import NumberSeries  # noqa: PLC0415
    from shop.office.models import Invoice  # noqa: PLC0415

    issued = Invoice.objects.filter(issued_at__isnull=False).select_related("paper").order_by("sequence")
    found: dict[str, Any] = {
        "sequences": [one.sequence for one in issued],
        "numbers": [one.number for one in issued],
        "half": [one.number for one in issued if not _whole(one)],
        "numbered_drafts": Invoice.objects.filter(issued_at__isnull=True).exclude(number="").count(),
        "drafts": Invoice.objects.filter(issued_at__isnull=True).count(),
        "next": list(NumberSeries.objects.filter(name="invoice").values_list("next_value", flat=True)),
        "chain": [fault.sentence for fault in journal.verify()],
    }
    print(json.dumps(found))  # noqa: T201


def _whole(invoice: Any) -> bool:
    """Lines, taxes, job, facts and a paper whose file has the hash that was noted."""
    from shop.keeping.papers import stored_bytes  # noqa: PLC0415

    rows = invoice.lines.count() == 2 and invoice.taxes.exists() and invoice.job_links.count() == 1
    return bool(rows and invoice.facts.get("jobs") and stored_bytes(invoice.paper).startswith(b"%PDF"))


if __name__ == "__main__":
    django.setup()
    verb, *rest = sys.argv[1:]
    {"prepare": prepare, "issue": issue, "inspect": inspect}[verb](*map(int, rest))
