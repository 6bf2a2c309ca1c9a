"""`python3 manage.py export_book FILE.zip`: the whole book in open formats."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management import CommandError, CommandParser

from shop.management.command import ShopCommand
from shop.records.taking_out.book import take_out


class Command(ShopCommand):
    """Write everything that the shop holds into one zip file: JSON Lines, pictures, papers, schema."""

    help = "Take everything out into one zip file of JSON Lines, pictures, papers and a schema."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument(
            "--with-passwords",
            action="store_true",
            help="keep the hashes of passwords, to sign in after bringing back",
        )

    def handle(self, *args: object, file: Path, with_passwords: bool, **options: Any) -> None:
        if file.exists():
            raise CommandError(f"{file} is there already.")
        manifest = take_out(file, by=None, with_passwords=with_passwords, say=self._say)
        rows, files = sum(manifest["tables"].values()), len(manifest["files"])
        self.stdout.write(f"{rows:,} rows and {files:,} files are in {file}.")

    def _say(self, table: str, at: int, of: int) -> None:
        self.stderr.write(f"{at} of {of}: {table}")
