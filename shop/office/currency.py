"""Why a shop can't reckon in another currency yet: what is open in the old one, counted and named."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Exists, OuterRef, Sum

from shop.counter.models import Job
from shop.counter.stages import ENDED
from shop.handbook.money import CURRENCIES
from shop.office.models import Allocation, Invoice, OfficeRules

MOST_NAMED = 3


def holds_to_currency(old: str, new: str) -> str | None:
    """The sentence that names the jobs, drafts, invoices and deposits that are open in the old currency, if any are.

    With none of them open, rates and prices keep their figures. Where the new currency has other decimals, a minimum charge,
    which is kept in minor units, would become another sum: it is taken away first.
    """
    if open_ones := [kind for kind in _open_in(old) if kind]:
        return f"The shop can’t work in {new} yet: {'; '.join(open_ones)} in {old}. Settle these first."
    minimum = OfficeRules.objects.order_by("-from_date").first()
    if minimum and minimum.minimum_minor and CURRENCIES[old].digits != CURRENCIES[new].digits:
        return f"{new} has other decimals than {old}: set the minimum charge to nothing first, and set it again afterwards."
    return None


def _open_in(currency: str) -> list[str]:
    jobs = Job.objects.filter(currency=currency).exclude(stage__in=ENDED).order_by("id")
    drafts = Invoice.objects.filter(currency=currency, issued_at__isnull=True)
    unpaid = Invoice.objects.filter(
        currency=currency, issued_at__isnull=False, settled_at__isnull=True, kind=Invoice.Kind.INVOICE
    ).order_by("id")
    lying = (
        Allocation.objects.filter(job=OuterRef("pk"), invoice__isnull=True)
        .order_by()
        .values("job")
        .annotate(total=Sum("amount_minor"))
        .exclude(total=0)
    )
    with_money = Job.objects.filter(Exists(lying), currency=currency, stage__in=ENDED).order_by("id")
    return [
        _named("open job", jobs.values_list("number", flat=True)),
        _named("draft invoice", (f"of {name}" for name in drafts.values_list("customer__name", flat=True))),
        _named("unpaid invoice", unpaid.values_list("number", flat=True)),
        _named("deposit", (f"on {number}" for number in with_money.values_list("number", flat=True))),
    ]


def _named(kind: str, names: Iterable[str]) -> str:
    """“2 open jobs (26-0001-X, 26-0002-Y)”, the first few named; empty for none."""
    every = list(names)
    if not every:
        return ""
    more = ", …" if len(every) > MOST_NAMED else ""
    return f"{len(every)} {kind}{'s' if len(every) > 1 else ''} ({', '.join(every[:MOST_NAMED])}{more})"
