"""`manage.py restore`: a backup becomes a shop again, in a new folder."""

from __future__ import annotations

from pathlib import Path

from django.core.management import CommandError, CommandParser

from shop.bootstrap.places import CannotGoOn, shop_folder
from shop.frame.refusal import Refusal
from shop.keeping.contents import BOOK, Manifest
from shop.keeping.restoring import restore
from shop.keeping.shelf import backups
from shop.management.command import ShopCommand


class Command(ShopCommand):
    """Unpack a backup into a new folder and check every file of it."""

    help = "Bring a backup back into a new, empty folder; never over a shop that is there."
    needs_book = False
    # it must work on the worst of days, when a page does not
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "backup", type=Path, nargs="?", help="else the newest whole one that the shop knows"
        )
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
        backup: Path | None,
        into: Path,
        identity: Path | None,
        unproven: bool,
        **options: object,
    ) -> None:
        try:
            shop_folder(str(into))
        except CannotGoOn as sentence:
            raise CommandError(str(sentence)) from sentence
        manifest = self._brought_back(backup, into, identity, unproven=unproven)
        # not by the shop's clock: its book may be what is damaged
        self.stdout.write(
            f"{len(manifest.files)} files of {manifest.made_at:%Y-%m-%d %H:%M} UTC are back in {into}."
        )
        if manifest.book == BOOK:
            self.stdout.write(f"Open it with: SHOP_DATA={into} python3 manage.py open")
        else:
            self.stdout.write(
                f"Bring the book back with: pg_restore --clean --if-exists --dbname=... {into / manifest.book}"
            )

    def _brought_back(
        self, backup: Path | None, into: Path, identity: Path | None, *, unproven: bool
    ) -> Manifest:
        """What came back of the backup named, or of the newest of the shop's that is good."""
        chosen = [backup] if backup else [one.path for one in backups()]
        for path in chosen:
            try:
                return restore(path, into, identity=identity, unproven=unproven)
            except Refusal as refusal:
                if backup:
                    raise CommandError(refusal.sentence) from refusal
                self.stdout.write(f"{path}: {refusal.sentence}")
        raise CommandError("The shop knows of no good backup: name the file of one that lies elsewhere.")
