"""The shop's own rows and checklists: one line for each row or step."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any, TypedDict

from django import forms
from django.core.exceptions import ValidationError

from shop.bench.forms.readings import QUANTITIES
from shop.bench.models import IN_WORDS, Pattern
from shop.counter.models import Kind
from shop.frame.formwork import PlainForm, TextField
from shop.handbook.quantities import Kind as Quantity
from shop.handbook.quantities import Unreadable
from shop.handbook.readings import expect
from shop.handbook.sheet import ColumnsError, RowOf, columns_of

COLUMNS = ("place", "quantity", "columns", "against", "state", "expected", "adjuster")
"""What stands on a line of a template, in this order, with a bar between."""

MOST_LINES = 60
_BY_NAME = {name.casefold(): value for value, name in QUANTITIES} | {value: value for value, _ in QUANTITIES}


class PatternFacts(TypedDict):
    """A pattern, as `keep_pattern` takes it."""

    of: str
    name: str
    kind: str
    lines: list[Any]


class PatternForm(PlainForm):
    """Rows of a sheet or steps of a checklist, as the shop writes them down."""

    of = forms.ChoiceField(label="For", choices=Pattern.Of, initial=Pattern.Of.ROWS, widget=forms.RadioSelect)
    name = forms.CharField(
        label="Name",
        max_length=80,
        help_text="One that bears the name of one of the handbook stands in its place.",
    )
    kind = forms.ChoiceField(label="Kind of unit", choices=[("", "All kinds"), *Kind.choices], required=False)
    lines = TextField(
        label="Lines",
        rows=8,
        max_length=8000,
        help_text=(
            "A checklist: one step on each line. A sheet: place | what is measured | columns | against | state | expected | "
            "adjuster, as far as you like."
        ),
    )

    def clean_lines(self) -> list[str]:
        """At least one line, and no more than a sheet has rows."""
        lines = [line.strip() for line in self.cleaned_data["lines"].splitlines() if line.strip()]
        if not lines:
            raise ValidationError("Write at least one line.")
        if len(lines) > MOST_LINES:
            raise ValidationError(f"At most {MOST_LINES} lines.")
        if any(len(line) > 400 for line in lines):
            raise ValidationError("A line has at most 400 letters.")
        return lines

    def clean(self) -> dict[str, object]:
        """Read each line of a sheet; the sentence names the line that can't be read."""
        data = super().clean() or self.cleaned_data
        if data.get("of") != Pattern.Of.ROWS or "lines" not in data:
            return data
        try:
            data["lines"] = [_row(line, at) for at, line in enumerate(data["lines"], start=1)]
        except ValidationError as error:
            self.add_error("lines", error)
        return data

    def facts(self) -> PatternFacts:
        """The pattern that was written."""
        data = self.cleaned_data
        return {"of": data["of"], "name": data["name"], "kind": data["kind"], "lines": data["lines"]}


def _row(line: str, at: int) -> dict[str, str]:
    told = [one.strip() for one in line.split("|")]
    if len(told) > len(COLUMNS):
        raise ValidationError(f"Line {at}: there are more bars than a row has parts.")
    row = dict(zip(COLUMNS, told, strict=False))
    quantity = _BY_NAME.get(row.get("quantity", "").casefold() or "voltage_dc")
    if not row["place"] or len(row["place"]) > 80:
        raise ValidationError(f"Line {at}: say where it is measured, in at most 80 letters.")
    if quantity is None:
        raise ValidationError(
            f"Line {at}: nobody measures “{row['quantity'][:30]}”. Try DC voltage or Resistance."
        )
    row["quantity"] = quantity
    try:
        columns_of(row.get("columns", ""))
        if row.get("expected") and quantity != IN_WORDS:
            expect(row["expected"], Quantity(quantity))
    except (ColumnsError, Unreadable) as error:
        raise ValidationError(f"Line {at}: {error}") from error
    return {name: value for name, value in asdict(RowOf(**row)).items() if value}


def as_lines(of: str, lines: list[Any]) -> str:
    """A pattern as it is written down again."""
    if of == Pattern.Of.STEPS:
        return "\n".join(str(one) for one in lines)
    return "\n".join(" | ".join(str(one.get(name, "")) for name in COLUMNS).rstrip(" |") for one in lines)
