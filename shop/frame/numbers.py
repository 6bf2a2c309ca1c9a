"""Numbers without gaps and without repeats: taken inside the transaction that uses them, under the row's lock."""

from __future__ import annotations

from django.db import connection, transaction
from django.db.models import F

from shop.frame.models import NumberSeries


def take(series: str, year: int) -> int:
    """The next number of `series` in `year`, counting from 1 unless the shop set another start.

    Must run inside a transaction: if that fails, the number goes back. On SQLite the write lock that IMMEDIATE takes at the
    transaction's start serialises the callers; on PostgreSQL the row's update does.
    """
    if not connection.in_atomic_block:
        raise transaction.TransactionManagementError(
            "A number is taken only inside the transaction that uses it."
        )
    NumberSeries.objects.get_or_create(name=series, year=year)
    NumberSeries.objects.filter(name=series, year=year).update(next_value=F("next_value") + 1)
    return NumberSeries.objects.values_list("next_value", flat=True).get(name=series, year=year) - 1


def set_next(series: str, year: int, value: int) -> None:
    """Let the shop's first run go on from its own last number. Never below a number that was taken."""
    row, made = NumberSeries.objects.get_or_create(name=series, year=year, defaults={"next_value": value})
    if not made and value > row.next_value:
        NumberSeries.objects.filter(pk=row.pk).update(next_value=value)
