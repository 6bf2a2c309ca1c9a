from __future__ import annotations

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

import shop.premises.columns
from shop.premises.triggers import AppendOnly


class Migration(migrations.Migration):
    dependencies = [
        ("counter", "0003_guards"),
        ("premises", "0003_nightly_report"),
        ("stockroom", "0003_price_rule"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="ledgerentry",
            name="second_hand_thousandths",
            field=models.BigIntegerField(
                default=0, help_text="How many of these are not new, with the same sign."
            ),
        ),
        migrations.AddField(
            model_name="matcheddevice",
            name="celsius",
            field=shop.premises.columns.ExactDecimalField(blank=True, max_length=60, null=True),
        ),
        migrations.AddField(
            model_name="matcheddevice",
            name="gone_at",
            field=models.DateTimeField(blank=True, help_text="Used on a job, or thrown away.", null=True),
        ),
        migrations.AddField(
            model_name="order",
            name="paper",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="premises.issuedpaper",
            ),
        ),
        migrations.AddField(
            model_name="part",
            name="rated_amperes",
            field=models.FloatField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="part",
            name="rated_volts",
            field=models.FloatField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="part",
            name="rated_watts",
            field=models.FloatField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="part",
            name="tolerance_percent",
            field=models.FloatField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="partwanted",
            name="fitted_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="stocklevel",
            name="second_hand_thousandths",
            field=models.BigIntegerField(default=0),
        ),
        migrations.AlterField(
            model_name="partwanted",
            name="came_at",
            field=models.DateTimeField(
                blank=True, help_text="From here on it is kept for the job.", null=True
            ),
        ),
        migrations.AddIndex(
            model_name="partwanted",
            index=models.Index(fields=["part", "came_at"], name="stockroom_wanted_of_part"),
        ),
        migrations.AddConstraint(
            model_name="stocklevel",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("second_hand_thousandths__gte", 0),
                    ("second_hand_thousandths__lte", models.F("quantity_thousandths")),
                ),
                name="stockroom_second_hand_within_stock",
            ),
        ),
        # SQLite made the table anew and lost the guard
        AppendOnly("stockroom_ledgerentry"),
    ]
