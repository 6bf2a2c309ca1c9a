"""What this room's database never lets happen."""

from __future__ import annotations

from django.db import migrations

from shop.frame.triggers import AppendOnly, NeverDeleted


class Migration(migrations.Migration):
    dependencies = [("counter", "0002_initial")]

    operations = [
        AppendOnly('counter_stagemove'),
        NeverDeleted('counter_job'),
    ]
