"""`manage.py backup`: the whole shop in one file."""

from __future__ import annotations

import os
from pathlib import Path

from django.core.management import CommandError, CommandParser

from shop.frame.refusal import Refusal
from shop.frame.spelling import file_size
from shop.keeping.backup import make_backup
from shop.keeping.shelf import drop_old
from shop.management.command import ShopCommand


class Command(ShopCommand):
    """Write a backup; the shop may be open meanwhile."""

    help = "Write the whole shop into one file: the book, the papers, the pictures. The shop may be open meanwhile."
    # it must work on the worst of days, when a page does not
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--into",
            type=Path,
            metavar="DIR",
            help="folder for the file (else SHOP_BACKUPS, else the shop's own)",
        )
        parser.add_argument(
            "--key",
            action="append",
            default=[],
            metavar="AGE1...",
            help="encrypt to this age public key; may be given more than once (else SHOP_BACKUP_KEY, else not encrypted)",
        )
        parser.add_argument(
            "--keep",
            type=int,
            default=0,
            metavar="N",
            help="delete all but the newest N backups of the folder",
        )

    def handle(self, *args: object, into: Path | None, key: list[str], keep: int, **options: object) -> None:
        keys = key or os.environ.get("SHOP_BACKUP_KEY", "").split()
        try:
            made = make_backup(into=into, keys=keys)
        except Refusal as refusal:
            raise CommandError(refusal.sentence) from refusal
        self.stdout.write(f"{made.path} ({file_size(made.size)}, {made.files} files)")
        if keep > 0 and (gone := drop_old(keep=keep, into=into)):
            self.stdout.write(f"{gone} older deleted.")
        if not keys:
            self.stdout.write("It is not encrypted: keep it where you would keep the shop's book.")
