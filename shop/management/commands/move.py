"""`manage.py move --to postgres://…`: the shop's book carried into another database, and back with `--to sqlite:PATH`."""

from __future__ import annotations

from typing import Any

from django.core.management import CommandError, CommandParser

from shop.frame.refusal import Refusal
from shop.management.command import ShopCommand
from shop.opening.moved import NOTE
from shop.opening.moving import move


class Command(ShopCommand):
    """Carry the book over, compare it row by row, and say how the shop is told to use it."""

    help = "Move the shop's book into another database; the old one stays as it is."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--to",
            required=True,
            help="postgres://USER@HOST/DATABASE (an empty one) or sqlite:PATH (not there yet)",
        )

    def handle(self, *args: object, to: str, **options: Any) -> None:
        try:
            moved = move(to, say=self._say)
        except Refusal as refusal:
            raise CommandError(refusal.sentence) from refusal
        rows = sum(moved.counts.values())
        self.stdout.write(
            f"{rows:,} rows of {len(moved.counts)} tables are in the new book, each table equal by its hash."
        )
        self.stdout.write(
            f"{moved.told} (the old book stays as it is; pictures and papers stay in the shop’s folder)."
        )
        self.stdout.write(
            f"A note in the shop’s folder, {NOTE}, keeps the old book from being opened by mistake."
        )

    def _say(self, table: str, at: int, of: int) -> None:
        self.stderr.write(f"{at} of {of}: {table}")
