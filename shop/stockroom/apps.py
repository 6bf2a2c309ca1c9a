"""The stockroom is a room of the house: its name, and what it hangs up in other rooms when the house opens."""

from __future__ import annotations

from django.apps import AppConfig


class StockroomConfig(AppConfig):
    name = "shop.stockroom"
    label = "stockroom"
    default_auto_field = "django.db.models.BigAutoField"
