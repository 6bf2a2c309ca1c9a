"""What the premises' database never lets happen, and the three roles."""

from __future__ import annotations

from typing import Any

from django.db import migrations

from shop.premises.triggers import AppendOnly, Frozen


def make_roles(apps: Any, _schema_editor: Any) -> None:
    for name in ("counter", "bench", "owner"):
        apps.get_model("auth", "Group").objects.get_or_create(name=name)


class Migration(migrations.Migration):
    dependencies = [("premises", "0001_initial"), ("auth", "0012_alter_user_first_name_max_length")]

    operations = [
        AppendOnly("premises_journalentry"),
        AppendOnly("premises_journaltouch"),
        Frozen(
            "premises_issuedpaper",
            columns=("kind", "number", "title", "language", "sha256", "size", "issued_at"),
        ),
        migrations.RunPython(make_roles, migrations.RunPython.noop),
    ]
