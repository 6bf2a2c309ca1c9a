"""The stockroom is a room of the house: its name, and what it hangs up in other rooms when the house opens."""

from __future__ import annotations

from django.apps import AppConfig


class StockroomConfig(AppConfig):
    name = "shop.stockroom"
    label = "stockroom"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Tell which parts came, let go what no job waits for, and hold the shop to its currency while an order is open."""
        from shop.counter.moving import afterwards  # noqa: PLC0415  (models are loaded only now)
        from shop.counter.stages import ENDED, Stage  # noqa: PLC0415
        from shop.frame.news import tell  # noqa: PLC0415
        from shop.keeping.letter_texts import hang_up  # noqa: PLC0415
        from shop.premises.changing import before_another_currency  # noqa: PLC0415
        from shop.stockroom import letters, news  # noqa: PLC0415
        from shop.stockroom.actions.waiting import wants_no_more  # noqa: PLC0415
        from shop.stockroom.queries import orders_hold_to_currency  # noqa: PLC0415

        tell(news.parts_here)
        hang_up(letters.ORDER)
        for stage in (Stage.READY, *ENDED):
            afterwards(stage, wants_no_more)
        before_another_currency(orders_hold_to_currency)
