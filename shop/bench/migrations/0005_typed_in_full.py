"""Room for every reading of a test as it was typed: twelve of a hot check did not fit."""

from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("bench", "0004_earlier_work_and_reservoir")]

    operations = [
        migrations.AlterField(
            model_name="safetytest",
            name="typed",
            field=models.CharField(blank=True, max_length=400),
        ),
    ]
