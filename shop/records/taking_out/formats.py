"""How a whole-book file of one format is read as a book of today."""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.db import models

Row = dict[str, Any]


def _as_it_is(_model: type[models.Model], row: Row) -> Row:
    return row


def _nothing(_book: zipfile.ZipFile) -> None:
    return


@dataclass(frozen=True, slots=True)
class Format:
    """The names that tables had, what a row of then is today, and what is to be done when all rows are there."""

    version: int
    name: Callable[[str], str] = str
    row: Callable[[type[models.Model], Row], Row] = _as_it_is
    afterwards: Callable[[zipfile.ZipFile], None] = _nothing
    may_lack_tables: bool = False
    lacked: frozenset[str] = frozenset()
    """Tables that no book of this format has."""
