"""The soak test."""

from __future__ import annotations

import datetime as dt
import uuid
from itertools import pairwise

from django.db import models
from django.db.models import Q

from shop.bench.models.written import Written
from shop.frame.clock import local, now
from shop.frame.columns import ExactDecimalField
from shop.frame.models import Staff


class SoakTest(Written):
    """A repaired unit left running and looked at on the way."""

    class Result(models.TextChoices):
        RUNNING = "", "Running"
        PASSED = "passed", "Passed"
        CAME_BACK = "came_back", "The fault came back"
        BROKEN_OFF = "broken_off", "Broken off"

    planned_seconds = models.PositiveIntegerField()
    check_every_seconds = models.PositiveIntegerField(default=1800)
    unattended = models.BooleanField(default=False, help_text="It may run while nobody is there.")
    ran_seconds = models.PositiveIntegerField(null=True, blank=True, help_text="What counted, once it ended.")
    ended_at = models.DateTimeField(null=True, blank=True)
    result = models.CharField(max_length=10, choices=Result, default=Result.RUNNING, blank=True)
    note = models.TextField(blank=True)

    class Meta(Written.Meta):
        indexes = [
            models.Index(
                fields=["at"],
                condition=Q(ended_at__isnull=True, struck_at__isnull=True),
                name="bench_soak_running",
            ),
        ]
        constraints = [
            *Written.Meta.constraints,
            models.CheckConstraint(condition=Q(planned_seconds__gt=0), name="bench_soak_takes_time"),
            models.UniqueConstraint(
                fields=["job"],
                condition=Q(ended_at__isnull=True, struck_at__isnull=True),
                name="bench_one_running_soak_a_job",
            ),
        ]

    def __str__(self) -> str:
        return f"soak of {self.planned_seconds // 60} min"

    @property
    def seconds(self) -> int:
        """How long it ran, or has run so far, as far as it counts. Reads the checks while it runs."""
        return self.ran_seconds if self.ran_seconds is not None else self.counted(self.ended_at or now())

    def counted(self, until: dt.datetime) -> int:
        """The seconds that count up to then.

        While somebody is there all of them do. Where nobody looked when a look was due, it stands still until the next look,
        unless the shop lets it run unattended.
        """
        if self.unattended:
            return max(0, int((until - self.at).total_seconds()))
        looks = [self.at, *sorted(check.at for check in self.checks.all() if check.at < until), until]
        gaps = ((later - sooner).total_seconds() for sooner, later in pairwise(looks))
        return int(sum(min(max(gap, 0), self.check_every_seconds) for gap in gaps))

    @property
    def seconds_to_check(self) -> int:
        """How long until somebody should look at it; 0 when it is time. Reads the checks."""
        last = max((check.at for check in self.checks.all()), default=self.at)
        due = (last - now()).total_seconds() + self.check_every_seconds
        end = self.planned_seconds - self.seconds
        return max(0, int(min(due, max(end, 0))))


class SoakCheck(models.Model):
    soak = models.ForeignKey(SoakTest, on_delete=models.PROTECT, related_name="checks")
    entry = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    temperature = ExactDecimalField(null=True, blank=True, help_text="Degrees Celsius.")
    dc_offset = ExactDecimalField(null=True, blank=True, help_text="Volts.")
    came_back = models.BooleanField(default=False)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["at", "id"]

    def __str__(self) -> str:
        return f"check at {local(self.at):%H:%M}"
