"""The keeping room holds what must not get lost: pictures, files, issued papers, letters, backups."""

from __future__ import annotations

from django.apps import AppConfig


class KeepingConfig(AppConfig):
    name = "shop.keeping"
    label = "keeping"
    default_auto_field = "django.db.models.BigAutoField"
