"""`python3 manage.py open`: the real shop. The first run prints the address of the page that opens it."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, CommandParser

from shop import serving
from shop.opening.code import code
from shop.opening.queries import is_open


class Command(BaseCommand):
    """Serve the real shop."""

    help = "Serve the real shop (its data lies in .shop/, or where SHOP_DATA says)."

    def add_arguments(self, parser: CommandParser) -> None:
        serving.add_arguments(parser, port=8000)

    def handle(self, *args: Any, port: int, lan: bool, **options: Any) -> None:
        if settings.DEMO:
            raise CommandError(
                "SHOP_DEMO is set: that is the demo's folder. Unset it, or start the demo instead."
            )
        stand = serving.Stand(port=port, lan=lan)
        serving.require_free(stand)
        serving.prepare()
        if is_open():
            self.stdout.write(f"\nThe shop is open. Stop it with Ctrl-C.\n\n{serving.directions(stand)}\n")
        else:
            path = f"opening/{code()}/"
            self.stdout.write(
                "\nThis shop has no book yet. Open this page once, to write its name, its owner and its next numbers:\n\n"
                f"{serving.directions(stand, path)}\n"
            )
        self.stdout.write("")
        serving.serve(stand)
