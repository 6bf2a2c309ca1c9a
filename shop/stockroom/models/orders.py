"""Orders to suppliers, what came of them, and what went back."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from shop.counter.models import Job, Unit
from shop.frame.clock import now
from shop.frame.guards import never_deleted
from shop.frame.models import Staff
from shop.handbook.money import Money
from shop.keeping.models import IssuedPaper
from shop.stockroom.models.stock import LedgerEntry, Part, Supplier


class Order(models.Model):
    """An order to a supplier: a list until it is sent, then open until everything came or was given up."""

    number = models.CharField(max_length=20, unique=True)
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="orders")
    opened_at = models.DateTimeField(default=now)
    sent_at = models.DateTimeField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    currency = models.CharField(max_length=3)
    carriage_minor = models.BigIntegerField(
        default=0, help_text="Freight and fees, shared over the lines by value."
    )
    carriage_landed_ten_thousandths = models.BigIntegerField(
        default=0, help_text="What of freight and fees is in the cost of parts that came."
    )
    reference = models.CharField(max_length=60, blank=True, help_text="What the supplier calls the order.")
    link = models.URLField(max_length=500, blank=True, help_text="Where the supplier shows how it stands.")
    note = models.TextField(blank=True)
    paper = models.ForeignKey(IssuedPaper, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    def __str__(self) -> str:
        return self.number


class OrderLine(models.Model):
    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="lines")
    part = models.ForeignKey(
        Part, on_delete=models.PROTECT, null=True, blank=True, related_name="order_lines"
    )
    description = models.CharField(max_length=200)
    quantity_thousandths = models.BigIntegerField()
    received_thousandths = models.BigIntegerField(default=0)
    unit_cost_ten_thousandths = models.BigIntegerField(default=0)
    given_up_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(quantity_thousandths__gt=0), name="stockroom_ordered_more_than_none"
            ),
            models.CheckConstraint(
                condition=Q(received_thousandths__gte=0), name="stockroom_received_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return self.description


class PartSentBack(models.Model):
    """Parts that went back to a supplier as wrong, fake or dead, and the credit that is owed for them."""

    guard = never_deleted()

    class Fault(models.TextChoices):
        WRONG = "wrong", "Not what was ordered"
        FAKE = "fake", "Counterfeit"
        DEAD = "dead", "Dead or out of its limits"
        DAMAGED = "damaged", "Damaged on the way"
        TOO_MANY = "too_many", "More than was ordered"

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="sent_back")
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="sent_back")
    order_line = models.ForeignKey(
        OrderLine, on_delete=models.PROTECT, null=True, blank=True, related_name="sent_back"
    )
    ledger_entry = models.OneToOneField(LedgerEntry, on_delete=models.PROTECT, related_name="+")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    quantity_thousandths = models.BigIntegerField()
    fault = models.CharField(max_length=8, choices=Fault)
    note = models.CharField(max_length=200, blank=True)
    currency = models.CharField(max_length=3)
    expected_minor = models.BigIntegerField(default=0, help_text="The credit that is owed.")
    credited_minor = models.BigIntegerField(null=True, blank=True, help_text="Empty: it has not come yet.")
    credited_at = models.DateTimeField(null=True, blank=True)
    credit_reference = models.CharField(max_length=60, blank=True)
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        verbose_name_plural = "parts sent back"
        indexes = [
            models.Index(fields=["id"], condition=Q(credited_at__isnull=True), name="stockroom_credit_owed")
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(quantity_thousandths__gt=0), name="stockroom_sent_back_more_than_none"
            ),
            models.CheckConstraint(
                condition=Q(expected_minor__gte=0)
                & (Q(credited_minor__isnull=True) | Q(credited_minor__gte=0)),
                name="stockroom_credit_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity_thousandths / 1000:g} × {self.part}"

    @property
    def expected(self) -> Money:
        """The credit that is owed, as money."""
        return Money(self.expected_minor, self.currency)


class StillInside(models.Model):
    """A part that can still be had from a donor unit."""

    donor = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="+")
    description = models.CharField(max_length=200)
    quantity_thousandths = models.BigIntegerField(default=1000)
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    gone_at = models.DateTimeField(null=True, blank=True, help_text="Taken out, or no good.")

    class Meta:
        verbose_name_plural = "still inside donor units"
        constraints = [
            models.CheckConstraint(
                condition=Q(quantity_thousandths__gt=0), name="stockroom_inside_more_than_none"
            )
        ]

    def __str__(self) -> str:
        return self.description
