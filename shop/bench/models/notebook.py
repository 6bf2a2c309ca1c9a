"""What the bench's notebook holds beside findings and readings: what is temporarily installed, where one stopped, steps."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from shop.bench.models.written import Written
from shop.counter.models import Kind
from shop.frame.models import Staff
from shop.stockroom.models import PartFitted


class Temporary(Written):
    """Something that is in the set, or out of it, for the time of the work, and has to be put back before it is ready."""

    what = models.CharField(max_length=120)
    where = models.CharField(max_length=160, blank=True)
    back_at = models.DateTimeField(null=True, blank=True)
    back_by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta(Written.Meta):
        verbose_name_plural = "temporarily in the set"
        constraints = [
            *Written.Meta.constraints,
            models.CheckConstraint(condition=~Q(what=""), name="bench_temporary_says_what"),
        ]

    def __str__(self) -> str:
        return f"{self.what}, {self.where}" if self.where else self.what


class LeftOff(Written):
    """Where somebody stopped: what is charged or connected, which tray holds the screws, what comes next."""

    text = models.CharField(max_length=400)

    class Meta(Written.Meta):
        verbose_name_plural = "where somebody stopped"

    def __str__(self) -> str:
        return self.text[:60]


class Ticked(Written):
    """A step of a checklist: done, or left out with a word."""

    checklist = models.CharField(max_length=80)
    step = models.CharField(max_length=160)
    left_out = models.CharField(
        max_length=160, blank=True, help_text="Why it was left out; empty where it was done."
    )

    class Meta(Written.Meta):
        verbose_name_plural = "steps checked off"

    def __str__(self) -> str:
        return f"{self.checklist}: {self.step}"


class FittedList(Written):
    """Parts that were noted in one go, so that they can be taken back in one go."""

    text = models.TextField()
    parts = models.ManyToManyField(PartFitted, related_name="+")

    class Meta(Written.Meta):
        pass

    def __str__(self) -> str:
        return self.text[:60]


class Pattern(models.Model):
    """Rows of a sheet, or steps of a checklist, that the shop wrote itself.

    One that bears the name of a pattern of the handbook stands in its place.
    """

    class Of(models.TextChoices):
        ROWS = "rows", "Rows for the sheet of readings"
        STEPS = "steps", "Checklist"

    of = models.CharField(max_length=5, choices=Of)
    name = models.CharField(max_length=80)
    kind = models.CharField(
        max_length=16, choices=Kind, blank=True, help_text="Empty: for all kinds of unit."
    )
    lines = models.JSONField(default=list)

    class Meta:
        ordering = ["of", "name"]
        constraints = [models.UniqueConstraint(fields=["of", "name"], name="bench_pattern_named_once")]

    def __str__(self) -> str:
        return self.name
