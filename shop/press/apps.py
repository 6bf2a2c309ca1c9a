"""The press is where papers and labels are made."""

from __future__ import annotations

from django.apps import AppConfig


class PressConfig(AppConfig):
    name = "shop.press"
    label = "press"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Have the system checks and the page of the shop's health look for what papers need."""
        from shop.keeping import health  # noqa: PLC0415
        from shop.press import libraries  # noqa: PLC0415

        health.watch(libraries.sign)
