"""The sheet of readings: its columns, and the rows that a kind of unit is usually measured in.

Plain values in, plain values out: nothing here knows a model file or a page.
"""

from __future__ import annotations

from shop.handbook.sheet.columns import COLUMN_SETS, ColumnsError, columns_of
from shop.handbook.sheet.rows import TEMPLATES, RowOf, RowTemplate, templates_for

__all__ = [
    "COLUMN_SETS",
    "TEMPLATES",
    "ColumnsError",
    "RowOf",
    "RowTemplate",
    "columns_of",
    "templates_for",
]
