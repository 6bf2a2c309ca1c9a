"""`manage.py restore_drill`: can the newest backup be brought back? Tried in a folder of its own that is gone afterwards."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from django.conf import settings
from django.core.management import CommandError, CommandParser

from shop.frame.refusal import Refusal
from shop.keeping.contents import BOOK
from shop.keeping.restoring import restore
from shop.keeping.shelf import last_backup
from shop.management.command import ShopCommand


class Command(ShopCommand):
    """Restore a backup, bring it up to this program's tables, and walk its journal and papers."""

    help = "Try whether the newest backup (or the one named) can be brought back, without touching the shop."
    needs_book = False
    # it must work on the worst of days, when a page does not
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("backup", type=Path, nargs="?")
        parser.add_argument(
            "--identity", type=Path, metavar="FILE", help="the age key of an encrypted backup"
        )
        parser.add_argument(
            "--unproven", action="store_true", help="take an encrypted backup that does not say who made it"
        )

    def handle(
        self, *args: object, backup: Path | None, identity: Path | None, unproven: bool, **options: object
    ) -> None:
        newest = last_backup()
        chosen = backup or (newest.path if newest else None)
        if chosen is None:
            raise CommandError("There is no backup yet: run “manage.py backup” first.")
        with tempfile.TemporaryDirectory(prefix="mendwright-drill-") as folder:
            shop = Path(folder) / "shop"
            try:
                manifest = restore(chosen, shop, identity=identity, unproven=unproven)
            except Refusal as refusal:
                raise CommandError(f"{chosen.name}: {refusal.sentence}") from refusal
            if manifest.book == BOOK:
                self._look_into(shop)
        self.stdout.write(
            f"{chosen.name} can be brought back: {len(manifest.files)} files, "
            f"{manifest.entries:,} journal entries, made {manifest.made_at:%Y-%m-%d %H:%M} UTC."
        )
        if manifest.book != BOOK:
            self.stdout.write("The book itself was not opened: that takes a PostgreSQL server (pg_restore).")

    def _look_into(self, shop: Path) -> None:
        """Open the restored shop as a program of its own would: its tables brought up to date, then a night's check."""
        variables = {
            name: value
            for name, value in os.environ.items()
            if not name.startswith(("SHOP_", "DATABASE_URL", "PYTEST_"))
        }
        variables |= {
            "SHOP_DATA": str(shop),
            "DJANGO_SETTINGS_MODULE": "shop.settings",
            "PYTHONPATH": str(settings.BASE_DIR),
        }
        for command in (["migrate", "--no-input", "--skip-checks", "--verbosity=0"], ["nightly"]):
            done = subprocess.run(  # noqa: S603
                [sys.executable, "-m", "django", *command],
                capture_output=True,
                text=True,
                check=False,
                env=variables,
            )
            if done.returncode != 0:
                raise CommandError(
                    f"The restored shop is not sound: {(done.stderr or done.stdout).strip()[-600:]}"
                )
