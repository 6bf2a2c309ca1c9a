"""One writer among several who all do the same at the same moment: a process of its own, held at a gate before each race.

    python -m tests.office.racer prepare WRITERS     migrate an empty book and lay out each race
    python -m tests.office.racer race WHICH WRITERS  run every race as writer WHICH
    python -m tests.office.racer inspect             print as JSON how the book stands

Where the book is, SHOP_DATA and DATABASE_URL say. The gate of a race opens when every writer has put a file before it.
"""

from __future__ import annotations

import datetime as dt
import json
import os
import sys
import time
from pathlib import Path
from typing import Any

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
RACES = ("refund", "deposit", "records", "more")
NOON = dt.datetime(2026, 11, 20, 12, tzinfo=dt.UTC)
LONGEST_WAIT = 120


def prepare(writers: int) -> None:
    from django.core.management import call_command  # noqa: PLC0415

    call_command("migrate", verbosity=0)
    from shop.bench import actions as bench  # noqa: PLC0415
    from shop.office import actions  # noqa: PLC0415
    from tests.factories.counter import booked_in  # noqa: PLC0415
    from tests.factories.office import agreed, item, rates, rules, sales_tax  # noqa: PLC0415
    from tests.factories.premises import StaffFactory  # noqa: PLC0415

    by = StaffFactory()
    rules()
    rates()
    sales_tax()
    refund, deposit, records, more = (booked_in(by=by) for _ in RACES)
    actions.take_payment(customer=refund.customer, job=refund, amount_minor=100_00, how="cash", by=by)
    actions.take_payment(customer=deposit.customer, job=deposit, amount_minor=50_00, how="cash", by=by)
    for job in (deposit, records):
        agreed(job, 10**9, by=by)
    agreed(more, 200_00, by=by)
    bench.take_to_bench(job=records, by=by)
    stint = bench.start_stint(job=records, by=by, kind="repair", at=NOON)
    bench.stop_stint(stint=stint, by=by, at=NOON + dt.timedelta(hours=1))
    for _ in range(writers):
        actions.draft_invoice(customer=deposit.customer, jobs=[deposit], items=[item(price="40.00")], by=by)
    for _ in range(writers):
        actions.draft_invoice(customer=records.customer, jobs=[records], by=by)


def race(which: int, writers: int) -> None:
    from shop.counter.models import Job  # noqa: PLC0415
    from shop.frame.models import Staff  # noqa: PLC0415
    from shop.frame.refusal import Refusal  # noqa: PLC0415
    from shop.office import actions  # noqa: PLC0415
    from shop.office.models import Invoice  # noqa: PLC0415

    by = Staff.objects.get()
    jobs = dict(zip(RACES, Job.objects.select_related("customer").order_by("id"), strict=True))
    drafts = {
        name: Invoice.objects.filter(jobs=jobs[name]).order_by("id")[which] for name in ("deposit", "records")
    }
    acts: dict[str, Any] = {
        "refund": lambda: actions.refund(
            customer=jobs["refund"].customer, job=jobs["refund"], amount_minor=60_00, how="cash", by=by
        ),
        "deposit": lambda: actions.issue_invoice(invoice=drafts["deposit"], by=by),
        "records": lambda: actions.issue_invoice(invoice=drafts["records"], by=by),
        "more": lambda: actions.record_answer(
            job=jobs["more"],
            answer="more",
            how="written",
            given_by="M. Osei",
            additional_work="a belt",
            additional_minor=10_00,
            by=by,
        ),
    }
    for name in RACES:
        _gate(name, which, writers)
        try:
            _patiently(acts[name])
        except Refusal as refusal:
            print(name, refusal.sentence, flush=True)  # noqa: T201


def _gate(name: str, which: int, writers: int) -> None:
    place = Path(os.environ["SHOP_DATA"])
    (place / f"{name}-{which}.here").touch()
    until = time.monotonic() + LONGEST_WAIT
    while len(list(place.glob(f"{name}-*.here"))) < writers and time.monotonic() < until:
        time.sleep(0.002)


def _patiently(act: Any) -> None:
    """Again where SQLite's queue ran past its timeout: then nothing was written, and a person would press once more."""
    from django.db import OperationalError  # noqa: PLC0415

    for _ in range(20):
        try:
            act()
        except OperationalError as error:
            if "locked" not in str(error):
                raise
        else:
            return
    raise RuntimeError("The book stayed locked.")


def inspect() -> None:
    from django.db.models import Sum  # noqa: PLC0415

    from shop.counter.models import Job  # noqa: PLC0415
    from shop.office import queries  # noqa: PLC0415
    from shop.office.models import Authorisation, Charge, Invoice, Payment  # noqa: PLC0415

    jobs = dict(zip(RACES, Job.objects.order_by("id"), strict=True))
    issued = Invoice.objects.filter(issued_at__isnull=False)
    free = {name: sum(one.amount_minor for one in queries.free_deposits([job])) for name, job in jobs.items()}
    found = {
        "refunds": Payment.objects.filter(kind="refund").count(),
        "left_to_refund": free["refund"],
        "issued_over_deposit": issued.filter(jobs=jobs["deposit"]).count(),
        "taken_from_deposit": issued.filter(jobs=jobs["deposit"]).aggregate(sum=Sum("prepaid_minor"))["sum"],
        "left_of_deposit": free["deposit"],
        "issued_over_records": issued.filter(jobs=jobs["records"]).count(),
        "charges": Charge.objects.count(),
        "agreed": queries.authorised_for(jobs["more"]).minor,
        "in_all": sorted(
            Authorisation.objects.filter(job=jobs["more"]).values_list("authorised_minor", flat=True)
        ),
    }
    print(json.dumps(found))  # noqa: T201


if __name__ == "__main__":
    django.setup()
    verb, *rest = sys.argv[1:]
    {"prepare": prepare, "race": race, "inspect": inspect}[verb](*map(int, rest))
