"""What comes next for a job, on every page of it: one sentence, one way on, and why not more yet.

The bench knows its own steps by what was written there; this looks at the whole job, across the rooms.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from django.db.models import Exists, F, OuterRef, QuerySet, Subquery
from django.urls import reverse

from shop.bench.models import Conclusion, Finding, SafetyCheck, SafetyWaiver
from shop.counter.models import Job
from shop.counter.stages import ENDED, Outcome, Stage, for_each_open
from shop.frame.profile import the_profile
from shop.frame.rooms import open_door
from shop.office.models import Authorisation, Invoice
from shop.office.queries import fitted_since_invoiced
from shop.stockroom.models import PartWanted

Answer = Authorisation.Answer
_NOES = (Answer.NO, Answer.WITHDRAWN)
_TO_A_REPAIR = (Answer.YES, Answer.PARTLY, Answer.MORE, Answer.UP_TO)


@dataclass(frozen=True, slots=True)
class Step:
    """What comes next: where it is done, and why not more than that yet."""

    title: str
    address: str
    act: str
    why_not: tuple[str, ...] = ()


def next_step(job: Job) -> Step | None:
    """What comes next for this job; None once it has ended."""
    if job.stage in ENDED:
        return None
    return _STEPS[Stage(job.stage)](job)


def _to(room: str, job: Job) -> str:
    return open_door(f"{room}:job", job.number)


def _expected(job: Job) -> Step:
    parcel = job.inbound
    stands = "It is on its way."
    if parcel is not None and parcel.opened_at:
        stands = "Its parcel was opened: book it in, or call it off if it was not in it."
    elif parcel is not None and parcel.arrived_at:
        stands = "Its parcel is here."
    return Step(stands, open_door("counter:receive", job.number), "Open the box")


def _booked_in(job: Job) -> Step:
    return Step("Find the fault.", _to("bench", job), "To the bench")


def _on_the_bench(job: Job) -> Step:
    standing, fee = {"struck_at__isnull": True}, job.bench_fee_minor or 0
    wants = PartWanted.objects.filter(job=OuterRef("pk"), fitted_at=None, dropped_at=None)
    known = (
        Job.objects.filter(pk=job.pk)
        .annotate(
            concluded=Exists(Conclusion.objects.filter(job=OuterRef("pk"), **standing)),
            found=Exists(Finding.objects.filter(job=OuterRef("pk"), **standing)),
            here=Exists(wants.filter(kept_thousandths__gt=0)),
            unordered=Exists(_missing(wants).filter(order_line=None)),
            agreed=Exists(Authorisation.objects.filter(job=OuterRef("pk"), answer__in=_TO_A_REPAIR)),
            said_no=Exists(_last_answer().filter(answer__in=_NOES, authorised_minor__lte=fee)),
        )
        .values("concluded", "found", "here", "unordered", "agreed", "said_no")
        .get()
    )
    bench = _to("bench", job)
    if known["said_no"] and not known["concluded"]:
        return Step("The customer said no: write down how it ended.", bench, "To the bench")
    if known["here"]:
        return Step("A part that it waited for is here: fit it.", bench, "To the bench")
    if known["concluded"]:
        proves = job.outcome in {Outcome.REPAIRED, Outcome.PARTLY}
        title = "Test it: soak test, then the safety check." if proves else "It is concluded: mark it ready."
        return Step(title, bench, "To the bench")
    if known["unordered"]:
        return Step("A part that it needs is not ordered yet.", reverse("stockroom:order_list"), "To order")
    if not known["found"]:
        return Step("Find the fault, and note what you found.", bench, "To the bench")
    if not (job.customer.is_shop or known["agreed"] or job.limit_minor):
        paragraph = the_profile().law.written_estimate
        why = f"the law wants a written estimate first ({paragraph})" if paragraph else "nobody agreed to it"
        return Step(
            "Put what it needs to the customer, before it is repaired.",
            _to("office", job),
            "To the estimate",
            (f"No repair is agreed yet: {why}.",),
        )
    return Step("Fix it, and write down what had failed.", bench, "To the bench")


def _last_answer() -> QuerySet[Authorisation]:
    """What the customer of the outer job said last."""
    given = Authorisation.objects.filter(job=OuterRef("job"))
    last = given.order_by("-at", "-id").values("pk")[:1]
    return Authorisation.objects.filter(job=OuterRef("pk"), pk=Subquery(last))


def _missing(wants: QuerySet[PartWanted]) -> QuerySet[PartWanted]:
    return wants.filter(quantity_thousandths__gt=F("kept_thousandths") + F("fitted_thousandths"))


def _awaiting_word(job: Job) -> Step:
    return Step("The estimate is with the customer.", _to("office", job), "Note the answer")


def _awaiting_parts(job: Job) -> Step:
    wants = PartWanted.objects.filter(job=job, fitted_at=None, dropped_at=None, came_at=None)
    first = wants.select_related("order_line__order").order_by("id").first()
    if first is None:
        return Step("What it waited for is here.", _to("bench", job), "To the bench")
    if first.order_line is None:
        return Step(f"{first} is not ordered yet.", reverse("stockroom:order_list"), "To order")
    order = first.order_line.order
    stands = "is on its way" if order.sent_at else "stands on an order that is not sent"
    return Step(f"{first} {stands}.", reverse("stockroom:order", args=[order.pk]), str(order))


def _proving(job: Job) -> Step:
    return Step("It is on soak test.", _to("bench", job), "Check on it")


def _ready(job: Job) -> Step:
    """What stands before going home, as far as one query tells; dispatch itself says all that holds the unit back."""
    invoices = Invoice.objects.filter(job_links__job=job.pk, kind=Invoice.Kind.INVOICE)
    checks = SafetyCheck.objects.filter(job=OuterRef("pk"), struck_at__isnull=True)
    known = (
        Job.objects.filter(pk=job.pk)
        .annotate(
            checked=Exists(checks),
            waived=Exists(SafetyWaiver.objects.filter(job=OuterRef("pk"), struck_at__isnull=True)),
            issued=Exists(invoices.filter(issued_at__isnull=False)),
            yes_since=Exists(
                _last_answer().filter(
                    answer__in=_TO_A_REPAIR,
                    authorised_minor__gt=job.bench_fee_minor or 0,
                    at__gt=OuterRef("ready_at"),
                )
            ),
            fitted_since=Exists(fitted_since_invoiced(Job.objects.filter(pk=job.pk))),
            draft=Subquery(invoices.filter(issued_at__isnull=True).order_by("-id").values("pk")[:1]),
        )
        .values("checked", "waived", "issued", "draft", "yes_since", "fitted_since")
        .get()
    )
    repaired = job.outcome in {Outcome.REPAIRED, Outcome.PARTLY}
    if known["yes_since"] and not repaired:
        return Step(
            "The customer said yes since: it goes back on the bench.", _to("bench", job), "To the bench"
        )
    if job.unit.mains and not known["checked"] and not known["waived"]:
        address = reverse("bench:safety", args=[job.number])
        return Step("The safety check is owed, before it goes home.", address, "Safety check")
    if known["draft"] and not known["issued"]:
        page = reverse("office:invoice", args=[known["draft"]])
        return Step("Look the draft over, and issue the invoice.", page, "To the draft")
    to_charge = repaired or job.bench_fee_minor
    if to_charge and not known["issued"] and not job.customer.is_shop:
        return Step("Draft the invoice, before it goes home.", _to("office", job), "To the money")
    if known["fitted_since"]:
        return Step("A part was fitted since the invoice: draft another.", _to("office", job), "To the money")
    return Step("It goes home once all is settled.", _to("dispatch", job), "To dispatch")


_STEPS: dict[Stage, Callable[[Job], Step]] = for_each_open(
    {
        Stage.EXPECTED: _expected,
        Stage.BOOKED_IN: _booked_in,
        Stage.ON_THE_BENCH: _on_the_bench,
        Stage.AWAITING_WORD: _awaiting_word,
        Stage.AWAITING_PARTS: _awaiting_parts,
        Stage.PROVING: _proving,
        Stage.READY: _ready,
    }
)
