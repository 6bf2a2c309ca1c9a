"""The records is a room of the house: its name, and what it hangs up in other rooms when the house opens."""

from __future__ import annotations

from django.apps import AppConfig


class RecordsConfig(AppConfig):
    name = "shop.records"
    label = "records"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Fill the places that lower rooms left, and keep search and moves true with every act."""
        # models are loaded only now
        from shop.frame.guards import beside  # noqa: PLC0415
        from shop.frame.journal import listen  # noqa: PLC0415
        from shop.frame.places import fill  # noqa: PLC0415
        from shop.keeping.nightly import every_night  # noqa: PLC0415
        from shop.records import long_work, next_step, places  # noqa: PLC0415
        from shop.records.searching.index_tables import FULL_TEXT, PASSAGES  # noqa: PLC0415
        from shop.records.searching.upkeep import refresh  # noqa: PLC0415

        listen(refresh)
        listen(next_step.keep_moves_true)
        long_work.hang_up_all()
        every_night(long_work.clear_taken_out)
        every_night(next_step.look_at_moves_again)
        beside(FULL_TEXT)
        beside(PASSAGES)
        fill("job-doors", places.job_doors, order=10)
        fill("unit-known", places.unit_known, order=10)
        fill("booked-job", places.comeback, order=5)
        fill("counter-job", places.comeback, order=5)
        fill("customer-history", places.customer_history, order=10)
        fill("model-known", places.model_known, order=10)
        fill("fixed-last-time", places.fixed_last_time, order=10)
        fill("bench-aside", places.bench_aside, order=10)
