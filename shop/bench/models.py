"""What was found, measured and done at the bench. A wrong line is struck out with a reason, never deleted."""

from __future__ import annotations

import uuid

from django.db import models
from django.db.models import F, Q

from shop.counter.models import Job, TestPoint, UnitModel
from shop.counter.stages import Outcome
from shop.premises.clock import now
from shop.premises.columns import ExactDecimalField
from shop.premises.models import Picture, Staff


class Written(models.Model):
    """One line in a job's record. `entry` is the device's own id: the same entry sent twice is taken once."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    entry = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    struck_at = models.DateTimeField(null=True, blank=True)
    struck_by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    struck_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        abstract = True
        ordering = ["at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(struck_at__isnull=True) | ~Q(struck_reason=""),
                name="%(app_label)s_%(class)s_struck_with_reason",
                violation_error_message="Say why this line is struck out.",
            )
        ]


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
    mended = models.BooleanField(default=False, help_text="The times were put right by hand.")
    under_warranty = models.BooleanField(default=False)

    class Meta(Written.Meta):
        ordering = ["started_at", "id"]
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
        return f"{self.get_kind_display()} from {self.started_at:%Y-%m-%d %H:%M}"

    @property
    def seconds(self) -> int:
        """How long it took, or has taken so far."""
        return int(((self.stopped_at or now()) - self.started_at).total_seconds())


class Finding(Written):
    """What the bench saw, in words."""

    text = models.TextField()
    picture = models.ForeignKey(Picture, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta(Written.Meta):
        pass

    def __str__(self) -> str:
        return self.text[:60]


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
    channel = models.CharField(max_length=1, blank=True)
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
                condition=Q(over_range=True) | Q(value__isnull=False),
                name="bench_reading_has_a_value_or_is_over_range",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.where}: {self.typed}"


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
        default=list, blank=True, help_text="Intervals with the reading each rests on."
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


class FailureMode(models.TextChoices):
    """How a part failed, in the words of reliability tables (open, short, drift, wear, ...)."""

    OPEN = "open", "Open"
    SHORT = "short", "Short"
    DRIFT = "drift", "Drifted out of tolerance"
    LEAKY = "leaky", "Leaky"
    INTERMITTENT = "intermittent", "Intermittent"
    WORN = "worn", "Worn"
    DIRTY = "dirty", "Dirty or oxidised"
    CRACKED = "cracked", "Cracked joint or break"
    HARDENED = "hardened", "Hardened grease or rubber"
    LOST = "lost", "Lost adjustment"
    DAMAGED = "damaged", "Damaged from outside"
    EARLIER_WORK = "earlier_work", "Fault of earlier work"
    NONE_FOUND = "none_found", "No fault found"
    OTHER = "other", "Other"


class Conclusion(Written):
    """What had failed, how, and what put it right: the triple that later searches find."""

    failed = models.CharField(max_length=200)
    position = models.CharField(max_length=60, blank=True)
    mode = models.CharField(max_length=12, choices=FailureMode)
    remedy = models.TextField()
    outcome = models.CharField(max_length=14, choices=Outcome, default=Outcome.REPAIRED)
    watch = models.TextField(blank=True, help_text="What the customer should watch.")

    class Meta(Written.Meta):
        pass

    def __str__(self) -> str:
        return f"{self.failed}: {self.get_mode_display()}"


class SoakTest(Written):
    """A repaired unit left running and looked at on the way."""

    class Result(models.TextChoices):
        RUNNING = "", "Running"
        PASSED = "passed", "Passed"
        CAME_BACK = "came_back", "The fault came back"
        BROKEN_OFF = "broken_off", "Broken off"

    planned_seconds = models.PositiveIntegerField()
    check_every_seconds = models.PositiveIntegerField(default=1800)
    ended_at = models.DateTimeField(null=True, blank=True)
    result = models.CharField(max_length=10, choices=Result, default=Result.RUNNING, blank=True)
    note = models.TextField(blank=True)

    class Meta(Written.Meta):
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
        """How long it ran, or has run so far."""
        return int(((self.ended_at or now()) - self.at).total_seconds())

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
        return f"check at {self.at:%H:%M}"


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
    typed = models.CharField(max_length=60, blank=True)
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
    """The largest capacitor of a model and its bleeder, so that the wait before hands go in can be computed."""

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


class Overruled(Written):
    """A suggestion of the isolation rules that the technician overruled, and why."""

    rule = models.CharField(max_length=60)
    reason = models.CharField(max_length=200)

    class Meta(Written.Meta):
        verbose_name_plural = "overruled suggestions"

    def __str__(self) -> str:
        return self.rule
