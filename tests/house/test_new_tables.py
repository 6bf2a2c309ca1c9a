"""A new table is made with its indexes and constraints in one step, whatever order Django would add them in."""

from __future__ import annotations

from django.db import migrations, models

from shop.management.commands.makemigrations import folded

INDEX = models.Index(fields=["at"], name="by_time")
KEY = models.UniqueConstraint(fields=["at"], name="one_at_a_time")


def table(name: str) -> migrations.CreateModel:
    return migrations.CreateModel(
        name, [("id", models.AutoField(primary_key=True)), ("at", models.TimeField())]
    )


def test_what_is_added_to_a_new_table_stands_in_its_making() -> None:
    (made,) = folded(
        [table("Bell"), migrations.AddIndex("bell", INDEX), migrations.AddConstraint("bell", KEY)]
    )
    assert isinstance(made, migrations.CreateModel)
    assert made.options == {"indexes": [INDEX], "constraints": [KEY]}


def test_a_table_that_grows_later_or_was_there_is_left_as_it_is() -> None:
    grown = [
        table("Bell"),
        migrations.AddField("bell", "rung", models.IntegerField(default=0)),
        migrations.AddConstraint("bell", KEY),
        migrations.AddIndex("elsewhere", INDEX),
    ]
    assert folded(grown) == grown
