"""The shop's own terms, its hours and days off, how it promises, and the wrong passwords of late."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

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


class BenchWeek(models.Model):
    """Hours meant for the bench on each weekday, from a day on. Those of earlier days stay: past weeks are held against them."""

    from_date = models.DateField(unique=True)
    minutes = models.JSONField(help_text="Of the seven weekdays, Monday first.")
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["-from_date"]

    def __str__(self) -> str:
        return f"Hours from {self.from_date}"

    @property
    def hours(self) -> tuple[float, ...]:
        """The same in hours."""
        return tuple(minutes / 60 for minutes in self.minutes)


class DaysOff(models.Model):
    """Days on which nothing is done: a holiday, a week away. Both ends are among them."""

    first = models.DateField()
    last = models.DateField()
    why = models.CharField(max_length=80, blank=True)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["first", "id"]
        verbose_name_plural = "days off"
        constraints = [
            models.CheckConstraint(condition=Q(last__gte=F("first")), name="premises_days_off_in_order")
        ]

    def __str__(self) -> str:
        return f"{self.first} to {self.last}"


class PromiseRules(models.Model):
    """How the shop deals with the dates that it gives. One row, id 1; without it, as it is usual."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    retell_days = models.PositiveSmallIntegerField(
        default=3, help_text="A date that moves by more days than this is told again."
    )
    on_papers = models.BooleanField(default=False, help_text="Whether claim checks and estimates carry it.")
    quiet_hour = models.PositiveSmallIntegerField(
        default=21, help_text="From this hour of the evening nothing loud is done."
    )

    class Meta:
        verbose_name_plural = "promise rules"
        constraints = [
            models.CheckConstraint(condition=Q(id=1), name="premises_one_set_of_promise_rules"),
            models.CheckConstraint(condition=Q(quiet_hour__lte=24), name="premises_quiet_hour_of_a_day"),
        ]

    def __str__(self) -> str:
        return f"told again beyond {self.retell_days} days"


class SignInTry(models.Model):
    """Wrong passwords lately, by name and address: each one makes the next try wait longer, and nobody is locked out."""

    key = models.CharField(max_length=64, unique=True)
    failures = models.PositiveSmallIntegerField(default=0)
    last_at = models.DateTimeField(default=now)

    class Meta:
        verbose_name_plural = "sign-in tries"

    def __str__(self) -> str:
        return f"{self.failures} wrong"
