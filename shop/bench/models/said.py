"""What was said at the bench, what was heard in it, and which of that somebody took into the record."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from shop.bench.models.written import Written
from shop.frame.guards import never_deleted


class Said(Written):
    """Words as they were said: a line at the bench, or the timed text of a repair that was talked through.

    They are kept whole, whatever was heard in them and taken: a line that was taken keeps its sentence.
    """

    text = models.TextField()
    timed = models.BooleanField(default=False, help_text="Lines with the times at which they were said.")
    clip = models.CharField(
        max_length=200, blank=True, help_text="The footage that it was said in, which stays where it is."
    )
    began_at = models.DateTimeField(null=True, blank=True, help_text="When the recording began.")
    read_at = models.DateTimeField(
        null=True, blank=True, help_text="When it was read; empty while it waits for that."
    )

    by_ear = models.BooleanField(
        default=False, help_text="Whether this machine wrote the words down from a recording."
    )

    class Meta(Written.Meta):
        verbose_name_plural = "said"
        constraints = [
            *Written.Meta.constraints,
            models.CheckConstraint(condition=~Q(text=""), name="bench_said_says_something"),
        ]

    def __str__(self) -> str:
        return self.clip or self.text[:60]


class Taking(Written):
    """What was taken in one go from what was said, so that it can be taken back in one go."""

    said = models.ForeignKey(Said, on_delete=models.PROTECT, related_name="takings")

    class Meta(Written.Meta):
        pass

    def __str__(self) -> str:
        return str(self.said)


class Heard(models.Model):
    """One thing that was heard in what was said: proposed, and then taken, kept for later, or dropped by a person."""

    guard = never_deleted()

    said = models.ForeignKey(Said, on_delete=models.PROTECT, related_name="heard")
    number = models.PositiveIntegerField(help_text="Its place among what was heard.")
    kind = models.CharField(max_length=12)
    words = models.TextField()
    facts = models.TextField(
        help_text="What is proposed, as JSON: a text, so that a person’s name goes from it."
    )
    seconds = models.DecimalField(
        max_digits=9, decimal_places=3, null=True, blank=True, help_text="Where in the footage it was said."
    )
    taking = models.ForeignKey(Taking, on_delete=models.PROTECT, null=True, blank=True, related_name="heard")
    line_kind = models.CharField(max_length=12, blank=True)
    line = models.BigIntegerField(
        null=True, blank=True, help_text="The line of the record that it was taken as."
    )
    dropped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["said", "number"]
        verbose_name_plural = "heard"
        indexes = [
            models.Index(
                fields=["said"],
                condition=Q(taking__isnull=True, dropped_at__isnull=True),
                name="bench_heard_open",
            )
        ]
        constraints = [
            models.UniqueConstraint(fields=["said", "number"], name="bench_heard_numbered_once"),
            models.CheckConstraint(
                condition=Q(taking__isnull=True) | Q(line__isnull=False), name="bench_heard_taken_as_a_line"
            ),
        ]

    def __str__(self) -> str:
        return self.words[:60]
