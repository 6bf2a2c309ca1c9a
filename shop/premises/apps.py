"""The premises are a room of the house: the shop itself."""

from __future__ import annotations

from django.apps import AppConfig


class PremisesConfig(AppConfig):
    name = "shop.premises"
    label = "premises"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Have the system checks look for what papers need."""
        from shop.premises.press import libraries  # noqa: F401, PLC0415  registers its check
