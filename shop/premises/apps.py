"""The premises are a room of the house: the shop itself."""

from __future__ import annotations

from django.apps import AppConfig


class PremisesConfig(AppConfig):
    name = "shop.premises"
    label = "premises"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Have wrong passwords of long ago forgotten each night, and tasks shown on the first screen."""
        from shop.frame.places import fill  # noqa: PLC0415
        from shop.keeping import nightly  # noqa: PLC0415
        from shop.premises import places, signing_in  # noqa: PLC0415

        nightly.every_night(signing_in.forget_old_tries)
        fill("first-screen", places.your_tasks, order=5)
