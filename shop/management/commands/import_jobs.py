"""`python3 manage.py import_jobs FILE`: a list of old jobs, CSV or XLSX, matched by its headings; or others' records apart."""

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
from shop.records.forms import likely_categories
from shop.records.library import taking_in
from shop.records.models import Batch


class Command(ShopCommand):
    """Bring a list in from end to end, or say in one sentence why not; every row is accounted for."""

    help = "Import a list of old jobs (CSV or XLSX); imported again it makes nothing twice."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument(
            "--as",
            dest="kept_as",
            choices=("jobs", "community"),
            default="jobs",
            help="community: others’ records, asked beside the shop’s own; no jobs, in no figure",
        )
        parser.add_argument(
            "--category",
            action="append",
            default=[],
            metavar="NAME",
            help="of others’ records, keep this product category; may be said again (else audio, radio, TV, instruments)",
        )
        parser.add_argument("--attribution", default="", help="who published them, and under which license")

    def handle(
        self,
        *args: object,
        file: Path,
        kept_as: str,
        category: list[str],
        attribution: str,
        **options: object,
    ) -> None:
        if Batch._meta.db_table not in connection.introspection.table_names() or not is_open():
            raise CommandError("There is no book here yet. Open the shop first, with `manage.py open`.")
        try:
            if kept_as == "community":
                self._read_library(file, category, attribution)
                return
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

    def _read_library(self, file: Path, categories: list[str], attribution: str) -> None:
        with file.open("rb") as opened:
            library = taking_in.start_library(name=file.name, file=opened, by=None, attribution=attribution)
        try:
            library = taking_in.choose_categories(
                library=library,
                categories=categories or likely_categories(library),
                by=None,
                begin=False,
            )
        except Refusal:
            taking_in.throw_away(library=library, by=None)
            raise
        library = taking_in.read_all(library=library, say=Bar(sys.stderr, "rows"))
        self.stdout.write(
            f"{library.kept:,} of {library.rows:,} records of {library.provider} can be asked; "
            "they stand beside the shop’s own and are in no figure."
        )
