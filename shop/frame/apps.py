"""The frame is what every room stands in: the facts and the habits that all of them share."""

from __future__ import annotations

from django.apps import AppConfig, apps
from django.db.models import CharField
from django.db.models.signals import post_migrate


class FrameConfig(AppConfig):
    name = "shop.frame"
    label = "frame"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Give the journal the words of every room, and every book its three roles."""
        from shop.frame import among, wording  # noqa: PLC0415  (models are loaded only now)

        CharField.register_lookup(among.Among)
        wording.gather(room.name for room in apps.get_app_configs() if room.name.startswith("shop."))
        post_migrate.connect(make_roles, sender=self)


def make_roles(using: str, **_: object) -> None:
    """Make the groups that are called as the roles are, where they are not there yet."""
    from django.contrib.auth.models import Group  # noqa: PLC0415

    from shop.frame.models import Role  # noqa: PLC0415

    for role in Role:
        Group.objects.using(using).get_or_create(name=role.value)
