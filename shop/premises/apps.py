"""The premises are a room of the house: the shop itself."""

from __future__ import annotations

from django.apps import AppConfig


class PremisesConfig(AppConfig):
    name = "shop.premises"
    label = "premises"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Note when each session began, forget wrong passwords of long ago, show tasks on the first screen."""
        from django.contrib.auth.signals import user_logged_in  # noqa: PLC0415  (models are loaded only now)

        from shop.frame.places import fill  # noqa: PLC0415
        from shop.keeping import nightly  # noqa: PLC0415
        from shop.premises import places, sessions, signing_in  # noqa: PLC0415

        user_logged_in.connect(sessions.begin, dispatch_uid="shop.premises.sessions")
        nightly.every_night(signing_in.forget_old_tries)
        fill("first-screen", places.your_tasks, order=5)
