"""Customers: who owns units, and how tax applies to them."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from shop.frame.clock import now


class TaxStanding(models.TextChoices):
    """How tax applies to a customer; the office's rules read it."""

    ORDINARY = "ordinary", "Taxed as usual"
    EXEMPT = "exempt", "Exempt"
    REVERSE_CHARGE = "reverse_charge", "Reverse charge"


class Customer(models.Model):
    """Somebody who owns units. `is_shop` is the shop itself, owner of its own and its donor units."""

    name = models.CharField(max_length=160)
    organisation = models.CharField(max_length=160, blank=True)
    address = models.TextField(blank=True, help_text="As typed; printed as typed.")
    country = models.CharField(
        max_length=2, blank=True, help_text="ISO 3166 code where it is not the shop's own."
    )
    phone = models.CharField(max_length=60, blank=True)
    email = models.EmailField(blank=True)
    note = models.TextField(blank=True)
    search_key = models.CharField(
        max_length=400, blank=True, db_index=True, help_text="Folded name and organization."
    )
    phone_digits = models.CharField(max_length=40, blank=True, db_index=True)
    tax_standing = models.CharField(max_length=16, choices=TaxStanding, default=TaxStanding.ORDINARY)
    tax_number = models.CharField(max_length=40, blank=True)
    is_shop = models.BooleanField(default=False)
    merged_into = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="merged"
    )
    forgotten_at = models.DateTimeField(null=True, blank=True)
    added_at = models.DateTimeField(default=now)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["is_shop"], condition=Q(is_shop=True), name="counter_one_shop_customer"
            ),
            models.CheckConstraint(
                condition=Q(merged_into__isnull=True) | ~Q(merged_into=F("id")),
                name="counter_customer_not_into_itself",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.organisation})" if self.organisation else self.name
