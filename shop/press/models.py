"""What the press has to print with: the letterhead and the labels."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from shop.keeping.models import Picture


class Letterhead(models.Model):
    """What stands at the head of the shop's papers beside its name. One row, id 1.

    Apart from the profile, because the profile lies below the pictures that the shop keeps.
    """

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    logo = models.ForeignKey(Picture, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="press_one_letterhead")]

    def __str__(self) -> str:
        return "with a logo" if self.logo_id else "without a logo"


class LabelStock(models.Model):
    """The labels that the shop has in its printers. One row, id 1; lengths in tenths of a millimetre."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    sheet = models.CharField(
        max_length=20, blank=True, help_text="Code of the label sheet; empty until chosen."
    )
    shift_x_tenths = models.SmallIntegerField(
        default=0, help_text="What is printed is moved that far to the right."
    )
    shift_y_tenths = models.SmallIntegerField(default=0, help_text="And that far down.")
    roll_width_tenths = models.PositiveSmallIntegerField(default=620)
    roll_height_tenths = models.PositiveSmallIntegerField(default=290)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="press_one_label_stock")]
        verbose_name_plural = "label stock"

    def __str__(self) -> str:
        return self.sheet or "no label sheet"
