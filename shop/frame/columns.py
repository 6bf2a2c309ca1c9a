"""Model fields that every room shares: amounts in minor units, exact decimals kept as text, folded search copies.

Money stands in the database as whole minor units (cents), unit prices as whole ten-thousandths of the major unit, hours as whole
seconds, quantities as whole thousandths: SQLite would keep a DecimalField as a binary float, and sums of those drift.
"""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING, Any

from django.core.exceptions import ValidationError
from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper


class ExactDecimalField(models.CharField):
    """A `Decimal` kept as its own text, so that what was measured comes back to the last digit. Not for sorting or sums."""

    if TYPE_CHECKING:
        _pyi_private_set_type: Decimal | str | int | None  # type: ignore[assignment]
        _pyi_private_get_type: Decimal  # type: ignore[assignment]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 60)
        super().__init__(*args, **kwargs)

    def from_db_value(self, value: str | None, _expression: object, _connection: object) -> Decimal | None:
        return None if value is None or value == "" else Decimal(value)

    def to_python(self, value: object) -> Decimal | None:
        if value is None or value == "":
            return None
        if isinstance(value, Decimal):
            return value
        try:
            return Decimal(str(value))
        except InvalidOperation as error:
            raise ValidationError("This is not a number.") from error

    def get_prep_value(self, value: object) -> str | None:
        decimal = self.to_python(value)
        if decimal is None:
            return None
        if not decimal.is_finite():
            raise ValidationError("This is not a finite number.")
        return str(decimal)


class RowIdField(models.BigIntegerField):
    """A whole number that is given as primary key. On SQLite it is the row's own id, so that a row is found in one step.

    SQLite takes a key for its own only where its type is called `integer`, word for word; by any other name it keeps an
    index beside the table and looks twice (SQLite, "CREATE TABLE", section 5, ROWIDs and the INTEGER PRIMARY KEY).
    """

    def db_type(self, connection: BaseDatabaseWrapper) -> str | None:
        """Also the type of what points to it."""
        return "integer" if connection.vendor == "sqlite" else super().db_type(connection)
