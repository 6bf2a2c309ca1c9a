"""What every line in a job’s record holds."""

from __future__ import annotations

import uuid

from django.db import models
from django.db.models import Q

from shop.counter.models import Job
from shop.frame.clock import now
from shop.frame.guards import never_deleted
from shop.frame.models import Staff


class Written(models.Model):
    """One line in a job's record. `entry` is the device's own id: the same entry sent twice is taken once."""

    guard = never_deleted()

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    entry = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    struck_at = models.DateTimeField(null=True, blank=True)
    struck_by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    struck_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        abstract = True
        ordering = ["at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(struck_at__isnull=True) | ~Q(struck_reason=""),
                name="%(app_label)s_%(class)s_struck_with_reason",
                violation_error_message="Say why this line is struck out.",
            )
        ]
