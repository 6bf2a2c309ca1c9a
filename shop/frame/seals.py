"""Seals: what a row said when it was written, kept as hashes in the journal's chain, declared beside the model.

    class Payment(models.Model):
        guard = AppendOnly()
        sealed = Sealed(personal=("reference", "note"))

A guard refuses a change; a seal finds one that was made past the guards. The rows of a sealed table that its guard holds
are sealed by the act that writes them, `act.seal(payment)`, with one digest for each column that the guard freezes. Each
column has a digest of its own, so that what differs can be named, a new column enters later seals only, and a column that
is gone takes nothing with it.

A seal names its columns as they were called on that day. Where one is renamed or dropped by a migration, the migration
tells so; `was` tells it where those migrations were squashed away: `Sealed(was={"sum_minor": "amount_minor"})`.

Personal columns are sealed apart, by a key that lies on the row itself (`seal_salt`): `act.erase(row)` empties them and the
salt, and nobody can find out any more, by trying names, what they were. The guard lets them be emptied together with the
salt, in no other way; the journal says that it was done.

Ninety-six bits of SHA-256 are kept of each digest, in sixteen letters: enough against a second value of the same digest
(NIST SP 800-107, section 5.1: truncated digests), and a long invoice still takes a few kilobytes.
"""

from __future__ import annotations

import base64
import datetime as dt
import hashlib
import hmac
import json
import secrets
import uuid
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.apps import apps
from django.db import models

SALT, SEALS = "seal_salt", "seals"
"""The column that keeps a row's salt, and what an entry keeps its seals as."""
ROWS_AT_ONCE = 500
DIGEST_BYTES, DIGEST_LETTERS = 12, 16
APART = "~"
"""Stands in a seal before the name of a column that was sealed with the row's salt."""

# the name of a table, its columns, and the digests of its rows one behind the other, in the order of the columns
Written = list[Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sealed:
    """Have the rows that the guard holds sealed: `personal` columns apart, `was` for names of before (old: new)."""

    personal: tuple[str, ...] = ()
    was: Mapping[str, str] = field(default_factory=dict)


def new_salt() -> str:
    """A key of its own for each row."""
    return secrets.token_hex(16)


class SaltField(models.CharField):
    """The key of a row's personal digests; empty once they are erased."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(
            *args, **{"max_length": 32, "default": new_salt, "editable": False, "blank": True, **kwargs}
        )


def declared(model: type[models.Model]) -> Sealed | None:
    """How the rows of a table are sealed, if they are; a model of a migration is asked by its name."""
    found = getattr(apps.get_model(model._meta.label), "sealed", None)
    return found if isinstance(found, Sealed) else None


def model_of(table: str) -> type[models.Model]:
    """The table that a seal names. Raises LookupError where there is none."""
    return apps.get_model(table)


def sealed_models() -> list[type[models.Model]]:
    """Every table whose rows are sealed."""
    found = (model for model in apps.get_models() if declared(model) is not None)
    return sorted(found, key=lambda model: model._meta.label_lower)


def erasable(model: type[models.Model]) -> list[models.Field[object, object]]:
    """The columns of a table that are erased at the end of their retention, their salt with them; none where none is personal."""
    sealed = declared(model)
    if sealed is None or not sealed.personal:
        return []
    return [one for one in model._meta.concrete_fields if one.name in sealed.personal or one.name == SALT]


def empty_value(column: models.Field[object, object]) -> object:
    """What stands in a personal column once it was erased."""
    if column.null:
        return None
    return {} if isinstance(column, models.JSONField) else ""


def covered(model: type[models.Model]) -> list[str]:
    """The columns that a seal of today covers: those that the guard freezes; the key itself goes by another name."""
    movable = apps.get_model(model._meta.label).guard.movable
    return [
        one.name
        for one in model._meta.concrete_fields
        if not one.primary_key and one.name != SALT and one.column not in movable
    ]


@dataclass(frozen=True, slots=True)
class Seal:
    """What was sealed of one row: the digest of each column, under its name of that day; `apart` those with the salt."""

    table: str
    row: int
    digests: Mapping[str, str]
    apart: frozenset[str]


def write(rows: Iterable[tuple[str, int]]) -> list[Written]:
    """The seals of rows, named by table and id, as the journal keeps them. Reads them from the book, as it took them."""
    wanted: dict[str, set[int]] = defaultdict(set)
    for table, row in rows:
        wanted[table].add(row)
    return [_written(table, sorted(ids)) for table, ids in sorted(wanted.items())]


def _written(table: str, ids: Sequence[int]) -> Written:
    model = model_of(table)
    if (sealed := declared(model)) is None:
        raise ValueError(f"{table} is not declared to be sealed.")
    names = covered(model)
    said = [APART + name if name in sealed.personal else name for name in names]
    digests = {
        str(row): "".join(
            digest(table, row, name, values[name], salt_for(name, sealed, values)) for name in names
        )
        for row, values in read(model, ids, names)
    }
    return [table, " ".join(said), digests]


def salt_for(name: str, sealed: Sealed, values: Mapping[str, object]) -> str:
    """The key under which a column of the row is sealed; empty for what is nobody's own."""
    return str(values[SALT]) if name in sealed.personal else ""


def read(
    model: type[models.Model], ids: Sequence[int], names: Sequence[str]
) -> Iterator[tuple[int, dict[str, object]]]:
    """The columns of rows as they stand in the book, the salt with them where there is one."""
    known = {one.name for one in model._meta.concrete_fields}
    asked = [*names, *([SALT] if SALT in known else [])]
    for start in range(0, len(ids), ROWS_AT_ONCE):
        some = model._base_manager.filter(pk__in=ids[start : start + ROWS_AT_ONCE])
        for pk, *values in some.order_by("pk").values_list("pk", *asked):
            yield pk, dict(zip(asked, values, strict=True))


def unfold(written: Iterable[Written]) -> Iterator[Seal]:
    """Each row's seal out of what an entry keeps."""
    for table, said, rows in written:
        names = [name.removeprefix(APART) for name in said.split()]
        apart = frozenset(name.removeprefix(APART) for name in said.split() if name.startswith(APART))
        for row, letters in rows.items():
            cut = (letters[at : at + DIGEST_LETTERS] for at in range(0, len(letters), DIGEST_LETTERS))
            yield Seal(table, int(row), dict(zip(names, cut, strict=True)), apart)


def digest(table: str, row: int, name: str, value: object, salt: str = "") -> str:
    """The digest of one column of one row. The same on both databases, and after the book was taken from one to the other."""
    said = json.dumps([table, row, name, value], default=_plain, sort_keys=True, ensure_ascii=True)
    whole = (
        hmac.digest(salt.encode(), said.encode(), "sha256")
        if salt
        else hashlib.sha256(said.encode()).digest()
    )
    return base64.urlsafe_b64encode(whole[:DIGEST_BYTES]).decode()


def _plain(value: object) -> object:
    if isinstance(value, dt.datetime):
        return value.astimezone(dt.UTC).isoformat(timespec="microseconds")
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    if isinstance(value, Decimal | uuid.UUID):
        return str(value)
    raise ValueError(f"A seal knows no {type(value).__name__}.")
