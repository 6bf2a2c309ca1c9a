"""Traces of earlier repairs."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from shop.bench.models.written import Written
from shop.keeping.models import Picture


class EvidenceKind(models.TextChoices):
    DATE_CODE = "date_code", "Date code on a part"
    DEVICE = "device", "Device that may not be the original"
    DATE_STAMP = "date_stamp", "Repairer’s label or date"
    FACTORY = "factory", "Factory stamp"
    MISMATCH = "mismatch", "Set that does not match"
    REWORK = "rework", "Rework: solder, flux, wires"
    OTHER = "other", "Something else"


class Evidence(Written):
    """A trace of an earlier repair, verbatim, with what the handbook reads from it."""

    kind = models.CharField(max_length=10, choices=EvidenceKind)
    where = models.CharField(max_length=160)
    marking = models.CharField(max_length=120, blank=True, help_text="Exactly as it stands there.")
    note = models.TextField(blank=True)
    candidates = models.JSONField(
        default=list, blank=True, help_text="Intervals with the reading each is based on."
    )
    untouched = models.BooleanField(
        default=False, help_text="The part sits in its factory solder: it was there when the unit was built."
    )
    chosen = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Which candidate the technician took."
    )
    earliest = models.DateField(null=True, blank=True)
    latest = models.DateField(null=True, blank=True)
    judgement = models.CharField(max_length=20, blank=True, help_text="original, later, older_stock, open")
    argument = models.CharField(max_length=400, blank=True)
    picture = models.ForeignKey(Picture, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta(Written.Meta):
        verbose_name_plural = "evidence"
        constraints = [
            *Written.Meta.constraints,
            models.CheckConstraint(
                condition=Q(earliest__isnull=True) | Q(latest__isnull=True) | Q(latest__gte=F("earliest")),
                name="bench_evidence_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.where}: {self.marking}"
