"""What can be charged has a source in the records, and each source is charged at most once.

A source is named by a word and an id: `stint:5`, `part:9`, `flat:2` (a flat price chosen for the job), `fee:31` and
`minimum:31` (the bench fee and the minimum charge of job 31). A line of a draft carries the sources that it charges; issuing
the invoice writes them into the ledger of charges, and a credit says which of them are free again.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from shop.bench.models import Stint
from shop.counter.models import Job
from shop.office.models import Charge, FlatWork
from shop.stockroom.models import PartFitted

Source = str


def named(kind: Charge.Source, pk: int) -> Source:
    """The name of a source."""
    return f"{kind.value}:{pk}"


def read(source: Source) -> tuple[str, int]:
    """Word and id of a source; raises ValueError for what is none."""
    word, _, pk = source.partition(":")
    return Charge.Source(word).value, int(pk)


def charged_on(jobs: Iterable[Job]) -> dict[Source, Charge]:
    """What is charged of these jobs and was not set free again, each with its charge."""
    standing = Charge.objects.filter(job__in=list(jobs), released_at__isnull=True).select_related("invoice")
    return {named(Charge.Source(one.source), one.source_id): one for one in standing}


def jobs_of_sources(sources: Collection[Source]) -> dict[Source, int]:
    """The job that each source belongs to, by id. One that was struck out, or is not there, is left out."""
    ids: dict[str, list[int]] = {}
    for source in sources:
        word, pk = read(source)
        ids.setdefault(word, []).append(pk)
    found: dict[Source, int] = {}
    rows = {
        Charge.Source.STINT: Stint.objects.filter(struck_at__isnull=True),
        Charge.Source.PART: PartFitted.objects.filter(struck_at__isnull=True),
        Charge.Source.FLAT: FlatWork.objects.all(),
    }
    for word, pks in ids.items():
        kind = Charge.Source(word)
        if kind in rows:
            pairs = rows[kind].filter(pk__in=pks).values_list("pk", "job_id")
            found |= {named(kind, pk): job for pk, job in pairs}
        else:
            there = Job.objects.filter(pk__in=pks).values_list("pk", flat=True)
            found |= {named(kind, pk): pk for pk in there}
    return found
