"""What the office's database never lets happen."""

from __future__ import annotations

from django.db import migrations

from shop.premises.triggers import AppendOnly, Frozen


class Migration(migrations.Migration):
    dependencies = [("office", "0002_initial")]

    operations = [
        AppendOnly("office_authorisation"),
        AppendOnly("office_payment"),
        AppendOnly("office_allocation"),
        AppendOnly("office_releaseunpaid"),
        Frozen("office_invoice", when="OLD.issued_at IS NOT NULL"),
    ]
