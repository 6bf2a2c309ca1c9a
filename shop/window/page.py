"""What the customer's page says: in plain words, of this one job, and nothing about anybody else."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from shop.counter.models import Job, JobPaper, JobPicture, Promise
from shop.counter.promising import first_words, standing
from shop.counter.stages import ENDED, Outcome, Stage
from shop.dispatch.models import CollectionJob, ParcelJob
from shop.frame import clock
from shop.frame.spelling import weekday
from shop.handbook.law.distance import DistanceLaw
from shop.keeping.models import IssuedPaper
from shop.office.distance import Contract, contract_of, distance_law, shop_line
from shop.office.legal import reads_gross
from shop.office.models import Authorisation, Estimate, EstimateLine, Invoice
from shop.office.paying import HowToPay, how_to_pay
from shop.office.queries import agreed_on, invoices_of, open_minor
from shop.window.models import Word

PAPERS = ("claim_check", "estimate", "invoice", "credit_note", "receipt", "return_slip", "withdrawal")
"""Kinds of paper that the customer was given anyway."""

ENDED_AS: dict[str, str] = {
    Outcome.REPAIRED: "It was repaired.",
    Outcome.PARTLY: "Part of it was repaired; what was not is written on your papers.",
    Outcome.NO_FAULT: "We could not find the fault that you described.",
    Outcome.BEYOND: "Repairing it would cost more than it is worth.",
    Outcome.DECLINED: "It goes back unrepaired, as you asked.",
    Outcome.UNREPAIRED: "It goes back unrepaired.",
    Outcome.UNCLAIMED: "It was not collected in time.",
    Outcome.UNKNOWN: "It is no longer known how it ended.",
}


@dataclass
class WindowPage:
    """The page of one job, each part read once."""

    job: Job

    @property
    def stands(self) -> str:
        """Where the unit is, in a few words."""
        return Stage(self.job.stage).row.told.stands

    @property
    def words(self) -> str:
        """The same in a sentence or two."""
        said = Stage(self.job.stage).row.told.words
        return f"{said} {ENDED_AS[self.job.outcome]}" if self.job.outcome in ENDED_AS else said

    @cached_property
    def promise(self) -> Promise | None:
        """The date that the shop gave and that is still to come true: when it is ready, else by when they hear of it."""
        if self.job.ready_at is not None or self.job.stage in ENDED:
            return None
        given = standing([self.job.pk]).get(self.job.pk, {})
        heard = Promise.What.READY in given or self.job.pk in first_words([self.job.pk])
        return given.get(Promise.What.READY) or (None if heard else given.get(Promise.What.WORD))

    @property
    def promise_words(self) -> str:
        """The same in a sentence, with what it waits for; once the day has passed, that it did. No odds."""
        one = self.promise
        if one is None:
            return ""
        day, why = weekday(one.day), f": {one.get_because_display()}" if one.because else ""
        if one.day is not None and one.day < clock.today():
            return f"We had hoped for {day} and need longer. We will write here when we know more."
        said = "We hope to have it ready by" if one.what == Promise.What.READY else "You will hear from us by"
        return f"{said} {day}{why}."

    @cached_property
    def estimate(self) -> Estimate | None:
        """The last estimate that was put to the customer."""
        put = Estimate.objects.filter(job=self.job, given_at__isnull=False)
        return put.order_by("-version").first()

    @property
    def may_answer(self) -> bool:
        """Whether the estimate waits for an answer and still stands."""
        one = self.estimate
        if one is None or one.state != Estimate.State.GIVEN:
            return False
        return one.valid_until is None or one.valid_until >= clock.today()

    @property
    def run_out(self) -> bool:
        """Whether the estimate was never answered and stands no more."""
        return (
            self.estimate is not None and self.estimate.state == Estimate.State.GIVEN and not self.may_answer
        )

    @cached_property
    def lines(self) -> list[EstimateLine]:
        """The lines of that estimate."""
        if self.estimate is None:
            return []
        return list(EstimateLine.objects.filter(estimate=self.estimate).select_related("estimate"))

    @property
    def reads_gross(self) -> bool:
        """Whether prices are put to this customer with their tax."""
        return reads_gross(self.job.customer)

    @cached_property
    def answers(self) -> list[Authorisation]:
        """What the customer answered so far."""
        given = Authorisation.objects.filter(job=self.job).select_related("estimate")
        return list(given.order_by("at", "id"))

    @property
    def agreed_before(self) -> bool:
        """Whether something beyond the bench fee is agreed, so that a no to this estimate doesn't end the repair."""
        agreed = agreed_on(self.job, self.answers)
        return agreed.whole > agreed.fee

    @cached_property
    def distance(self) -> DistanceLaw | None:
        """The law on distance contracts that the job falls under."""
        return distance_law(self.job)

    @property
    def withdrawal_words(self) -> str:
        """What the customer is told of the right to take the contract back."""
        return self.distance.information(shop_line()) if self.distance else ""

    @cached_property
    def contract(self) -> Contract | None:
        """The contract that the customer may still take back here."""
        one = contract_of(self.job, self.answers, law=self.distance) if self.distance else None
        return one if one is not None and one.stands_open(clock.today()) else None

    @cached_property
    def conversation(self) -> list[Word]:
        """Words to the shop and back."""
        return list(Word.objects.filter(job=self.job))

    @cached_property
    def to_pay(self) -> list[HowToPay]:
        """Invoices of the job that are not paid, each with how they can be."""
        covering = invoices_of(self.job).filter(issued_at__isnull=False, settled_at__isnull=True)
        unpaid = list(covering.filter(kind=Invoice.Kind.INVOICE, taken_back_at__isnull=True))
        return [how_to_pay(one) for one in unpaid if open_minor(one) > 0]

    @cached_property
    def pictures(self) -> list[JobPicture]:
        """Photographs that the shop chose to show."""
        shown = JobPicture.objects.filter(job=self.job, for_customer=True, struck_at__isnull=True)
        return list(shown.select_related("picture").order_by("id"))

    @cached_property
    def papers(self) -> list[IssuedPaper]:
        """Papers that the customer has been given, the newest first."""
        filed = JobPaper.objects.filter(job=self.job, paper__kind__in=PAPERS, paper__deleted_at__isnull=True)
        return [one.paper for one in filed.select_related("paper").order_by("-paper__issued_at")]

    @cached_property
    def parcel(self) -> ParcelJob | None:
        """The parcel in which it left."""
        left = ParcelJob.objects.filter(
            job=self.job, parcel__handed_over_at__isnull=False, parcel__unpacked_at__isnull=True
        )
        return left.select_related("parcel__carrier").order_by("-id").first()

    @cached_property
    def collection(self) -> CollectionJob | None:
        """Its collection at the counter."""
        return CollectionJob.objects.filter(job=self.job).select_related("collection").first()
