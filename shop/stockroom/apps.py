"""The stockroom is a room of the house: its name, and what it hangs up in other rooms when the house opens."""

from __future__ import annotations

from django.apps import AppConfig


class StockroomConfig(AppConfig):
    name = "shop.stockroom"
    label = "stockroom"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Give the journal words for what is done here."""
        from shop.frame import wording  # noqa: PLC0415
        from shop.stockroom.wording import NAMERS, WORDS  # noqa: PLC0415  (models are loaded only now)

        wording.tell(WORDS)
        for thing, namer in NAMERS.items():
            wording.call(thing, namer)
