"""What the bench's database never lets happen: a line may be struck out, never deleted."""

from __future__ import annotations

from django.db import migrations

from shop.premises.triggers import NeverDeleted

WRITTEN = (
    "stint",
    "finding",
    "reading",
    "evidence",
    "conclusion",
    "soaktest",
    "safetycheck",
    "safetywaiver",
    "overruled",
)


class Migration(migrations.Migration):
    dependencies = [("bench", "0002_initial")]

    operations = [NeverDeleted(f"bench_{name}") for name in WRITTEN]
