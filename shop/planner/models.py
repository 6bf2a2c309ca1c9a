"""What the forecast came to last, the order of the queue, keys to the calendar, and what was reminded of."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from shop.counter.models import Job
from shop.frame.clock import now
from shop.frame.models import Staff


class ForecastState(models.Model):
    """What was reckoned last, and from which state of the book. One row, id 1; `trouble` says why there are no dates."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    made_at = models.DateTimeField(default=now)
    sequence = models.PositiveBigIntegerField(
        default=0, help_text="The journal's last entry that it knows of."
    )
    trouble = models.CharField(max_length=200, blank=True)
    past_jobs = models.PositiveIntegerField(default=0)
    past_weeks = models.PositiveIntegerField(default=0)
    week_hours = models.FloatField(default=0)
    queue_likely_hours = models.FloatField(default=0)
    queue_safe_hours = models.FloatField(default=0)
    load = models.FloatField(null=True, blank=True, help_text="Work that comes over the time there is.")
    grows_since = models.DateField(null=True, blank=True)
    more_hours = models.FloatField(default=0)
    jobs_it_bears = models.FloatField(default=0)
    widened = models.FloatField(default=1)
    reminders = models.CharField(
        max_length=200, blank=True, help_text="What somebody should be reminded of, counted in words."
    )

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="planner_one_forecast_state")]

    def __str__(self) -> str:
        return f"calculated {self.made_at}"


class JobForecast(models.Model):
    """The dates of one open job, as they were reckoned last. May be thrown away at any time."""

    job = models.OneToOneField(Job, on_delete=models.CASCADE, related_name="+")
    place = models.PositiveIntegerField()
    hours_left = models.FloatField()
    word_likely = models.DateField(null=True, blank=True)
    word_safe = models.DateField(null=True, blank=True)
    ready_likely = models.DateField(null=True, blank=True)
    ready_safe = models.DateField(null=True, blank=True, help_text="Empty: later than can be told.")
    like_jobs = models.PositiveIntegerField(default=0)
    like_what = models.CharField(max_length=8, blank=True, help_text="kind, symptom or model")

    class Meta:
        ordering = ["place"]

    def __str__(self) -> str:
        return f"{self.job_id}: {self.ready_safe}"


class QueuePlace(models.Model):
    """Where a person put a job in the queue; jobs without a place come after, as they were booked in."""

    job = models.OneToOneField(Job, on_delete=models.CASCADE, related_name="+")
    place = models.PositiveIntegerField()

    def __str__(self) -> str:
        return f"{self.job_id}: {self.place}"


class FeedKey(models.Model):
    """Opens the calendar for programs that read it. Only the digest of the secret is kept."""

    digest = models.CharField(max_length=64, unique=True)
    label = models.CharField(max_length=60)
    names = models.BooleanField(default=False, help_text="Whether customers' names stand in it.")
    made_at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.label


class Reminded(models.Model):
    """A reminder that was sent, or left aside: it isn't shown again before some days have passed."""

    kind = models.CharField(max_length=10)
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="+")
    at = models.DateTimeField(default=now)
    sent = models.BooleanField(default=False)

    class Meta:
        verbose_name_plural = "reminded"
        indexes = [models.Index(fields=["job", "kind", "-at"], name="planner_reminded_of_job")]

    def __str__(self) -> str:
        return f"{self.kind} of {self.job_id}"
