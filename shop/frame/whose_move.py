"""Whose move a job is: one table, by which stamps, groups and lists are drawn."""

from __future__ import annotations

from django.db import models


class WhoseMove(models.TextChoices):
    """Every open job is somebody's move; the first screen is ordered by it, and a stamp is in the ink of it.

    A row: the value, which is that of the ink in `tokens.css`; the icon; what the first screen says when nothing is there; name.
    """

    icon: str
    nothing: str

    BENCH = "bench", "wrench", "Nothing waits for the shop.", "Shop"
    CUSTOMER = "customer", "user", "No customer owes the shop an answer or a visit.", "Customer"
    SUPPLIER = "supplier", "package", "No job waits for a part.", "Supplier"
    CARRIER = "carrier", "truck", "No parcel is on its way in.", "Carrier"
    NOBODY = "nobody", "archive", "", "Nobody"

    def __new__(cls, value: str, *row: str) -> WhoseMove:
        """Keep what stands in the row beside the value; a mover without it breaks the import."""
        member = str.__new__(cls, value)
        member._value_ = value
        member.icon, member.nothing = row
        return member

    @property
    def ink(self) -> str:
        """The class of a stamp in its ink."""
        return f"stamp-{self.value}"

    @property
    def words(self) -> str:
        """Beside a stage, so that color never speaks alone."""
        return f"the {self.label.lower()}’s move" if self != WhoseMove.NOBODY else "nobody’s move"

    @property
    def heading(self) -> str:
        """Over the jobs that are its move."""
        return self.words[0].upper() + self.words[1:]
