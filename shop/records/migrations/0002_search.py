from __future__ import annotations

import django.db.models.deletion
from django.db import migrations, models

from shop.records.searching.index_tables import COLUMNS_APART, FullTextIndex


class Migration(migrations.Migration):
    dependencies = [
        ("counter", "0003_guards"),
        ("records", "0001_initial"),
    ]

    operations = [
        migrations.DeleteModel("SearchRow"),
        migrations.CreateModel(
            name="SearchRow",
            fields=[
                ("id", models.BigIntegerField(primary_key=True, serialize=False)),
                ("kind", models.CharField(max_length=16)),
                ("mode", models.CharField(blank=True, max_length=12)),
                ("outcome", models.CharField(blank=True, max_length=14)),
                (
                    "job",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="+", to="counter.job"
                    ),
                ),
                (
                    "model",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="counter.unitmodel"
                    ),
                ),
            ],
            options={"indexes": [models.Index(fields=["model", "-id"], name="records_row_of_model")]},
        ),
        migrations.CreateModel(
            name="SearchWords",
            fields=[
                (
                    "row",
                    models.OneToOneField(
                        db_column="id",
                        on_delete=django.db.models.deletion.CASCADE,
                        primary_key=True,
                        related_name="words",
                        serialize=False,
                        to="records.searchrow",
                    ),
                ),
                ("tokens", models.TextField()),
                ("complaint", models.TextField(blank=True)),
                ("findings", models.TextField(blank=True)),
                ("conclusion", models.TextField(blank=True)),
                ("parts", models.TextField(blank=True)),
                (
                    "marks",
                    models.TextField(
                        blank=True, help_text="Serial, evidence markings, date stamps, job number."
                    ),
                ),
            ],
            options={"verbose_name_plural": "search words"},
        ),
        migrations.CreateModel(
            name="Term",
            fields=[
                ("word", models.CharField(max_length=44, primary_key=True, serialize=False)),
                ("documents", models.PositiveIntegerField()),
                ("written", models.CharField(max_length=44)),
            ],
            options={"indexes": [models.Index(fields=["word", "documents"], name="records_term_counted")]},
        ),
        migrations.CreateModel(
            name="SearchState",
            fields=[
                ("id", models.PositiveSmallIntegerField(default=1, primary_key=True, serialize=False)),
                ("documents", models.PositiveBigIntegerField(default=0)),
                ("words", models.PositiveBigIntegerField(default=0)),
                (
                    "version",
                    models.PositiveSmallIntegerField(
                        default=0, help_text="Of the folding that made the rows."
                    ),
                ),
                (
                    "built_to",
                    models.BigIntegerField(
                        blank=True,
                        help_text="Last job of a rebuilding that is not done; empty when whole.",
                        null=True,
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("id", 1)), name="records_one_search_state")
                ]
            },
        ),
        migrations.CreateModel(
            name="KnownSerial",
            fields=[
                (
                    "unit",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        primary_key=True,
                        related_name="+",
                        serialize=False,
                        to="counter.unit",
                    ),
                ),
                ("serial", models.CharField(max_length=80)),
            ],
        ),
        FullTextIndex(*COLUMNS_APART),
    ]
