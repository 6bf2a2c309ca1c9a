"""What this room's database never lets happen."""

from __future__ import annotations

from django.db import migrations

from shop.frame.triggers import AppendOnly, NeverDeleted


class Migration(migrations.Migration):
    dependencies = [("stockroom", "0001_initial")]

    operations = [
        AppendOnly('stockroom_ledgerentry'),
        NeverDeleted('stockroom_partfitted'),
    ]
