"""What this room's database never lets happen."""

from __future__ import annotations

from typing import Any

from django.db import migrations

from shop.frame.triggers import AppendOnly


def make_roles(apps: Any, _schema_editor: Any) -> None:
    for name in ("counter", "bench", "owner"):
        apps.get_model("auth", "Group").objects.get_or_create(name=name)


class Migration(migrations.Migration):
    dependencies = [("frame", "0001_initial"), ("auth", "0012_alter_user_first_name_max_length")]

    operations = [
        AppendOnly('frame_journalentry'),
        AppendOnly('frame_journaltouch'),
        migrations.RunPython(make_roles, migrations.RunPython.noop),
    ]
