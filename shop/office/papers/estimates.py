"""The estimate on paper: every line with its price, no “from” amounts, how long it stands."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from shop.counter.models import Job
from shop.counter.papers import law_notices, postal
from shop.frame import clock, spelling
from shop.frame.clock import day_of
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.handbook.law.terms import Paper as LawPaper
from shop.handbook.money import Money
from shop.office.distance import distance_law, shop_line
from shop.office.legal import reads_gross
from shop.office.models import Estimate, EstimateLine
from shop.office.papers.sheets import by_our_customs, keep_until, line_table, unit_facts
from shop.office.pricing import rules_on
from shop.premises.models import Terms
from shop.press.building import Fact, Notice, Signature, Total
from shop.press.issuing import PaperWanted


@by_our_customs
def estimate_sheet(estimate: Estimate, lines: Sequence[EstimateLine], *, by: Staff) -> PaperWanted:
    """The paper of an estimate; one that was not given yet is dated today and stands as long as it would."""
    job = estimate.job
    number = f"{job.number}/{estimate.version}"
    given = day_of(estimate.given_at or clock.now())
    terms = Terms.objects.filter(from_date__lte=given).first()
    until = estimate.valid_until or given + dt.timedelta(days=rules_on(given).estimate_days)
    return PaperWanted(
        kind="estimate",
        number=number,
        title=f"Estimate {number}",
        heading="Estimate",
        template="papers/office/estimate.html",
        keep_until=keep_until(LawPaper.ESTIMATE, given),
        context={
            "to": postal(job.customer),
            "facts": [
                Fact("Given", spelling.short_day(given), strong=True),
                Fact("Valid until", spelling.short_day(until), strong=True),
                Fact("Job", job.number),
                Fact("Working days needed", str(estimate.days_needed or "—")),
            ],
            "unit": unit_facts(job),
            "complaint": job.complaint,
            "table": line_table(
                list(lines), estimate.currency, lump_sum=estimate.lump_sum, gross=reads_gross(job.customer)
            ),
            "totals": _totals(estimate),
            "note": estimate.note,
            "diagnosis_only": estimate.diagnosis_only,
            "beside": _closing(job),
            "terms": terms.text if terms is not None else "",
            "notices": law_notices(LawPaper.ESTIMATE, on=given),
            "withdrawal": _withdrawal(job),
            "withdrawal_form": law.form(shop_line()) if (law := distance_law(job)) else [],
            "signatures": [Signature("For the shop", name=by.signature, day=given), Signature("Customer")],
        },
    )


def _withdrawal(job: Job) -> list[Notice]:
    """What a consumer who mails in is told of the right to take the contract back."""
    if (law := distance_law(job)) is None:
        return []
    title = f"Your right to {law.takes_back}"
    return [Notice(law.information(shop_line()), title=title, citation=law.rules[0].paragraph)]


def _closing(job: Job) -> list[str]:
    sentences = ["Nothing beyond this is done or charged without your yes before it."]
    if job.wants_parts_back:
        sentences.append(
            "Replaced parts go back to you, but for those exchanged or returned under a warranty."
        )
    if days := the_profile().warranty_days:
        sentences.append(
            f"Warranty on the repair: {days} days from the day you have it back, for the work and the parts fitted."
        )
    return sentences


def _totals(estimate: Estimate) -> list[Total]:
    net = Money(estimate.total_minor, estimate.currency)
    tax = Money(estimate.tax_minor, estimate.currency)
    if not the_profile().law.written_estimate:  # what a consumer pays is the price with tax
        if not tax:
            return [Total("Total", net, strong=True)]
        if reads_gross(estimate.job.customer):
            return [Total("Total with tax", net + tax, strong=True), Total("Tax in it", tax)]
        return [Total("Before tax", net), Total("Tax", tax), Total("Total with tax", net + tax, strong=True)]
    totals = [Total("Before tax", net, strong=True)]
    if tax:
        totals += [Total("Tax, not part of the estimate", tax), Total("With tax", net + tax)]
    return totals
