"""The frame is what every room stands in: the facts and the habits that all of them share."""

from __future__ import annotations

from django.apps import AppConfig


class FrameConfig(AppConfig):
    name = "shop.frame"
    label = "frame"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Give the journal words for what is done here."""
        from shop.frame import wording  # noqa: PLC0415

        wording.tell(wording.OWN_WORDS)
        wording.call("frame.staff", wording.staff_names)
