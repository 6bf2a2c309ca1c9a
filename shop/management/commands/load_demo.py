"""`manage.py load_demo`: write the demo shop's book into an empty shop."""

from __future__ import annotations

import secrets
import sys

from django.core.management import CommandError

from shop.frame.bar import Bar
from shop.frame.models import ShopProfile
from shop.frame.refusal import Refusal
from shop.management.command import ShopCommand
from shop.scenes import demo


class Command(ShopCommand):
    """Fill an empty book with the demo shop; its owner gets a random password that nobody knows."""

    help = "Write the demo shop's book into an empty shop (the `demo` command does this by itself)."

    def handle(self, *args: object, verbosity: int = 1, **options: object) -> None:
        if ShopProfile.objects.exists():
            raise CommandError("This shop is open already; the demo goes into an empty one.")
        told = self.stdout.write if verbosity > 1 else _quiet
        try:
            owner = demo.load(password=secrets.token_urlsafe(24), told=told, done=Bar(sys.stderr, "jobs"))
        except Refusal as refusal:
            raise CommandError(refusal.sentence) from refusal
        self.stdout.write(f"The demo shop of {owner.get_full_name()} is written.")


def _quiet(_line: str) -> None:
    """Say nothing of single jobs."""
