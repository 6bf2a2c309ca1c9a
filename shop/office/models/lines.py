"""What every line with a price holds, on an estimate or an invoice."""

from __future__ import annotations

from decimal import Decimal

from django.db import models

from shop.handbook.money import Money, UnitPrice
from shop.office.models.rules import LineKind
from shop.stockroom.models import PartState

PERCENT = "%"
"""The unit of a discount in percent: its price is the fraction taken off, its quantity what it comes off, in major units."""


class PricedLine(models.Model):
    """A line with a price: description, quantity in thousandths, unit price in ten-thousandths, amount in minor units."""

    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=10, choices=LineKind)
    of_kind = models.CharField(
        max_length=10,
        choices=LineKind,
        blank=True,
        help_text="Of a discount: the kind of line whose tax it takes.",
    )
    description = models.CharField(max_length=300)
    quantity_thousandths = models.BigIntegerField(default=1000)
    unit = models.CharField(
        max_length=10, default="pc", help_text="h for hours, pc for pieces, % for a discount in percent."
    )
    unit_price_ten_thousandths = models.BigIntegerField()
    amount_minor = models.BigIntegerField()
    net_minor = models.BigIntegerField(default=0, help_text="Without tax, EN 16931 BT-131.")
    rate = models.CharField(max_length=20, default="standard", help_text="Which of several rates of tax.")
    margin = models.BooleanField(default=False, help_text="Second-hand goods under the margin scheme.")
    part_state = models.CharField(max_length=9, choices=PartState, blank=True)
    under_warranty = models.BooleanField(default=False)
    unpriced = models.BooleanField(
        default=False, help_text="Nobody has said a price yet: it is asked for before the paper goes out."
    )

    class Meta:
        abstract = True
        ordering = ["position", "id"]

    @property
    def currency(self) -> str:
        """The currency of the paper that the line stands on."""
        raise NotImplementedError

    @property
    def unit_price(self) -> UnitPrice:
        """What one costs."""
        return UnitPrice(self.unit_price_ten_thousandths, self.currency)

    @property
    def takes_off(self) -> bool:
        """Whether it is a discount, which comes off the other lines."""
        return self.kind == LineKind.DISCOUNT

    @property
    def percent_off(self) -> Decimal | None:
        """Of a discount in percent: how much; None for any other line."""
        return self.unit_price.decimal * 100 if self.unit == PERCENT else None

    @property
    def amount(self) -> Money:
        """What the line comes to, as priced: with tax inside where the shop’s prices contain it."""
        return Money(self.amount_minor, self.currency)

    @property
    def gross(self) -> Money:
        """What the line comes to with its tax, where that is kept; else as priced."""
        return self.amount
