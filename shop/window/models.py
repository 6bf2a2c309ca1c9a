"""The customer's own page: a key that opens it, and words to the shop."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from shop.counter.models import Job
from shop.frame.clock import now


class WindowKey(models.Model):
    """Opens the page of one job. Only the digest of the secret is kept; the link stands on the claim check."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(default=now)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"key of job {self.job_id}"


class Word(models.Model):
    """A word from the customer to the shop, or back."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    text = models.TextField()
    from_customer = models.BooleanField(default=True)
    at = models.DateTimeField(default=now)
    seen_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at", "id"]
        indexes = [
            models.Index(
                fields=["at", "id"],
                condition=Q(from_customer=True, seen_at__isnull=True),
                name="window_word_unread",
            )
        ]

    def __str__(self) -> str:
        return self.text[:60]
