"""What is agreed on a job: the counter's sums and the customer's answers as one ledger, added up in one place."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from django.db.models import F, OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from shop.bench.models import Stint
from shop.counter.models import Job
from shop.frame.profile import the_profile
from shop.handbook import agreement
from shop.handbook.agreement import Agreed, Answer, Consent
from shop.handbook.money import Money
from shop.office.models import Authorisation, Estimate, Invoice, InvoiceJob
from shop.stockroom.models import PartFitted

ORAL = {Authorisation.How.PHONE, Authorisation.How.IN_PERSON}


def agreed_on(job: Job, answers: Iterable[Authorisation] | None = None) -> Agreed:
    """What is agreed on a job by now. Everybody who needs it asks here: screen, bench, paper, invoice, letters."""
    return agreement.add_up(ledger_of(job, answers), job.currency)


def authorised_for(job: Job) -> Money:
    """What may be charged on a job in all, before tax."""
    return agreed_on(job).whole


def ledger_of(job: Job, answers: Iterable[Authorisation] | None = None) -> list[Consent]:
    """The lines of the ledger in order (asked for unless given): first what the claim check says, then each answer."""
    if answers is None:
        given = Authorisation.objects.filter(job=job).select_related("estimate")
        answers = given.order_by("at", "id")
    at_the_counter = ((Answer.DIAGNOSIS, job.bench_fee_minor), (Answer.UP_TO, job.limit_minor))
    return [
        *(Consent(does, Money(minor, job.currency)) for does, minor in at_the_counter if minor),
        *(as_consent(given, job.currency) for given in answers),
    ]


def as_consent(given: Authorisation, currency: str) -> Consent:
    """An answer as a line of the ledger. To an estimate it rests on its paper, whichever way it was given."""
    estimate = given.estimate
    written = given.how not in ORAL
    return Consent(
        Answer(given.answer),
        Money(given.sum_minor, currency),
        version=estimate.version if estimate is not None else None,
        estimate=Money(estimate.total_minor, currency) if estimate is not None else None,
        in_writing=written or estimate is not None,
        documented=written or not agreement.missing_oral_items(_noted(given)),
    )


def _noted(given: Authorisation) -> list[str]:
    """Which items of 16 CCR 2722(a) are noted; a plain yes to an estimate has nothing additional to note."""
    plain = (
        given.answer in {Authorisation.Answer.YES, Authorisation.Answer.PARTLY} and not given.additional_minor
    )
    items = {
        "date": True,
        "time": True,
        "authorised_by": given.given_by,
        "received_by": given.received_by_id,
        "additional_work": plain or given.additional_work,
        "additional_cost": plain or given.additional_minor,
    }
    return [key for key, noted in items.items() if noted]


def charged_before(job: Job) -> Money:
    """What issued invoices have charged on this job before tax already, credit notes taken off."""
    issued = InvoiceJob.objects.filter(job=job, invoice__issued_at__isnull=False).values("invoice")
    lines = (
        Invoice.objects.filter(pk__in=issued).filter(lines__job=job).aggregate(total=Sum("lines__net_minor"))
    )
    return Money(int(lines["total"] or 0), job.currency)


def compared_with_authorised(job: Job, charged: Money) -> agreement.Comparison:
    """How `charged` before tax stands to what is agreed, what was charged before included, by the shop's law."""
    law = the_profile().law
    return agreement.compare(
        charged + charged_before(job),
        agreed_on(job),
        estimate_paragraph=law.written_estimate,
        consent_paragraph="16 CCR 2722(a)" if law.cited("16 CCR 2722(a)") else "",
    )


def above_authorised(invoice: Invoice, jobs: Iterable[Job]) -> list[str]:
    """For each job whose charges, before tax, stand above what its customer agreed to: the sentence why."""
    lines = list(invoice.lines.all())
    above = []
    for at, job in enumerate(jobs):
        mine = [line for line in lines if line.job_id == job.pk or (line.job_id is None and at == 0)]
        charged = Money(sum(line.net_minor for line in mine), invoice.currency)
        comparison = compared_with_authorised(job, charged)
        if not comparison.within:
            above.append(f"{job.number}: {comparison.sentence}")
    return above


def rests_on_the_claim_check(job: Job) -> bool:
    """Whether work, a part, an estimate or an answer rests on the sums of the claim check: they are no slip any more."""
    written = (
        Stint.objects.filter(job=job),
        PartFitted.objects.filter(job=job),
        Estimate.objects.filter(job=job, given_at__isnull=False),
        Authorisation.objects.filter(job=job),
    )
    return any(rows.exists() for rows in written)


def last_answers() -> QuerySet[Authorisation]:
    """What the customer of each job said last."""
    same = Authorisation.objects.filter(job=OuterRef("job")).order_by("-at", "-id")
    return Authorisation.objects.filter(pk=Subquery(same.values("pk")[:1]))


def last_noes() -> QuerySet[Authorisation]:
    """The last answers that are a no, so that no more than finding the fault is agreed; `is_last_no` says it of one."""
    fee = Coalesce(F("job__bench_fee_minor"), 0)
    return last_answers().filter(answer__in=Authorisation.NOES, authorised_minor__lte=fee)


def is_last_no(job: Job, answers: Sequence[Authorisation]) -> bool:
    """Whether the last of a job's answers is such a no."""
    last = answers[-1] if answers else None
    return (
        last is not None
        and last.answer in Authorisation.NOES
        and last.authorised_minor <= (job.bench_fee_minor or 0)
    )


def no_repair_among(jobs: Collection[int]) -> list[int]:
    """Those of these jobs, by id, whose customer said no last."""
    return list(last_noes().filter(job_id__in=jobs).values_list("job_id", flat=True))
