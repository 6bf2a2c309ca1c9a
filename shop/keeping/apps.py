"""The keeping room holds what must not get lost: pictures, files, issued papers, letters, backups."""

from __future__ import annotations

from django.apps import AppConfig


class KeepingConfig(AppConfig):
    name = "shop.keeping"
    label = "keeping"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Hang up what the keeping itself has done by the worker: letters, the night's check, the backup."""
        from shop.frame.news import tell  # noqa: PLC0415  (models are loaded only now)
        from shop.keeping import news, nightly  # noqa: PLC0415
        from shop.keeping.tasks import own  # noqa: PLC0415

        for teller in (news.letters, news.backup, news.backup_key, news.chores):
            tell(teller)
        nightly.every_night(news.clear_seen)
        own.hang_up_all()
