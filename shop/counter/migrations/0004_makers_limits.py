"""More of what a maker may print: a limit that itself fails, no 500 V test, how well devices must match."""

from __future__ import annotations

from django.db import migrations, models

import shop.premises.columns


class Migration(migrations.Migration):
    dependencies = [("counter", "0003_guards")]

    operations = [
        migrations.AddField(
            model_name="safetylimits",
            name="hot_limit_fails",
            field=models.BooleanField(
                default=False, help_text="A reading at the limit fails: “0.35 volt or more is excessive”."
            ),
        ),
        migrations.AddField(
            model_name="safetylimits",
            name="tests_by",
            field=models.CharField(
                blank=True,
                choices=[
                    ("", "As usual at its line voltage"),
                    ("leakage", "Cold and hot leakage checks (1500 Ω ∥ 0.15 µF)"),
                    ("network", "Cold check and touch current (IEC 60990 network)"),
                    ("en_50678", "After-repair test (EN 50678)"),
                ],
                default="",
                help_text="How its manual tests it.",
                max_length=12,
            ),
        ),
        migrations.AddField(
            model_name="safetylimits",
            name="surge_protectors",
            field=models.BooleanField(
                default=False,
                help_text="Inside, so that 250 V DC is the right voltage for the insulation test.",
            ),
        ),
        migrations.AddField(
            model_name="safetylimits",
            name="insulation_by_current",
            field=models.BooleanField(
                default=False,
                help_text="The maker warns against the 500 V test; the current tests stand in for it.",
            ),
        ),
        migrations.AddField(
            model_name="safetylimits",
            name="hfe_percent",
            field=shop.premises.columns.ExactDecimalField(
                blank=True,
                help_text="How far apart matched devices may lie.",
                max_length=60,
                null=True,
            ),
        ),
        migrations.AddField(
            model_name="safetylimits",
            name="vbe_volts",
            field=shop.premises.columns.ExactDecimalField(blank=True, max_length=60, null=True),
        ),
    ]
