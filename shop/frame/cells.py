"""Cells of a CSV file, written so that no spreadsheet reckons with them as formulas."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation

FORMULA = tuple(
    "=+-@\t\r\n\N{FULLWIDTH EQUALS SIGN}\N{FULLWIDTH PLUS SIGN}\N{FULLWIDTH HYPHEN-MINUS}\N{FULLWIDTH COMMERCIAL AT}"
)
"""What a cell begins with that some spreadsheet reckons with; the full-width signs do where Chinese or Japanese is set."""


def cell(value: object) -> str:
    """`value` as text. What a spreadsheet would take for a formula gets an apostrophe in front (OWASP, CSV injection)."""
    text = "" if value is None else str(value)
    return f"'{text}" if text.startswith(FORMULA) and not _is_number(text) else text


def _is_number(text: str) -> bool:
    """Whether it is a number, with a point or a comma as its mark, and nothing around it."""
    if not text.isascii() or text != text.strip():
        return False
    try:
        return Decimal(text.replace(",", ".")).is_finite()
    except InvalidOperation:
        return False
