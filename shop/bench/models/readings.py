"""Meters, and what was read on them."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from shop.bench.models.written import Written
from shop.counter.models import TestPoint
from shop.frame.columns import ExactDecimalField
from shop.handbook.quantities import with_unit


class Meter(models.Model):
    """One of the shop's meters or testers, with what its maker says of its accuracy."""

    name = models.CharField(max_length=80, unique=True)
    serial = models.CharField(max_length=60, blank=True)
    calibrated_on = models.DateField(null=True, blank=True)
    calibration_due = models.DateField(null=True, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.name


class MeterRange(models.Model):
    """± percent of reading plus digits, for one range of one meter."""

    meter = models.ForeignKey(Meter, on_delete=models.CASCADE, related_name="ranges")
    quantity = models.CharField(max_length=20)
    full_scale = ExactDecimalField(help_text="In the base unit: volts, amperes, ohms, farads, hertz.")
    resolution = ExactDecimalField(help_text="One digit, in the base unit.")
    percent_of_reading = ExactDecimalField()
    digits = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["quantity", "id"]

    def __str__(self) -> str:
        return f"{self.quantity} up to {self.full_scale}"


IN_WORDS = "text"
"""The quantity of a reading that is told in words: spins, no lock, hum in both channels."""


class Verdict(models.TextChoices):
    NONE = "", "No expectation"
    WITHIN = "within", "Within"
    LOW = "low", "Low"
    HIGH = "high", "High"
    OPEN = "open", "Open"
    SHORT = "short", "Short"
    TOO_CLOSE = "too_close", "Too close to call"


class Reading(Written):
    """One measured value: what was typed, its exact value, where, under which condition, what was expected, and the verdict."""

    typed = models.CharField(max_length=60)
    quantity = models.CharField(max_length=20)
    value = ExactDecimalField(null=True, blank=True, help_text="In the base unit; empty when over range.")
    unit = models.CharField(max_length=10, blank=True)
    over_range = models.BooleanField(default=False)
    sort_value = models.FloatField(null=True, blank=True)
    test_point = models.ForeignKey(
        TestPoint, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    where = models.CharField(max_length=160)
    condition = models.CharField(max_length=160, blank=True)
    role = models.CharField(max_length=30, blank=True)
    against = models.CharField(
        max_length=80, blank=True, help_text="Where the other probe was: chassis, emitter, the other end."
    )
    adjuster = models.CharField(
        max_length=60, blank=True, help_text="What is turned there: VR703, head screw."
    )
    channel = models.CharField(
        max_length=20, blank=True, help_text="Its column on the sheet: L, R, pin 3, voice 2, before."
    )
    expected = models.CharField(max_length=80, blank=True)
    expected_low = ExactDecimalField(null=True, blank=True)
    expected_high = ExactDecimalField(null=True, blank=True)
    meter = models.ForeignKey(Meter, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    verdict = models.CharField(max_length=10, choices=Verdict, default=Verdict.NONE, blank=True)
    why = models.CharField(max_length=300, blank=True)
    after_repair = models.BooleanField(default=False)

    class Meta(Written.Meta):
        constraints = [
            *Written.Meta.constraints,
            models.CheckConstraint(
                condition=Q(over_range=True) | Q(value__isnull=False) | Q(quantity=IN_WORDS),
                name="bench_reading_has_a_value_or_is_over_range",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.where}: {self.shown}"

    @property
    def shown(self) -> str:
        """What was typed, with its unit where only the number was."""
        return with_unit(self.typed, self.unit)
