"""`python3 manage.py open`: the real shop. The first run prints the address of the page that opens it."""

from __future__ import annotations

import os
from pathlib import Path

from django.conf import settings
from django.core.management import BaseCommand, CommandError, CommandParser

from shop.bootstrap.machine import own_names
from shop.front_door import serving
from shop.management.command import said_in_a_sentence
from shop.opening.certificates import Certificates, NoCertificates, ready
from shop.opening.code import code
from shop.opening.queries import is_open
from shop.opening.trust import TrustDesk


class Command(BaseCommand):
    """Serve the real shop."""

    help = "Serve the real shop (its data lies in .shop/, or where SHOP_DATA says)."

    def add_arguments(self, parser: CommandParser) -> None:
        serving.add_arguments(parser, port=8000)
        parser.add_argument(
            "--https",
            action="store_true",
            help="speak https with a certificate of the shop's own, so that tablets open bench pages without network",
        )

    def execute(self, *args: object, **options: object) -> str | None:
        """Do it, or say in a sentence what the machine does not let it do."""
        with said_in_a_sentence():
            return super().execute(*args, **options)

    def handle(self, *args: object, port: int, lan: bool, https: bool, **options: object) -> None:
        if settings.DEMO:
            raise CommandError(
                "SHOP_DEMO is set: that is the demo's folder. Unset it, or start the demo instead."
            )
        stand = serving.Stand(port=port, lan=lan or https, https=https)
        serving.require_free(stand)
        certificates = self.certificates(stand) if https else None
        if not (Path(settings.SHOP_DATA) / "shop.sqlite3").exists() and "DATABASE_URL" not in os.environ:
            self.stdout.write("Making the shop's book; this happens once and takes a minute at most ...")
            self.stdout.flush()
        serving.prepare()
        if is_open():
            self.stdout.write(
                f"\nThe shop is open. Stop it with Ctrl-C.\n\n{serving.directions(stand)}\n{serving.caution(stand)}"
            )
        else:
            path = f"opening/{code()}/"
            self.stdout.write(
                "\nThis shop has no book yet. Open this page once, to write its name, its owner and its next numbers:\n\n"
                f"{serving.directions(stand, path)}\n{serving.caution(stand)}"
            )
        if certificates is not None:
            self.open_trust_desk(stand, certificates)
        self.stdout.write("")
        serving.serve(stand, certificates)

    def certificates(self, stand: serving.Stand) -> Certificates:
        """The shop's own authority and certificate, which the worker renews."""
        if os.name == "nt":
            raise CommandError(
                "On Windows the shop's own server does not speak https: put a proxy in front, as README tells."
            )
        if not settings.HTTPS:
            raise CommandError("Start it as: python3 manage.py open --https")
        serving.require_free(serving.Stand(port=stand.port + 1, lan=True))
        folder = Path(settings.SHOP_DATA) / "https"
        try:
            return ready(folder, own_names())
        except NoCertificates as error:
            raise CommandError(str(error)) from error

    def open_trust_desk(self, stand: serving.Stand, certificates: Certificates) -> None:
        """Say where a tablet gets the authority, and hand it out there."""
        desk = serving.Stand(port=stand.port + 1, lan=True)
        serving.serve_beside(TrustDesk.of(certificates, stand.nearby or stand.here), desk)
        self.stdout.write(
            f"\nOnce on each tablet, let it trust this shop: open this page first.\n\n{serving.directions(desk)}\n\n"
            f"  Fingerprint of the certificate (SHA-256):\n  {certificates.fingerprint()}\n"
        )
