"""Parts, where they lie, and what came and went of them."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from shop.counter.models import Job, Unit
from shop.frame.clock import now
from shop.frame.columns import ExactDecimalField
from shop.frame.guards import AppendOnly
from shop.frame.models import Staff
from shop.frame.seals import Sealed
from shop.keeping.models import Picture, StoredFile


class Supplier(models.Model):
    name = models.CharField(max_length=120, unique=True)
    address = models.TextField(blank=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    our_account = models.CharField(max_length=60, blank=True)
    lead_days = models.PositiveSmallIntegerField(default=7)
    note = models.TextField(blank=True)

    def __str__(self) -> str:
        return self.name


class PriceRule(models.Model):
    """What a part costs the customer when it has no price of its own: mark-up by bands of cost, from a date on."""

    class Rounding(models.TextChoices):
        CENT = "cent", "To the smallest coin"
        FIVE = "five", "Up to the next 5"
        TEN = "ten", "Up to the next 10"
        WHOLE = "whole", "Up to the next whole unit"

    from_date = models.DateField(unique=True)
    bands = models.JSONField(
        default=list,
        help_text="[[up to cost in ten-thousandths or null, markup in percent], ...], ascending.",
    )
    rounding = models.CharField(max_length=5, choices=Rounding, default=Rounding.FIVE)

    class Meta:
        ordering = ["-from_date"]

    def __str__(self) -> str:
        return f"prices from {self.from_date}"


class Part(models.Model):
    """A kind of part. What is in stock of it stands in `StockLevel` and is the sum of its ledger."""

    number = models.CharField(max_length=40, unique=True)
    description = models.CharField(max_length=200)
    designation = models.CharField(
        max_length=60, blank=True, help_text="Type number or value: 2SC1815-GR, 4k7 0.25W"
    )
    designation_folded = models.CharField(max_length=60, blank=True, db_index=True)
    quantity_kind = models.CharField(
        max_length=20, blank=True, help_text="resistance, capacitance, ... when it has a value"
    )
    value = ExactDecimalField(null=True, blank=True)
    value_sort = models.FloatField(null=True, blank=True, db_index=True)
    rating = models.CharField(max_length=60, blank=True, help_text="0.25 W, 63 V")
    rated_volts = models.FloatField(null=True, blank=True)
    rated_watts = models.FloatField(null=True, blank=True)
    rated_amperes = models.FloatField(null=True, blank=True)
    tolerance = models.CharField(max_length=20, blank=True)
    tolerance_percent = models.FloatField(null=True, blank=True)
    package = models.CharField(max_length=60, blank=True)
    drawer = models.CharField(max_length=40, blank=True)
    words = models.TextField(blank=True, help_text="Folded words of all the above, for finding it.")
    price_ten_thousandths = models.BigIntegerField(
        null=True, blank=True, help_text="Fixed price; else the price rule."
    )
    reorder_at_thousandths = models.BigIntegerField(null=True, blank=True)
    reorder_quantity_thousandths = models.BigIntegerField(null=True, blank=True)
    preferred_supplier = models.ForeignKey(
        Supplier, on_delete=models.PROTECT, null=True, blank=True, related_name="parts"
    )
    photo = models.ForeignKey(Picture, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    data_sheet = models.ForeignKey(
        StoredFile, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    note = models.TextField(blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [models.Index(fields=["quantity_kind", "value_sort"], name="stockroom_part_value")]
        constraints = [
            models.CheckConstraint(
                condition=Q(price_ten_thousandths__isnull=True) | Q(price_ten_thousandths__gte=0),
                name="stockroom_price_not_negative",
            )
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.description}"

    @property
    def called(self) -> str:
        """What it is called where its number says nothing, on a job and on the invoice: `Capacitor, film 100n`."""
        return f"{self.description} {self.designation}".strip()[:200]


class PartNumber(models.Model):
    """What somebody else calls a part: its maker, or a supplier."""

    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="numbers")
    number = models.CharField(max_length=80)
    folded = models.CharField(max_length=80, db_index=True)
    maker = models.CharField(max_length=80, blank=True)
    supplier = models.ForeignKey(
        Supplier, on_delete=models.CASCADE, null=True, blank=True, related_name="part_numbers"
    )
    price_ten_thousandths = models.BigIntegerField(
        null=True, blank=True, help_text="What it last cost there."
    )

    def __str__(self) -> str:
        return self.number


class Substitute(models.Model):
    """`part` may stand in for `stands_in_for`, never the reverse by itself."""

    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="may_replace")
    stands_in_for = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="substitutes")
    condition = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["part", "stands_in_for"], name="stockroom_substitute_once"),
            models.CheckConstraint(
                condition=~Q(part=F("stands_in_for")), name="stockroom_no_substitute_for_itself"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part_id} for {self.stands_in_for_id}"


class StockLevel(models.Model):
    """What is in the drawer: the running sum of the ledger, kept under the row's lock and never below zero.

    `second_hand_thousandths` of them are used, exchanged or salvaged: what the invoice must say is counted apart.
    """

    part = models.OneToOneField(Part, on_delete=models.PROTECT, primary_key=True, related_name="level")
    quantity_thousandths = models.BigIntegerField(default=0)
    second_hand_thousandths = models.BigIntegerField(default=0)
    average_cost_ten_thousandths = models.BigIntegerField(default=0)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(quantity_thousandths__gte=0),
                name="stockroom_never_below_zero",
                violation_error_message="There is not that much of it in the drawer.",
            ),
            models.CheckConstraint(
                condition=Q(average_cost_ten_thousandths__gte=0), name="stockroom_cost_not_negative"
            ),
            models.CheckConstraint(
                condition=Q(second_hand_thousandths__gte=0)
                & Q(second_hand_thousandths__lte=F("quantity_thousandths")),
                name="stockroom_second_hand_within_stock",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part_id}: {self.quantity_thousandths / 1000:g}"


class PartState(models.TextChoices):
    """What the law and the customer want told of a part (16 CCR 2725(l): used or exchanged parts are said to be so)."""

    NEW = "new", "New"
    USED = "used", "Used"
    EXCHANGED = "exchanged", "Exchanged"
    SALVAGED = "salvaged", "Salvaged"


class LedgerEntry(models.Model):
    """One coming or going of a part. Append-only; the stock is the sum of these."""

    guard = AppendOnly()
    sealed = Sealed()

    class Kind(models.TextChoices):
        RECEIVED = "received", "Received"
        FITTED = "fitted", "Fitted"
        RETURNED = "returned", "Returned"
        SALVAGED = "salvaged", "Salvaged"
        SCRAPPED = "scrapped", "Scrapped"
        COUNTED = "counted", "Counted"
        SENT_BACK = "sentback", "Back to the supplier"

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="ledger")
    kind = models.CharField(max_length=8, choices=Kind)
    quantity_thousandths = models.BigIntegerField(help_text="Positive into the drawer, negative out of it.")
    second_hand_thousandths = models.BigIntegerField(
        default=0, help_text="How many of these are not new, with the same sign."
    )
    unit_cost_ten_thousandths = models.BigIntegerField(default=0)
    job = models.ForeignKey(Job, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    donor = models.ForeignKey(Unit, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    order_line = models.ForeignKey(
        "stockroom.OrderLine", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        indexes = [
            models.Index(fields=["part", "-id"], name="stockroom_ledger_of_part"),
            models.Index(fields=["part", "at"], name="stockroom_ledger_part_at"),
            models.Index(fields=["kind", "at"], name="stockroom_ledger_kind_at"),
        ]
        verbose_name_plural = "ledger entries"

    def __str__(self) -> str:
        return f"{self.part_id} {self.kind} {self.quantity_thousandths / 1000:+g}"


class MatchedDevice(models.Model):
    """A measured device kept for matching: hFE and V_BE at a stated current and temperature."""

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="measured")
    label = models.CharField(max_length=40)
    group = models.CharField(max_length=10, blank=True)
    date_lot = models.CharField(max_length=20, blank=True)
    hfe = ExactDecimalField(null=True, blank=True)
    vbe_volts = ExactDecimalField(null=True, blank=True)
    test_current = models.CharField(max_length=40, blank=True)
    celsius = ExactDecimalField(null=True, blank=True)
    measured_at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    used_on = models.ForeignKey(Job, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    gone_at = models.DateTimeField(null=True, blank=True, help_text="Used on a job, or scrapped.")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["part", "label"], name="stockroom_device_label_once")]

    def __str__(self) -> str:
        return f"{self.part_id} #{self.label}"
