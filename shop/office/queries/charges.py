"""What is recorded and not charged yet."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence

from django.db.models import Q, QuerySet

from shop.bench.models import Stint
from shop.counter.models import Job
from shop.frame.refusal import Refusal
from shop.office import charging
from shop.office.models import Charge, Invoice, InvoiceLine
from shop.office.pricing import PricedItem, items_of
from shop.stockroom.models import PartFitted


def not_on(
    lines: Sequence[InvoiceLine], jobs: Iterable[Job], *, on: dt.date, left_out: Iterable[str] = ()
) -> list[PricedItem]:
    """What is recorded on the jobs of a draft, is charged nowhere, and stands on none of its lines, priced."""
    there = {*left_out, *(source for line in lines for source in line.sources)}
    return [item for job in jobs for item in items_of(job, on=on, without=there)]


def others_drafts(lines: Sequence[InvoiceLine], invoice_id: int) -> list[int]:
    """Other drafts that want to charge the same, by id."""
    mine = {source for line in lines for source in line.sources}
    if not mine:
        return []
    jobs = set(charging.jobs_of_sources(mine).values())
    others = InvoiceLine.objects.filter(invoice__issued_at__isnull=True, job__in=jobs).exclude(
        invoice=invoice_id
    )
    rows = others.values_list("invoice_id", "sources")
    return sorted({pk for pk, sources in rows if mine & {*sources}})


def running_clocks(jobs: Iterable[Job]) -> list[Stint]:
    """Clocks that run on these jobs: their hours are on no draft before they are stopped."""
    running = Stint.objects.filter(job__in=list(jobs), stopped_at__isnull=True, struck_at__isnull=True)
    return list(running.select_related("job", "by").order_by("id"))


def struck_since(jobs: Iterable[Job] | QuerySet[Job]) -> QuerySet[Charge]:
    """What invoices of these jobs charge and was struck out at the bench since; a credit note takes it off."""
    # by their ids: with a statement in their place, PostgreSQL may read every charge that ever was
    ids = [*jobs.values_list("pk", flat=True)] if isinstance(jobs, QuerySet) else [job.pk for job in jobs]
    hours = Stint.objects.filter(job__in=ids, struck_at__isnull=False).values("pk")
    parts = PartFitted.objects.filter(job__in=ids, struck_at__isnull=False).values("pk")
    standing = Charge.objects.filter(
        job__in=ids, released_at__isnull=True, line__isnull=False, line__taken_back_by__isnull=True
    )
    return standing.filter(
        Q(source=Charge.Source.STINT, source_id__in=hours) | Q(source=Charge.Source.PART, source_id__in=parts)
    ).order_by("id")


def lines_left(invoice: Invoice) -> list[InvoiceLine]:
    """The lines of an issued invoice that no credit note has taken back."""
    return list(invoice.lines.filter(taken_back_by__isnull=True))


def draft_beside_records(
    invoice: Invoice, lines: Sequence[InvoiceLine], jobs: Sequence[Job], *, on: dt.date
) -> dict[str, object]:
    """A draft held beside the records: what of it is charged elsewhere, what has come since, and clocks that run."""
    try:
        since, unread = not_on(lines, jobs, on=on, left_out=invoice.left_out), ""
    except Refusal as refusal:  # a kind of work without its rate: the draft is shown all the same
        since, unread = [], refusal.sentence
    return {
        "collisions": collisions(lines, jobs),
        "other_drafts": others_drafts(lines, invoice.pk),
        "since": since,
        "unread": unread,
        "running": running_clocks(jobs),
    }


def collisions(lines: Sequence[InvoiceLine], jobs: Sequence[Job]) -> list[str]:
    """A sentence for each line that charges what another invoice has charged."""
    charged = charging.charged_on(jobs)
    found = []
    for line in lines:
        others = {charged[source].invoice.number for source in line.sources if source in charged}
        if others:
            numbers = ", ".join(sorted(others))
            found.append(f"“{line.description}” is charged on {numbers} already: remove the line here.")
    return found
