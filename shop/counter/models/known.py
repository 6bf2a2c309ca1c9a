"""What is known of a model: test points, original parts, the maker's own limits, papers and notes."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from shop.counter.models.units import UnitModel
from shop.frame.clock import now
from shop.frame.columns import ExactDecimalField
from shop.frame.models import Staff
from shop.keeping.models import Picture, StoredFile


class ChannelOf(models.TextChoices):
    NONE = "", "none"
    LEFT = "L", "Left"
    RIGHT = "R", "Right"
    A = "A", "A"
    B = "B", "B"


class TestPoint(models.Model):
    """Where to measure in a model and what is to be expected there. `role` is the isolation rules' word for it."""

    __test__ = False  # the name begins as pytest's classes do
    model = models.ForeignKey(UnitModel, on_delete=models.CASCADE, related_name="test_points")
    name = models.CharField(max_length=80)
    where = models.CharField(max_length=160, blank=True)
    quantity = models.CharField(max_length=20)
    condition = models.CharField(max_length=160, blank=True)
    role = models.CharField(max_length=30, blank=True)
    channel = models.CharField(max_length=1, choices=ChannelOf, default=ChannelOf.NONE, blank=True)
    expected = models.CharField(
        max_length=80, blank=True, help_text="As typed: 12 V ± 5 %, 5 to 20 ohm, at most 50 mV"
    )
    position = models.PositiveSmallIntegerField(default=0)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["position", "id"]

    def __str__(self) -> str:
        return self.name


class OriginalPart(models.Model):
    """What the maker fitted at a position, from the parts list; evidence is held against it."""

    model = models.ForeignKey(UnitModel, on_delete=models.CASCADE, related_name="originals")
    position = models.CharField(max_length=30, help_text="Q701, C12, IC3")
    designation = models.CharField(max_length=60)
    matched_with = models.CharField(
        max_length=60, blank=True, help_text="Positions that must match, e.g. Q702."
    )
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["model", "position", "designation"], name="counter_original_once")
        ]

    def __str__(self) -> str:
        return f"{self.position} {self.designation}"


class TestsBy(models.TextChoices):
    """Whose way of testing a model's manual follows; the values are the handbook's."""

    __test__ = False  # the name begins as pytest's classes do
    USUAL = "", "As usual at its line voltage"
    LEAKAGE = "leakage", "Cold and hot leakage checks (1500 Ω ∥ 0.15 µF)"
    NETWORK = "network", "Cold check and touch current (IEC 60990 network)"
    EN_50678 = "en_50678", "After-repair test (EN 50678)"


class SafetyLimits(models.Model):
    """Where this model's maker prints other limits than the common ones. Empty means the handbook's default.

    Most are of the safety check; how well devices must match stands here too, as it comes from the same manual.
    """

    model = models.OneToOneField(UnitModel, on_delete=models.CASCADE, related_name="safety_limits")
    hot_leakage_volts = ExactDecimalField(null=True, blank=True)
    hot_limit_fails = models.BooleanField(
        default=False, help_text="A reading at the limit fails: “0.35 volt or more is excessive”."
    )
    cold_min_ohms = ExactDecimalField(null=True, blank=True)
    cold_max_ohms = ExactDecimalField(null=True, blank=True)
    cold_infinite = models.BooleanField(
        default=False, help_text="No return path: nothing but an open circuit passes."
    )
    tests_by = models.CharField(
        max_length=12,
        choices=TestsBy,
        default=TestsBy.USUAL,
        blank=True,
        help_text="How its manual tests it.",
    )
    surge_protectors = models.BooleanField(
        default=False, help_text="Inside, so that 250 V DC is the right voltage for the insulation test."
    )
    insulation_by_current = models.BooleanField(
        default=False, help_text="The maker warns against the 500 V test; the current tests stand in for it."
    )
    hfe_percent = ExactDecimalField(null=True, blank=True, help_text="How far apart matched devices may lie.")
    vbe_volts = ExactDecimalField(null=True, blank=True)
    source = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name_plural = "safety limits"

    def __str__(self) -> str:
        return f"limits of {self.model_id}"


class ModelPaper(models.Model):
    """A manual, a diagram, a picture kept with the model."""

    model = models.ForeignKey(UnitModel, on_delete=models.CASCADE, related_name="papers")
    title = models.CharField(max_length=160)
    file = models.ForeignKey(StoredFile, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    picture = models.ForeignKey(Picture, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    page = models.CharField(max_length=40, blank=True, help_text="Which page matters.")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(file__isnull=False) | Q(picture__isnull=False),
                name="counter_model_paper_has_a_file",
            )
        ]

    def __str__(self) -> str:
        return self.title


class ModelNote(models.Model):
    """Something learnt about a model, often on a job."""

    model = models.ForeignKey(UnitModel, on_delete=models.CASCADE, related_name="learnt")
    text = models.TextField()
    job = models.ForeignKey("counter.Job", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["-at"]

    def __str__(self) -> str:
        return self.text[:60]
