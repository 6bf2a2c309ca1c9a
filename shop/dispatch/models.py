"""How units leave: parcels with what lies in them, and collections signed off at the counter."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from shop.counter.models import Accessory, Customer, InboundParcel, Job
from shop.frame.clock import now
from shop.frame.columns import ExactDecimalField
from shop.frame.models import Staff
from shop.keeping.models import IssuedPaper, Picture


class Carrier(models.Model):
    """A carrier that the shop uses, with its own way of showing where a parcel is, and its own dated dimensional rule."""

    name = models.CharField(max_length=80, unique=True)
    tracking_link = models.CharField(
        max_length=300, blank=True, help_text="Address with {tracking} where the number goes."
    )
    checks_s10 = models.BooleanField(default=False, help_text="Its numbers follow UPU S10.")
    claim_days = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Days within which damage or loss must be claimed."
    )
    retired_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.name


class CarrierRule(models.Model):
    """Divisor and rounding for dimensional weight, from a date on."""

    carrier = models.ForeignKey(Carrier, on_delete=models.CASCADE, related_name="rules")
    from_date = models.DateField()
    divisor = ExactDecimalField()
    units = models.CharField(max_length=8, choices=[("in_lb", "in³ per lb"), ("cm_kg", "cm³ per kg")])
    rounding = models.CharField(
        max_length=8, choices=[("up", "Up"), ("nearest", "To the nearest"), ("none", "None")]
    )
    threshold = ExactDecimalField(null=True, blank=True, help_text="Applies above this volume only.")
    max_length = ExactDecimalField(null=True, blank=True)
    max_length_girth = ExactDecimalField(null=True, blank=True)
    max_weight = ExactDecimalField(null=True, blank=True)
    rates = models.JSONField(
        default=list, blank=True, help_text="[[up to charged weight, price in minor units], ...], ascending."
    )
    source = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-from_date"]
        constraints = [
            models.UniqueConstraint(fields=["carrier", "from_date"], name="dispatch_one_rule_a_day")
        ]

    def __str__(self) -> str:
        return f"rule from {self.from_date}"


class Box(models.Model):
    """A box that the shop keeps or has used."""

    name = models.CharField(max_length=80)
    length_mm = models.PositiveIntegerField()
    width_mm = models.PositiveIntegerField()
    height_mm = models.PositiveIntegerField()
    wall = models.CharField(
        max_length=6, choices=[("single", "Single wall"), ("double", "Double wall")], default="single"
    )
    ect = models.PositiveSmallIntegerField(null=True, blank=True, help_text="Edge crush, lb/in.")
    burst = models.PositiveSmallIntegerField(null=True, blank=True, help_text="Burst strength, psi.")
    weight_grams = models.PositiveIntegerField(default=0)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "boxes"
        constraints = [
            models.CheckConstraint(
                condition=Q(length_mm__gt=0, width_mm__gt=0, height_mm__gt=0), name="dispatch_box_has_a_size"
            )
        ]

    def __str__(self) -> str:
        return self.name


class Parcel(models.Model):
    """A parcel to one customer with one or more jobs in it."""

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="+")
    jobs = models.ManyToManyField(Job, through="dispatch.ParcelJob", related_name="+")
    box = models.ForeignKey(Box, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    length_mm = models.PositiveIntegerField()
    width_mm = models.PositiveIntegerField()
    height_mm = models.PositiveIntegerField()
    weight_grams = models.PositiveIntegerField()
    double_boxed = models.BooleanField(default=False)
    address = models.TextField(help_text="As it stands on the label.")
    country = models.CharField(max_length=2)
    carrier = models.ForeignKey(Carrier, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    tracking = models.CharField(max_length=60, blank=True, db_index=True)
    declared_value_minor = models.BigIntegerField(null=True, blank=True)
    currency = models.CharField(max_length=3)
    customs_description = models.CharField(max_length=200, blank=True)
    customs_origin = models.CharField(max_length=2, blank=True)
    customs_hs_code = models.CharField(max_length=12, blank=True)
    lithium = models.CharField(
        max_length=200, blank=True, help_text="What lithium cells are inside, and the mark."
    )
    lithium_needs_mark = models.BooleanField(default=False)
    packed_at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    handed_over_at = models.DateTimeField(null=True, blank=True)
    delivered_at = models.DateTimeField(null=True, blank=True)
    lost_at = models.DateTimeField(null=True, blank=True)
    unpacked_at = models.DateTimeField(null=True, blank=True, help_text="Opened again before it left.")
    slip = models.ForeignKey(IssuedPaper, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        indexes = [
            models.Index(
                fields=["packed_at"],
                condition=Q(handed_over_at__isnull=True, unpacked_at__isnull=True),
                name="dispatch_parcel_packed",
            ),
            models.Index(
                fields=["handed_over_at"],
                condition=Q(handed_over_at__isnull=False, delivered_at__isnull=True),
                name="dispatch_parcel_on_road",
            ),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(length_mm__gt=0, width_mm__gt=0, height_mm__gt=0, weight_grams__gt=0),
                name="dispatch_parcel_has_size_and_weight",
                violation_error_message="Length, width, height and weight are more than nothing.",
            ),
            models.CheckConstraint(
                condition=Q(delivered_at__isnull=True) | Q(delivered_at__gte=F("handed_over_at")),
                name="dispatch_delivered_after_handed_over",
            ),
        ]

    def __str__(self) -> str:
        return self.tracking or f"parcel {self.pk}"


class ParcelJob(models.Model):
    parcel = models.ForeignKey(Parcel, on_delete=models.PROTECT, related_name="job_links")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["parcel", "job"], name="dispatch_parcel_job_once")]

    def __str__(self) -> str:
        return f"{self.parcel_id}: {self.job_id}"


class Collection(models.Model):
    """Units handed over at the counter, signed off."""

    class ShownBy(models.TextChoices):
        CLAIM_CHECK = "claim_check", "Claim check shown"
        IDENTITY = "identity", "Identity shown"
        KNOWN = "known", "Known in person"

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="+")
    jobs = models.ManyToManyField(Job, through="dispatch.CollectionJob", related_name="+")
    collected_by = models.CharField(max_length=160, help_text="Name as typed and checked.")
    shown = models.CharField(max_length=12, choices=ShownBy)
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    slip = models.ForeignKey(IssuedPaper, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    drawing = models.ForeignKey(
        Picture,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="A drawn signature.",
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(collected_by=""), name="dispatch_collection_is_signed")
        ]

    def __str__(self) -> str:
        return f"collected by {self.collected_by}"


class CollectionJob(models.Model):
    collection = models.ForeignKey(Collection, on_delete=models.PROTECT, related_name="job_links")
    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.collection_id}: {self.job_id}"


class GoingBack(models.Model):
    """Whether an accessory that came in goes back, and if not, why. Without a row or an explanation nothing leaves."""

    accessory = models.OneToOneField(Accessory, on_delete=models.PROTECT, related_name="+")
    included = models.BooleanField()
    explanation = models.CharField(max_length=300, blank=True)
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        verbose_name_plural = "going back"
        constraints = [
            models.CheckConstraint(
                condition=Q(included=True) | ~Q(explanation=""),
                name="dispatch_missing_is_explained",
                violation_error_message="Say why it does not go back.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.accessory_id}: {'yes' if self.included else self.explanation}"


class DamageReport(models.Model):
    """What was found when a damaged parcel was opened, as it was put to its carrier."""

    inbound = models.ForeignKey(InboundParcel, on_delete=models.PROTECT, related_name="+")
    found = models.TextField(help_text="Damage to the box, the cushion and the unit.")
    claimed_minor = models.BigIntegerField(null=True, blank=True)
    currency = models.CharField(max_length=3)
    paper = models.ForeignKey(IssuedPaper, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(claimed_minor__isnull=True) | Q(claimed_minor__gte=0),
                name="dispatch_claim_not_negative",
            )
        ]

    def __str__(self) -> str:
        return f"damage report {self.pk}"
