"""The shop as an app of its own, above all floors: it owns the management commands."""

from __future__ import annotations

from django.apps import AppConfig


class ShopConfig(AppConfig):
    """The front door; it has no models."""

    name = "shop"
    label = "shop"
    verbose_name = "Mendwright"

    def ready(self) -> None:
        """Give the journal the words of the first run, which is no room."""
        from shop.frame.wording import gather  # noqa: PLC0415  (models are loaded only now)

        gather(["shop.opening"])
