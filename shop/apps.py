"""The shop as an app of its own, above all floors: it owns the management commands."""

from __future__ import annotations

from django.apps import AppConfig


class ShopConfig(AppConfig):
    """The front door; it has no models."""

    name = "shop"
    label = "shop"
    verbose_name = "Mendwright"

    def ready(self) -> None:
        """Give the journal the words of the first run, which is no room, and hang up what the opening looks after."""
        from shop.frame.wording import gather  # noqa: PLC0415  (models are loaded only now)
        from shop.keeping import health, nightly  # noqa: PLC0415
        from shop.opening import looking_after, moved  # noqa: PLC0415

        gather(["shop.opening"])
        looking_after.hang_up_all()
        health.watch(looking_after.certificate)
        nightly.also_check(looking_after.check_tables)
        nightly.also_check(moved.check_moved)
