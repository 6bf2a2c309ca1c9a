"""Everything that a shop's book holds, as plain data: for `job.json` of the walkthrough."""

from __future__ import annotations

from typing import Any

from django.apps import apps
from django.core.serializers.python import Serializer

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
    "window",
)
LEFT_OUT = {"frame.oncekey", "premises.signintry"}
SECRET = {"password"}


def everything() -> dict[str, dict[str, list[dict[str, object]]]]:
    """Rows by room and model, in order of their keys; passwords and used-up form keys are left out."""
    found: dict[str, dict[str, list[dict[str, Any]]]] = {}
    for room in ROOMS:
        models = {}
        for model in apps.get_app_config(room).get_models():
            if model._meta.label_lower in LEFT_OUT:
                continue
            rows = Serializer().serialize(model._default_manager.order_by("pk"))
            if rows:
                models[str(model._meta.model_name)] = [
                    {"id": row["pk"]} | {k: v for k, v in row["fields"].items() if k not in SECRET}
                    for row in rows
                ]
        found[room] = models
    return found
