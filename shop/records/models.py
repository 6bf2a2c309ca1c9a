"""One search row per job, refreshed with it, and what people keep for searching."""

from __future__ import annotations

from django.db import models

from shop.counter.models import Job
from shop.premises.clock import now
from shop.premises.models import Staff


class SearchRow(models.Model):
    """The words of one job as the handbook folds, stems and expands them. `id` runs in date order, so newest is by id.

    Holds a model's id token, not its spelling, and no customer name: customers are found in their own table.
    """

    job = models.OneToOneField(Job, on_delete=models.CASCADE, related_name="+")
    day = models.DateField(db_index=True)
    model_id_token = models.CharField(max_length=24)
    complaint = models.TextField(blank=True)
    findings = models.TextField(blank=True)
    conclusion = models.TextField(blank=True)
    parts = models.TextField(blank=True)
    marks = models.TextField(blank=True, help_text="Serial, evidence markings, date stamps, job number.")
    mode = models.CharField(max_length=12, blank=True)
    outcome = models.CharField(max_length=14, blank=True)
    kind = models.CharField(max_length=16, blank=True)

    def __str__(self) -> str:
        return f"search row of {self.job_id}"


class Synonym(models.Model):
    """Words of the shop's own that mean the same; they join the handbook's table."""

    words = models.CharField(max_length=300, help_text="Separated by commas: cap, capacitor, condenser")
    added_at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    def __str__(self) -> str:
        return self.words


class SavedSearch(models.Model):
    name = models.CharField(max_length=80)
    query = models.CharField(max_length=400)
    staff = models.ForeignKey(Staff, on_delete=models.CASCADE, related_name="+")
    saved_at = models.DateTimeField(default=now)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["staff", "name"], name="records_saved_search_name_once")
        ]

    def __str__(self) -> str:
        return self.name
