"""The ledger of charges: written when an invoice is issued, set free by a credit note. Called inside the acts of invoices."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from shop.counter.models import Job
from shop.frame.journal import Act
from shop.frame.refusal import Refusal
from shop.office import charging
from shop.office.models import Charge, EstimateLine, Invoice, InvoiceLine, LineKind
from shop.office.pricing import PricedItem
from shop.stockroom.models import PartFitted


def with_sources(
    items: Sequence[PricedItem], jobs: Sequence[Job], written: Sequence[InvoiceLine] = ()
) -> list[PricedItem]:
    """The lines with what they charge: as handed in, as it was written on this draft, or a recorded part of that name.

    So a part that was typed in by hand is not charged again from the records. Refuses a source on two lines, one that was
    struck out, and a line that was moved to another job than its source's.
    """
    taken = {source for item in items for source in item.sources}
    known = {(one.kind, one.description, one.job_id): one.sources for one in written if one.sources}
    parts = _parts_to_charge(jobs, taken)
    found = []
    for item in items:
        sources = item.sources
        if not sources and item.kind not in {LineKind.OTHER, LineKind.DISCOUNT}:
            job_id = item.job.pk if item.job is not None else jobs[0].pk
            sources = tuple(known.get((item.kind, item.description, job_id), ()))
            if not sources and item.kind == LineKind.PART:
                sources = tuple(parts.get((job_id, _folded(item.description)), ())[:1])
            sources = () if taken & {*sources} else sources
            taken |= {*sources}
        found.append(replace(item, sources=sources))
    refuse_misplaced(found, jobs)
    return found


def _parts_to_charge(jobs: Sequence[Job], taken: Collection[str]) -> dict[tuple[int, str], list[str]]:
    """Recorded parts that nothing charges yet, by job and the name that they would have on a line."""
    charged = charging.charged_on(jobs)
    parts: dict[tuple[int, str], list[str]] = {}
    for part in PartFitted.objects.filter(job__in=jobs, struck_at__isnull=True).order_by("id"):
        source = charging.named(Charge.Source.PART, part.pk)
        if source in charged or source in taken:
            continue
        for name in {part.description, f"{part.description} ({part.position})"}:
            parts.setdefault((part.job_id, _folded(name)), []).append(source)
    return parts


def _folded(name: str) -> str:
    return " ".join(name.casefold().split())


def refuse_misplaced(items: Sequence[PricedItem], jobs: Sequence[Job]) -> None:
    """Refuse lines whose sources stand twice, are gone, or belong to another job than the line."""
    sources = [source for item in items for source in item.sources]
    belongs = charging.jobs_of_sources(sources)
    numbers = {job.pk: job.number for job in jobs}
    seen: set[str] = set()
    for item in items:
        for source in item.sources:
            if source in seen:
                raise Refusal(f"“{item.description}” stands twice on this draft: remove one of the lines.")
            seen.add(source)
            owner = belongs.get(source)
            if owner not in numbers:
                raise Refusal(f"What “{item.description}” charges was struck out since: remove the line.")
            line_job = item.job.pk if item.job is not None else jobs[0].pk
            if owner != line_job:
                raise Refusal(
                    f"“{item.description}” was recorded on {numbers[owner]} and is charged there, "
                    f"not on {numbers.get(line_job, 'another job')}."
                )


def refuse_moved(invoice: Invoice, items: Sequence[PricedItem], jobs: Sequence[Job]) -> None:
    """Refuse lines typed by hand on another job than the one that they were first written or estimated for.

    What is agreed on one job is no leave to charge another's work. The draft keeps where each line was first written.
    """
    if len(jobs) == 1:
        return
    numbers = {job.pk: job.number for job in jobs}
    typed = [
        (item, (item.kind, _folded(item.description))) for item in items if item.job and not item.sources
    ]
    first: dict[tuple[str, str], set[int]] = {}
    for kind, name, job_id in invoice.typed_for:
        first.setdefault((kind, name), set()).add(job_id)
    known, estimated = set(first), _estimated(jobs)
    for item, key in typed:
        if key not in known and item.job is not None:  # written now: for every job that it stands on
            first.setdefault(key, set()).add(item.job.pk)
    for item, key in typed:
        homes = estimated.get(key) or first[key]
        if item.job is not None and item.job.pk not in homes:
            home = ", ".join(numbers[pk] for pk in sorted(homes) if pk in numbers)
            raise Refusal(
                f"“{item.description}” was written for {home} and is charged there, not on {item.job.number}."
            )
    invoice.typed_for = [[*key, job_id] for key, ids in sorted(first.items()) for job_id in sorted(ids)]


def _estimated(jobs: Sequence[Job]) -> dict[tuple[str, str], set[int]]:
    """The lines of estimates that were put to the customer, by kind and words, with the jobs that they are for."""
    given = EstimateLine.objects.filter(estimate__job__in=jobs, estimate__given_at__isnull=False)
    found: dict[tuple[str, str], set[int]] = {}
    for kind, words, job_id in given.values_list("kind", "description", "estimate__job"):
        found.setdefault((kind, _folded(words)), set()).add(job_id)
    return found


def charge(act: Act, invoice: Invoice, jobs: Sequence[Job]) -> None:
    """Write down what the invoice charges, and what somebody chose to charge nothing for. The jobs are held by the act."""
    lines = list(invoice.lines.all())
    left_out = [(None, source) for source in invoice.left_out]
    pairs = [*((line, source) for line in lines for source in line.sources), *left_out]
    belongs = charging.jobs_of_sources([source for _, source in pairs])
    charged = charging.charged_on(jobs)
    rows = []
    for line, source in pairs:
        if source not in belongs or (line is None and source in charged):
            continue
        word, pk = charging.read(source)
        rows.append(
            Charge(source=word, source_id=pk, job_id=belongs[source], invoice=invoice, line=line, at=act.at)
        )
    act.seal(*Charge.objects.bulk_create(rows))


def set_sources_free(act: Act, credit_note: Invoice, lines: Collection[int], *, left_out: bool) -> None:
    """Set free what these lines of the credited invoice charge, and with `left_out` what it chose to charge nothing for."""
    standing = Charge.objects.filter(invoice=credit_note.corrects_id, released_at__isnull=True)
    free = {"released_at": act.at, "released_by": credit_note}
    standing.filter(line__in=lines).update(**free)
    if left_out:
        standing.filter(line__isnull=True).update(**free)
