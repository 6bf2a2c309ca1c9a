"""What this room's database never lets happen."""

from __future__ import annotations

from django.db import migrations

from shop.frame.triggers import NeverDeleted


class Migration(migrations.Migration):
    dependencies = [("bench", "0002_initial")]

    operations = [
        NeverDeleted('bench_stint'),
        NeverDeleted('bench_finding'),
        NeverDeleted('bench_reading'),
        NeverDeleted('bench_evidence'),
        NeverDeleted('bench_conclusion'),
        NeverDeleted('bench_soaktest'),
        NeverDeleted('bench_safetycheck'),
        NeverDeleted('bench_safetywaiver'),
        NeverDeleted('bench_overruled'),
    ]
