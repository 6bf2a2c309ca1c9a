from __future__ import annotations

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

from shop.records.searching.index_tables import COLUMNS_APART, FullTextIndex, NoFullTextIndex

TABLES = ("records_searchwords", "records_searchtexts", "records_searchrow", "records_knownserial", "records_term")
BEGUN_ANEW = "UPDATE records_searchstate SET documents = 0, words = 0, version = 0, built_to = 0"


def empty(_apps: Any, schema_editor: Any) -> None:
    """PostgreSQL would look at the rows' foreign keys only at the end, and makes no table anew until then."""
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(f"TRUNCATE {', '.join(TABLES)}")
        return
    for table in TABLES:
        schema_editor.execute(f"DELETE FROM {table}")  # noqa: S608  (the names are constants of this module)


class Migration(migrations.Migration):
    """All that the search keeps is built anew afterwards, as it is whenever rows are of an older version."""

    dependencies = [("records", "0006_search_texts")]

    operations = [
        NoFullTextIndex(*COLUMNS_APART),
        migrations.RunPython(empty, empty),
        migrations.RunSQL(BEGUN_ANEW, BEGUN_ANEW),
        migrations.DeleteModel("SearchWords"),
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
                (
                    "words",
                    models.TextField(
                        help_text="Tokens and the words of serial and job number; then complaint, findings, conclusion, parts, marks."
                    ),
                ),
            ],
            options={"verbose_name_plural": "search words"},
        ),
        FullTextIndex(),
    ]
