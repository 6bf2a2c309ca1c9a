"""The office is a room of the house: its name, and what it hangs up in other rooms when the house opens."""

from __future__ import annotations

from django.apps import AppConfig


class OfficeConfig(AppConfig):
    name = "shop.office"
    label = "office"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Stand at the way home: nothing leaves while its invoice is open or was never issued.

        And hang up the account in the customer's page, what is agreed at the bench, and what is erased at the end of retention.
        """
        from shop.counter.agreed_sums import rests_on_them  # noqa: PLC0415  (models are loaded only now)
        from shop.counter.moving import guard  # noqa: PLC0415
        from shop.counter.said import no_repair  # noqa: PLC0415
        from shop.counter.stages import Stage  # noqa: PLC0415
        from shop.frame.news import tell  # noqa: PLC0415
        from shop.frame.places import fill  # noqa: PLC0415
        from shop.keeping.letter_texts import hang_up  # noqa: PLC0415
        from shop.keeping.nightly import every_night  # noqa: PLC0415
        from shop.keeping.retention import ends_with  # noqa: PLC0415
        from shop.office import letters, long_work, news  # noqa: PLC0415
        from shop.office.actions.retention import erase_answers, erase_with  # noqa: PLC0415
        from shop.office.currency import holds_to_currency  # noqa: PLC0415
        from shop.office.places import (  # noqa: PLC0415
            account_of_customer,
            agreed_at_the_bench,
            asked_at_dispatch,
            used_up_at_the_bench,
        )
        from shop.office.queries import holds_back, no_repair_among, rests_on_the_claim_check  # noqa: PLC0415
        from shop.premises.changing import before_another_currency  # noqa: PLC0415

        before_another_currency(holds_to_currency)
        ends_with(erase_with)
        every_night(erase_answers)
        guard(Stage.GONE_HOME, holds_back)
        long_work.hang_up_all()
        rests_on_them(rests_on_the_claim_check)
        no_repair.told_by(no_repair_among)
        fill("customer-history", account_of_customer, order=50)
        fill("bench-agreed", agreed_at_the_bench)
        fill("dispatch-asked", asked_at_dispatch)
        fill("bench-aside", used_up_at_the_bench, order=5)
        tell(news.office_news)
        hang_up(letters.PAPER)
