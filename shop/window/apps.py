"""The window is a room of the house: its name, and what it hangs up in other rooms when the house opens."""

from __future__ import annotations

from django.apps import AppConfig


class WindowConfig(AppConfig):
    name = "shop.window"
    label = "window"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Fill the places that other rooms left, and give the journal words for what happens here."""
        # models are loaded only now
        from shop.frame.places import fill  # noqa: PLC0415
        from shop.frame.wording import tell  # noqa: PLC0415
        from shop.window import places  # noqa: PLC0415

        fill("first-screen", places.unread, order=20)
        fill("job-card", places.conversation, order=20)
        fill("booked-job", places.link, order=20)
        fill("counter-job", places.link, order=20)
        tell(
            {
                "window.opened": "gave the customer a link to their page",
                "window.withdrawn": "took back the links to the customer’s page",
                "word.said": "the customer said a word on their page",
                "word.answered": "answered the customer on their page",
                "word.seen": "read what the customer said",
            }
        )
