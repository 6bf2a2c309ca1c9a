"""What this room's database never lets happen."""

from __future__ import annotations

from django.db import migrations

from shop.frame.triggers import Frozen


class Migration(migrations.Migration):
    dependencies = [("keeping", "0001_initial")]

    operations = [
        Frozen('keeping_issuedpaper', columns=('kind', 'number', 'title', 'language', 'sha256', 'size', 'issued_at')),
    ]
