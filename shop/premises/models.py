"""The shop's own terms, and the wrong passwords of late."""

from __future__ import annotations

from django.db import models

from shop.frame.clock import now
from shop.frame.models import Staff


class Terms(models.Model):
    """The shop's own terms from a date on; what stood on a claim check can be told for any day."""

    from_date = models.DateField(unique=True)
    text = models.TextField()
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["-from_date"]
        verbose_name_plural = "terms"

    def __str__(self) -> str:
        return f"Terms from {self.from_date}"


class SignInTry(models.Model):
    """Wrong passwords lately, by name and address: each one makes the next try wait longer, and nobody is locked out."""

    key = models.CharField(max_length=64, unique=True)
    failures = models.PositiveSmallIntegerField(default=0)
    last_at = models.DateTimeField(default=now)

    class Meta:
        verbose_name_plural = "sign-in tries"

    def __str__(self) -> str:
        return f"{self.failures} wrong"
