from __future__ import annotations

import django.db.models.deletion
from django.db import migrations, models

import shop.premises.columns
from shop.premises.triggers import NeverDeleted


class Migration(migrations.Migration):
    dependencies = [
        ("bench", "0003_guards"),
        ("counter", "0003_guards"),
    ]

    operations = [
        migrations.AddField(
            model_name="evidence",
            name="untouched",
            field=models.BooleanField(
                default=False,
                help_text="The part sits in its factory solder: it was there when the unit was built.",
            ),
        ),
        migrations.AlterField(
            model_name="evidence",
            name="kind",
            field=models.CharField(
                choices=[
                    ("date_code", "Date code on a part"),
                    ("device", "Device that may not be the original"),
                    ("date_stamp", "Repairer’s label or date"),
                    ("factory", "Factory stamp"),
                    ("mismatch", "Set that does not match"),
                    ("rework", "Rework: solder, flux, wires"),
                    ("other", "Something else"),
                ],
                max_length=10,
            ),
        ),
        migrations.CreateModel(
            name="Reservoir",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "volt",
                    shop.premises.columns.ExactDecimalField(
                        help_text="What it is charged to, in volt.", max_length=60
                    ),
                ),
                ("farad", shop.premises.columns.ExactDecimalField(help_text="In farad.", max_length=60)),
                (
                    "ohm",
                    shop.premises.columns.ExactDecimalField(help_text="The bleeder, in ohm.", max_length=60),
                ),
                ("where", models.CharField(blank=True, help_text="C801", max_length=60)),
                (
                    "model",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="+", to="counter.unitmodel"
                    ),
                ),
            ],
        ),
        NeverDeleted("bench_evidence"),
    ]
