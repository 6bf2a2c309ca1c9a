"""The bench is a room of the house: its name, and what it hangs up in other rooms when the house opens."""

from __future__ import annotations

from django.apps import AppConfig


class BenchConfig(AppConfig):
    name = "shop.bench"
    label = "bench"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Stand at two doors: nothing temporary and no failed check in a set that is ready, no mains unit leaves unchecked."""
        from shop.bench import hearing, long_work, news  # noqa: PLC0415  (models are loaded only now)
        from shop.bench.actions.time import stop_clocks  # noqa: PLC0415
        from shop.bench.queries import not_put_back  # noqa: PLC0415  (models are loaded only now)
        from shop.bench.safety import failed, holds_back  # noqa: PLC0415
        from shop.counter.moving import afterwards, guard  # noqa: PLC0415
        from shop.counter.stages import ENDED, Stage  # noqa: PLC0415
        from shop.frame.news import tell  # noqa: PLC0415
        from shop.keeping.nightly import every_night  # noqa: PLC0415

        tell(news.soaks)
        guard(Stage.READY, not_put_back)
        guard(Stage.GONE_HOME, holds_back)
        guard(Stage.READY, failed)
        for stage in ENDED:
            afterwards(stage, stop_clocks)
        long_work.hang_up_all()
        every_night(hearing.clear_recordings)
