"""Money that came in or went back, where it belongs, and units let go with a balance open."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from shop.counter.models import Customer, Job
from shop.frame.clock import now
from shop.frame.columns import ExactDecimalField
from shop.frame.english import american
from shop.frame.guards import AppendOnly
from shop.frame.models import Staff
from shop.frame.seals import SaltField, Sealed
from shop.keeping.models import IssuedPaper
from shop.office.models.invoices import Invoice


class Payment(models.Model):
    """Money that came in (or went back, when negative). Append-only; a receipt is printed for each."""

    guard = AppendOnly()
    sealed = Sealed(personal=("reference", "note"))

    class Kind(models.TextChoices):
        DEPOSIT = "deposit", "Deposit"
        PAYMENT = "payment", "Payment"
        REFUND = "refund", "Refund"

    class How(models.TextChoices):
        CASH = "cash", "Cash"
        CARD = "card", "Card"
        TRANSFER = "transfer", "Bank transfer"
        CHEQUE = "cheque", "Check"
        OTHER = "other", "Other"

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=8, choices=Kind)
    how = models.CharField(max_length=8, choices=How)
    amount_minor = models.BigIntegerField(help_text="Negative for a refund.")
    rounding_minor = models.SmallIntegerField(
        default=0, help_text="What coins made of it: paid beyond the sum that it settles, negative below it."
    )
    tax_percent = ExactDecimalField(null=True, blank=True)
    tax_minor = models.BigIntegerField(
        default=0, help_text="Tax in a deposit, where the country wants it when the money comes in."
    )
    currency = models.CharField(max_length=3)
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    reference = models.CharField(max_length=80, blank=True)
    note = models.CharField(max_length=200, blank=True)
    seal_salt = SaltField()

    class Meta:
        ordering = ["at", "id"]
        indexes = [models.Index(fields=["at"], name="office_payment_at")]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="refund", amount_minor__lt=0) | (~Q(kind="refund") & Q(amount_minor__gt=0)),
                name="office_payment_has_a_sign",
                violation_error_message="A payment is more than nothing.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.amount_minor} {self.currency}"

    @property
    def settles_minor(self) -> int:
        """What it settles: the coins' rounding taken off. Its allocations add up to this."""
        return self.amount_minor - self.rounding_minor

    @property
    def way(self) -> str:
        """How it was paid, in the English of the shop's papers."""
        return "Check" if self.how == self.How.CHEQUE and american() else self.get_how_display()

    @classmethod
    def of_receipt(cls, paper: IssuedPaper) -> models.QuerySet[Payment]:
        """The payment that a paper is the receipt of; none for any other paper."""
        pk = paper.number.removeprefix("R-")
        return (
            cls.objects.filter(pk=int(pk))
            if paper.kind == "receipt" and pk.isdecimal()
            else cls.objects.none()
        )

    @property
    def receipt_number(self) -> str:
        """The number of its receipt among the shop's papers."""
        return f"R-{self.pk}"


class Allocation(models.Model):
    """Which part of a payment belongs to which job or invoice. Deposits lie on a job until an invoice takes them up."""

    guard = AppendOnly()
    sealed = Sealed()

    payment = models.ForeignKey(Payment, on_delete=models.PROTECT, related_name="allocations")
    invoice = models.ForeignKey(
        Invoice, on_delete=models.PROTECT, null=True, blank=True, related_name="allocations"
    )
    job = models.ForeignKey(
        Job, on_delete=models.PROTECT, null=True, blank=True, related_name="+", db_index=False
    )
    amount_minor = models.BigIntegerField()
    at = models.DateTimeField(default=now)

    class Meta:
        # most are on an invoice alone: an index of all would be taken for one that finds nothing out
        indexes = [
            models.Index(fields=["job"], condition=Q(job__isnull=False), name="office_allocation_of_job")
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(invoice__isnull=False) | Q(job__isnull=False),
                name="office_allocation_points_somewhere",
            ),
            models.CheckConstraint(condition=~Q(amount_minor=0), name="office_allocation_not_nothing"),
        ]

    def __str__(self) -> str:
        return f"{self.amount_minor} of payment {self.payment_id}"


class ReleaseUnpaid(models.Model):
    """Why a unit may leave with a balance open: a written reason by a named person. Append-only."""

    guard = AppendOnly()
    sealed = Sealed()

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    reason = models.TextField()
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=now)

    class Meta:
        verbose_name_plural = "releases unpaid"
        constraints = [models.CheckConstraint(condition=~Q(reason=""), name="office_release_has_a_reason")]

    def __str__(self) -> str:
        return self.reason[:60]
