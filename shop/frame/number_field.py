"""A plain number in a form, typed with whichever decimal mark the person is used to."""

from __future__ import annotations

from typing import Any

from django import forms


class NumberField(forms.DecimalField):
    """A Decimal, with a decimal point or a decimal comma; nobody types thousands into the fields it is for."""

    def to_python(self, value: Any) -> Any:
        """Read the number; a comma that stands alone is the decimal mark."""
        if isinstance(value, str) and value.count(",") == 1 and "." not in value:
            value = value.replace(",", ".")
        return super().to_python(value)
