"""The full-text index beside the search words."""

from __future__ import annotations

from django.db import migrations

from shop.records.searching.index_tables import FullTextIndex


class Migration(migrations.Migration):
    dependencies = [("records", "0001_initial")]

    operations = [FullTextIndex()]
