from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("records", "0002_search")]

    operations = [
        migrations.AddField(
            model_name="searchrow",
            name="facets",
            field=models.CharField(default="", help_text="Model, kind, failure mode, outcome and year, with dots.", max_length=80),
            preserve_default=False,
        ),
        migrations.RemoveField(model_name="searchrow", name="kind"),
        migrations.RemoveField(model_name="searchrow", name="mode"),
        migrations.RemoveField(model_name="searchrow", name="outcome"),
    ]
