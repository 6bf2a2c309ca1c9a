"""What was used on a job, and what a job waits for."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from shop.counter.models import Job
from shop.frame.clock import now
from shop.frame.guards import never_deleted
from shop.frame.models import Staff
from shop.stockroom.models.stock import LedgerEntry, Part, PartState


class PartFitted(models.Model):
    """A part used on a job: from stock, or in free text when it never lay in a drawer. Struck out, never deleted."""

    guard = never_deleted()

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, null=True, blank=True, related_name="fitted")
    ledger_entry = models.OneToOneField(
        LedgerEntry, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    description = models.CharField(max_length=200)
    position = models.CharField(max_length=60, blank=True, help_text="Where in the unit: Q701, C12")
    state = models.CharField(max_length=9, choices=PartState, default=PartState.NEW)
    quantity_thousandths = models.BigIntegerField(default=1000)
    unit_cost_ten_thousandths = models.BigIntegerField(default=0)
    unit_price_ten_thousandths = models.BigIntegerField(
        null=True, blank=True, help_text="Empty: nobody has said it yet."
    )
    currency = models.CharField(max_length=3)
    under_warranty = models.BooleanField(default=False, help_text="Not charged: fitted under warranty.")
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    struck_at = models.DateTimeField(null=True, blank=True)
    struck_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "parts fitted"
        constraints = [
            models.CheckConstraint(
                condition=Q(quantity_thousandths__gt=0), name="stockroom_fitted_more_than_none"
            ),
            models.CheckConstraint(
                condition=Q(struck_at__isnull=True) | ~Q(struck_reason=""),
                name="stockroom_struck_with_reason",
            ),
            models.CheckConstraint(
                condition=Q(unit_price_ten_thousandths__gte=0), name="stockroom_fitted_price_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return self.description


class PartWanted(models.Model):
    """A part that a job waits for; it stands on the order list until it is ordered, came, or is no longer wanted.

    Of what is wanted some is fitted, some lies in the drawer for the job, and the rest is still to come.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, null=True, blank=True, related_name="wanted")
    description = models.CharField(max_length=200)
    quantity_thousandths = models.BigIntegerField(default=1000)
    kept_thousandths = models.BigIntegerField(
        default=0, help_text="How much of it lies in the drawer for the job."
    )
    fitted_thousandths = models.BigIntegerField(default=0)
    order_line = models.ForeignKey(
        "stockroom.OrderLine", on_delete=models.PROTECT, null=True, blank=True, related_name="wanted"
    )
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    came_at = models.DateTimeField(
        null=True, blank=True, help_text="Since when all of it is here, or fitted."
    )
    fitted_at = models.DateTimeField(null=True, blank=True)
    dropped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "parts wanted"
        indexes = [models.Index(fields=["part", "came_at"], name="stockroom_wanted_of_part")]
        constraints = [
            models.CheckConstraint(
                condition=Q(quantity_thousandths__gt=0), name="stockroom_wanted_more_than_none"
            ),
            models.CheckConstraint(
                condition=Q(kept_thousandths__gte=0)
                & Q(fitted_thousandths__gte=0)
                & Q(quantity_thousandths__gte=F("kept_thousandths") + F("fitted_thousandths")),
                name="stockroom_wanted_is_in_one_place",
            ),
        ]

    def __str__(self) -> str:
        return self.description

    @property
    def missing_thousandths(self) -> int:
        """What of it is neither fitted nor here."""
        return self.quantity_thousandths - self.kept_thousandths - self.fitted_thousandths
