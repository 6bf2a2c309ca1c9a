"""The planner is a room of the house: its name, and what it hangs up in other rooms when the house opens."""

from __future__ import annotations

from django.apps import AppConfig


class PlannerConfig(AppConfig):
    name = "shop.planner"
    label = "planner"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Offer dates at the counter, object to early ones, and have the dates reckoned."""
        # models are loaded only now
        from shop.counter.promising import object_to_finish, offer_dates  # noqa: PLC0415
        from shop.frame.news import tell  # noqa: PLC0415
        from shop.frame.places import fill  # noqa: PLC0415
        from shop.keeping.letter_texts import hang_up  # noqa: PLC0415
        from shop.planner import letters, long_work, news, offers  # noqa: PLC0415

        object_to_finish(offers.objection)
        offer_dates(offers.offering)
        fill("promise-offers", offers.promise_offers, order=10)
        hang_up(letters.NEW_DATE, letters.NO_ANSWER, letters.NOT_PICKED_UP, letters.PART_OVERDUE)
        tell(news.reminders)
        long_work.hang_up_all()
