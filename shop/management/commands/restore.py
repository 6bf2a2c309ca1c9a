"""`manage.py restore`: a backup becomes a shop again, in a new folder."""

from __future__ import annotations

from pathlib import Path

from django.core.management import CommandError, CommandParser

from shop.bootstrap.places import CannotGoOn, shop_folder
from shop.frame import clock
from shop.frame.refusal import Refusal
from shop.keeping.backup import BOOK, restore
from shop.management.command import ShopCommand


class Command(ShopCommand):
    """Unpack a backup into a new folder and check every file of it."""

    help = "Bring a backup back into a new, empty folder; never over a shop that is there."
    needs_book = False
    # it must work on the worst of days, when a page does not
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("backup", type=Path)
        parser.add_argument(
            "--into",
            type=Path,
            required=True,
            metavar="DIR",
            help="a new folder, the shop's data from now on",
        )
        parser.add_argument(
            "--identity", type=Path, metavar="FILE", help="the age key of an encrypted backup"
        )
        parser.add_argument(
            "--unproven", action="store_true", help="take an encrypted backup that does not say who made it"
        )

    def handle(
        self,
        *args: object,
        backup: Path,
        into: Path,
        identity: Path | None,
        unproven: bool,
        **options: object,
    ) -> None:
        try:
            shop_folder(str(into))
        except CannotGoOn as sentence:
            raise CommandError(str(sentence)) from sentence
        try:
            manifest = restore(backup, into, identity=identity, unproven=unproven)
        except Refusal as refusal:
            raise CommandError(refusal.sentence) from refusal
        self.stdout.write(
            f"{len(manifest.files)} files of {clock.local(manifest.made_at):%Y-%m-%d %H:%M} are back in {into}."
        )
        if manifest.book == BOOK:
            self.stdout.write(f"Open it with: SHOP_DATA={into} python3 manage.py open")
        else:
            self.stdout.write(
                f"Bring the book back with: pg_restore --clean --if-exists --dbname=... {into / manifest.book}"
            )
