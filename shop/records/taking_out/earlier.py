"""A whole-book file of format 1, read as one of today: tables that moved, columns that came, and seals for what had none.

The journal is taken over word for word, so that its chain still holds. The rows that are sealed today were written without
seals; they are sealed as they came in, and the entry that does so says that from here on they are held to it.
"""

from __future__ import annotations

import json
import zipfile
from collections.abc import Callable
from typing import Any

from django.db import models

from shop.frame import seals
from shop.frame.former import FORMER
from shop.frame.journal import Act, acting
from shop.frame.once import keyless
from shop.frame.seal_check import guarded_rows
from shop.press.models import Letterhead
from shop.records.taking_out.formats import Format, Row

_THEN = {now: before for before, now in FORMER.items()}


def name_then(table: str) -> str:
    """What a table was called in a book of format 1."""
    return _THEN.get(table, table)


def row_now(model: type[models.Model], then: Row) -> Row:
    """A row with the columns of today. Raises KeyError where one is missing that can't be left out."""
    row = dict(then)
    for column in model._meta.concrete_fields:
        if column.attname not in row and may_be_left_out(column):
            row[column.attname] = column.get_default()
    return _CAME[model._meta.label_lower](row, then) if model._meta.label_lower in _CAME else row


def may_be_left_out(column: models.Field[Any, Any]) -> bool:
    """Whether a column says of itself what stands there where nobody said anything."""
    return bool(column.has_default() or column.null or column.blank)


def _answer(row: Row, then: Row) -> Row:
    """An answer was noted with what it came to in all; a no spoke of nothing."""
    return row | {"sum_minor": 0 if then["answer"] == "no" else then["authorised_minor"]}


def _profile(row: Row, _then_: Row) -> Row:
    """The logo went to a table of its own: see `put_logo`."""
    return {name: value for name, value in row.items() if name != "logo_id"}


_CAME: dict[str, Callable[[Row, Row], Row]] = {
    "office.authorisation": _answer,
    "frame.shopprofile": _profile,
}


@keyless("first")
def arrive(book: zipfile.ZipFile) -> None:
    """Put the logo on its letterhead and seal every row that is sealed today; an entry for so many rows of a table."""
    with book.open(f"tables/{name_then('frame.shopprofile')}.jsonl") as profiles:
        for line in profiles:
            if (logo := json.loads(line)["logo_id"]) is not None:
                Letterhead.objects.create(pk=1, logo_id=logo)
    with acting(by=None) as act:
        for model in seals.sealed_models():
            for some in guarded_rows(model):
                _seal(act, model, some)


def _seal(act: Act, model: type[models.Model], rows: list[int]) -> None:
    act.seal(*model._base_manager.filter(pk__in=rows).only("pk"))
    act.record("book.sealed", rows=len(rows), table=model._meta.label_lower)


EARLIER = Format(1, name=name_then, row=row_now, afterwards=arrive, may_lack_tables=True)
