"""The dispatch is a room of the house: its name, and what it hangs up in other rooms when the house opens."""

from __future__ import annotations

from django.apps import AppConfig


class DispatchConfig(AppConfig):
    name = "shop.dispatch"
    label = "dispatch"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Stand at the way home: what came with a unit goes back, or its absence is explained. And at the shop's currency."""
        from shop.counter.moving import guard  # noqa: PLC0415  (models are loaded only now)
        from shop.counter.stages import Stage  # noqa: PLC0415
        from shop.dispatch import letters, news, places  # noqa: PLC0415
        from shop.dispatch.leaving import holds_back  # noqa: PLC0415
        from shop.dispatch.queries import rates_hold_to_currency  # noqa: PLC0415
        from shop.frame.news import tell  # noqa: PLC0415
        from shop.frame.places import fill  # noqa: PLC0415
        from shop.keeping.letter_texts import hang_up  # noqa: PLC0415
        from shop.premises.changing import before_another_currency  # noqa: PLC0415

        tell(news.parcels)
        hang_up(letters.LEFT, letters.LOST)
        fill("box-opened", places.claim_deadline)
        guard(Stage.GONE_HOME, holds_back)
        before_another_currency(rates_hold_to_currency)
