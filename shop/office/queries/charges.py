"""What is recorded and not charged yet."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery

from shop.bench.models import Stint, WorkKind
from shop.counter.models import Job
from shop.frame import spelling
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


@dataclass(frozen=True, slots=True)
class SinceInvoiced:
    """What can be charged of some jobs, came after the last invoice of each, and stands on none: hours and parts."""

    hours: QuerySet[Stint]
    parts: QuerySet[PartFitted]

    def is_any(self) -> Q:
        """Whether there is anything, for a query of which this is a part."""
        return Q(Exists(self.hours)) | Q(Exists(self.parts))

    def told(self) -> str:
        """The hours and the parts in words; empty where there is nothing."""
        worked = sum(stint.seconds for stint in self.hours)
        named = [str(part.description) for part in self.parts[:4]]
        return ", ".join([*([f"{spelling.hours(worked)} of work"] if worked else []), *named])


def since_invoiced(jobs: QuerySet[Job]) -> SinceInvoiced:
    """What was worked and fitted on these jobs after the last invoice of each, and nobody has charged.

    Work that is not billed, what warranty covers, a part without a price, and finding the fault where a bench fee charges
    it, ask for no invoice. A clock that still runs counts when it is stopped, as on a draft.
    """
    last = Invoice.objects.filter(
        job_links__job=OuterRef("job"), kind=Invoice.Kind.INVOICE, issued_at__isnull=False
    ).order_by("-issued_at")
    invoiced = Subquery(last.values("issued_at")[:1])
    charged = Charge.objects.filter(source_id=OuterRef("pk"), released_at__isnull=True)
    ours = {"job__in": jobs, "struck_at__isnull": True, "under_warranty": False}
    hours = Stint.objects.filter(
        # written down later counts as well, whenever it was worked
        Q(stopped_at__gt=invoiced) | Q(stopped_at__isnull=False, at__gt=invoiced),
        ~Exists(charged.filter(source=Charge.Source.STINT)),
        **ours,
    ).exclude(kind=WorkKind.UNBILLED)
    hours = hours.exclude(kind=WorkKind.DIAGNOSIS, job__bench_fee_minor__gt=0)
    parts = PartFitted.objects.filter(
        ~Exists(charged.filter(source=Charge.Source.PART)),
        at__gt=invoiced,
        unit_price_ten_thousandths__gt=0,
        **ours,
    )
    return SinceInvoiced(hours.order_by("id"), parts.order_by("id"))


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
