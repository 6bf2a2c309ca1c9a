"""How the office calculates: rules, rates, fixed prices and taxes, each from a date on."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from shop.bench.models import WorkKind
from shop.frame.columns import ExactDecimalField
from shop.frame.profile import the_profile
from shop.handbook.money import UnitPrice


class LineKind(models.TextChoices):
    """What a line charges for; tax rules go by it."""

    LABOUR = "labour", "Labor"
    PART = "part", "Part"
    BENCH_FEE = "bench_fee", "Bench fee"
    SHIPPING = "shipping", "Shipping"
    OTHER = "other", "Other"
    DISCOUNT = "discount", "Discount"


TAXED_KINDS = [(kind.value, kind.label) for kind in LineKind if kind != LineKind.DISCOUNT]
"""What tax rules speak of; a discount takes the tax of what it comes off."""


class OfficeRules(models.Model):
    """How the office calculates from a date on: rounding of hours, minimum charge, inclusive prices, limits."""

    class Rounding(models.TextChoices):
        EXACT = "exact", "To the second"
        TENTHS = "tenths", "Tenths of an hour, upward"
        QUARTERS = "quarters", "Quarters of an hour, upward"

    from_date = models.DateField(unique=True)
    rounding = models.CharField(max_length=8, choices=Rounding, default=Rounding.TENTHS)
    minimum_minor = models.BigIntegerField(default=0)
    prices_include_tax = models.BooleanField(default=False)
    estimate_days = models.PositiveSmallIntegerField(default=30)
    parts_rule_1546 = models.BooleanField(
        default=False, help_text="California Reg. 1546: the ten percent parts rule."
    )
    drawn_signature = models.BooleanField(default=False)
    margin_scheme = models.BooleanField(
        default=False, help_text="Second-hand goods may be sold under the VAT margin scheme."
    )
    einvoice = models.BooleanField(
        default=False, help_text="Make an e-invoice (EN 16931) beside each issued invoice."
    )
    cash_accounting = models.BooleanField(
        default=False, help_text="VAT falls due when the customer pays; invoices say so."
    )
    how_to_pay = models.TextField(
        blank=True, help_text="Stands on invoices, statements and reminders: the account, the ways to pay."
    )
    iban = models.CharField(max_length=34, blank=True, help_text="Of the account that customers pay to.")
    bic = models.CharField(max_length=11, blank=True)
    account_holder = models.CharField(max_length=70, blank=True, help_text="Where it isn't the shop's name.")
    pay_link = models.CharField(
        max_length=200, blank=True, help_text="With {reference}, {amount} and {currency} where they go."
    )
    deposits_taxed = models.BooleanField(
        default=True, help_text="Where the country wants tax on deposits when they come in, receipts name it."
    )
    distance_aids = models.BooleanField(
        default=True, help_text="Consumers who mail in are told of their right to withdraw, and may use it."
    )
    reminder_days = models.PositiveSmallIntegerField(
        default=7, help_text="Days past due before a reminder is offered, and between two of them."
    )

    class Meta:
        ordering = ["-from_date"]
        verbose_name_plural = "office rules"

    def __str__(self) -> str:
        return f"rules from {self.from_date}"


class LabourRate(models.Model):
    kind = models.CharField(max_length=10, choices=WorkKind)
    from_date = models.DateField()
    hourly_ten_thousandths = models.BigIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["kind", "from_date"], name="office_one_rate_a_day"),
            models.CheckConstraint(
                condition=Q(hourly_ten_thousandths__gte=0), name="office_rate_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} from {self.from_date}"

    @property
    def hourly(self) -> UnitPrice:
        """The rate in the shop’s money."""
        return UnitPrice(self.hourly_ten_thousandths, the_profile().currency)


class FlatPrice(models.Model):
    """A fixed price for common work, whatever the clock says."""

    name = models.CharField(max_length=120, unique=True)
    price_ten_thousandths = models.BigIntegerField()
    covers = models.JSONField(
        default=list, blank=True, help_text="Kinds of work whose hours the price stands for."
    )
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(price_ten_thousandths__gte=0), name="office_flat_not_negative")
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def price(self) -> UnitPrice:
        """The price in the shop’s money."""
        return UnitPrice(self.price_ten_thousandths, the_profile().currency)

    @property
    def covered(self) -> str:
        """The kinds of work it covers, as a person reads them."""
        return ", ".join(WorkKind(kind).label for kind in self.covers)


class TaxRule(models.Model):
    """A rate for one kind of line from a date on. `rate` tells several rates of one kind apart (standard, reduced)."""

    name = models.CharField(max_length=60)
    line_kind = models.CharField(max_length=10, choices=TAXED_KINDS)
    rate = models.CharField(max_length=20, default="standard")
    rate_percent = ExactDecimalField()
    category = models.CharField(
        max_length=3, default="S", help_text="EN 16931 category code: S, Z, E, AE, O."
    )
    from_date = models.DateField()
    to_date = models.DateField(null=True, blank=True)
    source = models.CharField(max_length=200, blank=True)
    reason = models.CharField(
        max_length=200, blank=True, help_text="Stands on the invoice where no tax is charged."
    )

    class Meta:
        indexes = [models.Index(fields=["line_kind", "from_date"], name="office_tax_rule_of_kind")]
        constraints = [
            models.CheckConstraint(
                condition=Q(to_date__isnull=True) | Q(to_date__gte=F("from_date")),
                name="office_tax_rule_in_order",
                violation_error_message="The rule ends before it starts.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.rate_percent} %"
