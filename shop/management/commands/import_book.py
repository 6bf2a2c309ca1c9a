"""`python3 manage.py import_book FILE.zip`: an exported book, into an empty shop."""

from __future__ import annotations

from pathlib import Path

from django.core.management import CommandError, CommandParser

from shop.frame.refusal import Refusal
from shop.front_door import serving
from shop.management.command import ShopCommand
from shop.records.taking_out.bringing_back import bring_back


class Command(ShopCommand):
    """Bring a whole book back, files and all, or say in one sentence why not."""

    help = "Import an exported book into an empty shop."
    needs_book = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument(
            "--moving", action="store_true", help="the file is one that “manage.py move” made"
        )

    def handle(self, *args: object, file: Path, moving: bool, **options: object) -> None:
        serving.migrate()
        try:
            counts = bring_back(file, moving=moving, say=self._say)
        except FileNotFoundError as error:
            raise CommandError(f"There is no file {file}.") from error
        except Refusal as refusal:
            raise CommandError(refusal.sentence) from refusal
        self.stdout.write(f"{sum(counts.values()):,} rows are back, and the search is built.")
        if not moving:
            self.stdout.write(
                "The second step at sign-in is not in such a file: whoever had one sets it up again on the page of the account."
            )

    def _say(self, table: str, count: int) -> None:
        self.stderr.write(f"{table}: {count:,}")
