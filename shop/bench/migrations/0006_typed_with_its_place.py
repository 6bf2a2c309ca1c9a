"""Room for what was typed of a test with the part and position of each reading: the record on paper says both."""

from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("bench", "0005_typed_in_full")]

    operations = [
        migrations.AlterField(
            model_name="safetytest",
            name="typed",
            field=models.CharField(blank=True, max_length=2400),
        ),
    ]
