"""The premises are a room of the house: the shop itself."""

from __future__ import annotations

from django.apps import AppConfig


class PremisesConfig(AppConfig):
    name = "shop.premises"
    label = "premises"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Have the system checks look for what papers need, and give the journal words for what is done here."""
        from shop.premises import wording  # noqa: PLC0415
        from shop.premises.press import libraries  # noqa: F401, PLC0415  registers its check

        wording.tell(wording.OWN_WORDS)
        wording.call("premises.staff", wording.staff_names)
