"""Safety checks and their waivers, cautions read, and the charge that waits inside."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from shop.bench.models.readings import Meter
from shop.bench.models.written import Written
from shop.counter.models import Job, UnitModel
from shop.frame.clock import now
from shop.frame.columns import ExactDecimalField
from shop.frame.models import Staff

LONGEST_TYPED = 2400
"""More than the form can send: twenty-four voltages at the IEC 60990 network, each with its unit and position."""


class SafetyOutcome(models.TextChoices):
    PASSED = "passed", "Passed"
    FAILED = "failed", "Failed"
    NOT_DONE = "not_done", "Not done"


class SafetyCheck(Written):
    """The tests that a mains unit must pass before it leaves, judged as one."""

    protection_class = models.CharField(max_length=3)
    outcome = models.CharField(max_length=8, choices=SafetyOutcome)
    summary = models.CharField(max_length=400)
    meter = models.ForeignKey(Meter, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta(Written.Meta):
        pass

    def __str__(self) -> str:
        return self.get_outcome_display()


class SafetyTest(models.Model):
    """One test of a safety check: what was typed, the limit it was held against, and how it ended."""

    check_of = models.ForeignKey(SafetyCheck, on_delete=models.PROTECT, related_name="tests")
    key = models.CharField(max_length=40)
    label = models.CharField(max_length=120)
    typed = models.CharField(max_length=LONGEST_TYPED, blank=True)
    value = ExactDecimalField(null=True, blank=True)
    limit = models.CharField(max_length=120, blank=True)
    outcome = models.CharField(max_length=10)
    sentence = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.key}: {self.outcome}"


class SafetyWaiver(Written):
    """Why a mains unit goes home without a passed safety check: a written reason by a named person."""

    reason = models.TextField()

    class Meta(Written.Meta):
        constraints = [
            *Written.Meta.constraints,
            models.CheckConstraint(condition=~Q(reason=""), name="bench_waiver_has_a_reason"),
            models.CheckConstraint(condition=Q(by__isnull=False), name="bench_waiver_is_signed"),
        ]

    def __str__(self) -> str:
        return self.reason[:60]


class Reservoir(models.Model):
    """The largest capacitor of a model and its bleeder, so that the discharge time can be computed."""

    model = models.OneToOneField(UnitModel, on_delete=models.CASCADE, related_name="+")
    volt = ExactDecimalField(help_text="What it is charged to, in volt.")
    farad = ExactDecimalField(help_text="In farad.")
    ohm = ExactDecimalField(help_text="The bleeder, in ohm.")
    where = models.CharField(max_length=60, blank=True, help_text="C801")

    def __str__(self) -> str:
        return f"{self.where or 'reservoir'} of {self.model_id}"


class CautionRead(models.Model):
    """A caution that somebody read on a job; each is read once per job and person."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    key = models.CharField(max_length=40)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=now)

    class Meta:
        verbose_name_plural = "cautions read"
        constraints = [models.UniqueConstraint(fields=["job", "key", "by"], name="bench_caution_read_once")]

    def __str__(self) -> str:
        return self.key
