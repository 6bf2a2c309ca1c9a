from __future__ import annotations

import django.db.models.deletion
from django.db import migrations, models

import shop.premises.columns
from shop.records.searching.index_tables import COLUMNS_APART, FullTextIndex


class Migration(migrations.Migration):
    dependencies = [
        ("counter", "0003_guards"),
        ("records", "0004_bringing_in_and_merging"),
    ]

    operations = [
        migrations.AlterField(
            model_name="searchrow",
            name="id",
            field=shop.premises.columns.RowIdField(primary_key=True, serialize=False),
        ),
        migrations.AlterField(
            model_name="searchrow",
            name="model",
            field=models.ForeignKey(
                db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="counter.unitmodel"
            ),
        ),
        # SQLite makes both tables anew above, and their triggers went with the old ones
        FullTextIndex(*COLUMNS_APART),
    ]
