"""The window is a room of the house: its name, and what it hangs up in other rooms when the house opens."""

from __future__ import annotations

from django.apps import AppConfig


class WindowConfig(AppConfig):
    name = "shop.window"
    label = "window"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Tell what customers said, and fill the places that other rooms left."""
        # models are loaded only now
        from shop.counter.said import unread  # noqa: PLC0415
        from shop.frame.news import tell  # noqa: PLC0415
        from shop.frame.places import fill  # noqa: PLC0415
        from shop.window import news, places, queries  # noqa: PLC0415

        tell(news.words)
        unread.told_by(queries.unread_among)
        fill("job-card", places.conversation, order=20)
        fill("booked-job", places.link, order=20)
        fill("counter-job", places.link, order=20)
