"""One row of any table as plain JSON, and back, without losing a digit or a microsecond."""

from __future__ import annotations

import base64
import datetime as dt
import json
import uuid
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from django.apps import apps
from django.db import models

ROOMS = (
    "frame",
    "keeping",
    "press",
    "premises",
    "counter",
    "stockroom",
    "bench",
    "office",
    "dispatch",
    "records",
    "window",
)
DERIVED = frozenset(
    {
        *("frame.oncekey", "premises.signintry", "keeping.task"),
        *(
            "records.searchrow",
            "records.searchwords",
            "records.searchtexts",
            "records.term",
            "records.searchstate",
            "records.knownserial",
        ),
    }
)
"""Tables that are made of others or of no use elsewhere: not taken out."""

DECIDED = ("planner.QueuePlace", "planner.FeedKey", "planner.Reminded")
"""What a person decided at the planner; its dates are reckoned anew wherever the book is."""

OF_THIS_SHOP = (
    *("planner.ForecastState", "planner.JobForecast"),
    *("frame.OnceKey", "keeping.Task", "premises.SignInTry"),
    *("otp_totp.TOTPDevice", "otp_static.StaticDevice", "otp_static.StaticToken", "sessions.Session"),
)
"""What goes along besides when the same shop moves into another database: dates, second steps, who is signed in."""

SECRET = frozenset({("frame.staff", "password")})
"""Columns that are left empty unless they are asked for."""


def tables(*, moving: bool = False) -> Iterator[type[models.Model]]:
    """Every table of the book, the joining ones too, in the order of the rooms; `moving`: with what only this shop can use."""
    yield apps.get_model("auth", "Group")
    for room in ROOMS:
        for model in apps.get_app_config(room).get_models(include_auto_created=True):
            if model._meta.label_lower in DERIVED or model._meta.proxy:
                continue
            if model._meta.label_lower.endswith("user_permissions"):
                continue
            yield model
    yield from map(apps.get_model, DECIDED)
    if moving:
        yield from map(apps.get_model, OF_THIS_SHOP)


def plain_row(model: type[models.Model], values: Mapping[str, object]) -> str:
    """One line of JSON, its names in alphabetical order within as well: PostgreSQL does not keep the order in which they came."""
    row = {f.attname: _plain(values[f.attname]) for f in model._meta.concrete_fields}
    return json.dumps(row, ensure_ascii=False, separators=(",", ":"), sort_keys=True)


def read_row(model: type[models.Model], row: Mapping[str, Any]) -> models.Model:
    """A row as an unsaved object. Raises KeyError or ValueError when it is not one of this table."""
    made = {f.attname: _read(f, row[f.attname]) for f in model._meta.concrete_fields}
    return model(**made)


def schema_of(model: type[models.Model]) -> dict[str, object]:
    """What the columns of a table are, in JSON Schema's words."""
    return {
        "description": (model.__doc__ or "").strip().splitlines()[0] if model.__doc__ else "",
        "type": "object",
        "required": [f.attname for f in model._meta.concrete_fields],
        "additionalProperties": False,
        "properties": {f.attname: _schema_of(f) for f in model._meta.concrete_fields},
    }


def _schema_of(field: Any) -> dict[str, object]:
    told: dict[str, Any] = {"type": _json_type(field)}
    if field.null:
        told["type"] = [told["type"], "null"] if isinstance(told["type"], str) else [*told["type"], "null"]
    if field.is_relation:
        told["refersTo"] = field.related_model._meta.label_lower
    if isinstance(field, models.DateTimeField):
        told["format"] = "date-time"
    elif isinstance(field, models.DateField):
        told["format"] = "date"
    elif isinstance(field, models.UUIDField):
        told["format"] = "uuid"
    if field.choices:
        told["enum"] = [value for value, _ in field.flatchoices] + (["", None] if field.null else [""])
    if field.help_text:
        told["description"] = str(field.help_text)
    return told


def _json_type(field: Any) -> str | list[str]:
    target = field.target_field if field.is_relation else field
    if isinstance(target, models.BooleanField):
        return "boolean"
    if isinstance(target, models.IntegerField):
        return "integer"
    if isinstance(target, models.FloatField):
        return "number"
    if isinstance(target, models.JSONField):
        return ["object", "array", "string", "number", "boolean"]
    return "string"


def _plain(value: object) -> Any:
    if isinstance(value, dt.datetime):
        return value.astimezone(dt.UTC).isoformat()
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    if isinstance(value, Decimal | uuid.UUID):
        return str(value)
    if isinstance(value, bytes | memoryview):
        return base64.b64encode(bytes(value)).decode("ascii")
    return value


def _read(field: Any, value: Any) -> Any:
    if value is None or isinstance(field, models.JSONField | models.FileField):
        return value
    return (field.target_field if field.is_relation else field).to_python(value)
