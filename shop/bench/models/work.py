"""The time spent, what was seen, and what had failed and put it right."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from shop.bench.models.written import Written
from shop.counter.stages import Outcome
from shop.frame.clock import local, now
from shop.keeping.models import Picture


class WorkKind(models.TextChoices):
    """What a stint was spent on; the office has a rate for each."""

    DIAGNOSIS = "diagnosis", "Finding the fault"
    REPAIR = "repair", "Repair"
    CLEANING = "cleaning", "Cleaning"
    ALIGNMENT = "alignment", "Alignment"
    TESTING = "testing", "Testing"
    UNBILLED = "unbilled", "Not billed"


class Stint(Written):
    """One unbroken stretch of bench time. One runs at a time for each person."""

    kind = models.CharField(max_length=10, choices=WorkKind, default=WorkKind.REPAIR)
    started_at = models.DateTimeField()
    stopped_at = models.DateTimeField(null=True, blank=True)
    mended = models.BooleanField(default=False, help_text="The times were corrected by hand.")
    under_warranty = models.BooleanField(default=False)

    class Meta(Written.Meta):
        ordering = ["started_at", "id"]
        indexes = [
            models.Index(
                fields=["started_at"], condition=Q(struck_at__isnull=True), name="bench_stint_started"
            )
        ]
        constraints = [
            *Written.Meta.constraints,
            models.CheckConstraint(
                condition=Q(stopped_at__isnull=True) | Q(stopped_at__gte=F("started_at")),
                name="bench_stint_stops_after_start",
                violation_error_message="The stint stops before it starts.",
            ),
            models.UniqueConstraint(
                fields=["by"],
                condition=Q(stopped_at__isnull=True, struck_at__isnull=True),
                name="bench_one_running_stint_a_person",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} from {local(self.started_at):%Y-%m-%d %H:%M}"

    @property
    def seconds(self) -> int:
        """How long it took, or has taken so far."""
        return int(((self.stopped_at or now()) - self.started_at).total_seconds())


class Finding(Written):
    """What the bench saw, in words."""

    text = models.TextField()
    picture = models.ForeignKey(Picture, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    beyond = models.BooleanField(default=False, help_text="A further fault, beyond what is agreed.")

    class Meta(Written.Meta):
        indexes = [models.Index(fields=["at"], condition=Q(beyond=True), name="bench_finding_beyond")]

    def __str__(self) -> str:
        return self.text[:60]


class FailureMode(models.TextChoices):
    """How a part failed, in the words of reliability tables (open, short, drift, wear, ...)."""

    OPEN = "open", "Open"
    SHORT = "short", "Short"
    DRIFT = "drift", "Drifted out of tolerance"
    LEAKY = "leaky", "Leaky"
    INTERMITTENT = "intermittent", "Intermittent"
    WORN = "worn", "Worn"
    DIRTY = "dirty", "Dirty or oxidized"
    CRACKED = "cracked", "Cracked joint or break"
    HARDENED = "hardened", "Hardened grease or rubber"
    LOST = "lost", "Lost adjustment"
    DAMAGED = "damaged", "Damaged from outside"
    EARLIER_WORK = "earlier_work", "Fault of earlier work"
    NONE_FOUND = "none_found", "No fault found"
    OTHER = "other", "Other"


class KnownBy(models.TextChoices):
    """How the bench knows that this had failed: the surer, the more it weighs in the records."""

    MEASURED = "measured", "Measured on the part itself"
    SWAPPED = "swapped", "The fault went along with it"
    CURED_ALONE = "cured_alone", "Cured by this alone"
    WITH_OTHERS = "with_others", "Replaced together with others"


class Conclusion(Written):
    """What had failed, how, and what fixed it: the triple that later searches find."""

    failed = models.CharField(max_length=200)
    position = models.CharField(max_length=60, blank=True)
    mode = models.CharField(max_length=12, choices=FailureMode)
    remedy = models.TextField()
    outcome = models.CharField(max_length=14, choices=Outcome, default=Outcome.REPAIRED)
    known_by = models.CharField(max_length=12, choices=KnownBy, blank=True)
    tell_how_known = models.BooleanField(default=False, help_text="The report says how it is known.")
    watch = models.TextField(blank=True, help_text="What the customer should watch.")

    class Meta(Written.Meta):
        pass

    def __str__(self) -> str:
        return f"{self.failed}: {self.get_mode_display()}"


class Overruled(Written):
    """A suggestion of the isolation rules that the technician overruled, and why."""

    rule = models.CharField(max_length=60)
    reason = models.CharField(max_length=200)

    class Meta(Written.Meta):
        verbose_name_plural = "overruled suggestions"

    def __str__(self) -> str:
        return self.rule
