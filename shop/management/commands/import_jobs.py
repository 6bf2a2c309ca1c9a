"""`python3 manage.py import_jobs FILE`: a list of old jobs, CSV or XLSX, matched by its headings."""

from __future__ import annotations

import sys
from pathlib import Path

from django.core.management import CommandError, CommandParser
from django.db import connection

from shop.frame.bar import Bar
from shop.frame.profile import is_open
from shop.frame.refusal import Refusal
from shop.management.command import ShopCommand
from shop.records.bringing_in import batches, kept
from shop.records.models import Batch


class Command(ShopCommand):
    """Bring a list in from end to end, or say in one sentence why not; every row is accounted for."""

    help = "Import a list of old jobs (CSV or XLSX); imported again it makes nothing twice."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *args: object, file: Path, **options: object) -> None:
        if Batch._meta.db_table not in connection.introspection.table_names() or not is_open():
            raise CommandError("There is no book here yet. Open the shop first, with `manage.py open`.")
        try:
            with file.open("rb") as opened:
                batch = kept.start_batch(name=file.name, file=opened, by=None)
            batch = batches.match_columns(batch=batch, columns=batch.columns, by=None)
            batch = batches.bring_all_in(batch=batch, by=None, say=Bar(sys.stderr, "rows"))
        except OSError as error:
            raise CommandError(f"{file} can't be read: {error.strerror}.") from error
        except Refusal as refusal:
            raise CommandError(refusal.sentence) from refusal
        told = batch.outcomes
        made, again = told.filter(job__isnull=False, again=False).count(), told.filter(again=True).count()
        wrong = told.exclude(sentence="").count()
        self.stdout.write(
            f"{batch.rows:,} rows: {made:,} became jobs, {again:,} were here already, {wrong:,} not taken."
        )
