"""`python3 manage.py demo`: a whole invented shop to try everything on, apart from the real one."""

from __future__ import annotations

import secrets

from django.conf import settings
from django.core.management import BaseCommand, CommandError, CommandParser, call_command, get_commands

from shop.frame.models import Role, ShopProfile, Staff
from shop.front_door import serving
from shop.management.command import said_in_a_sentence
from shop.opening.queries import owners
from shop.premises.actions import add_staff, give_password

# Without letters and digits that look alike on a label or a tablet.
LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"


def new_password() -> str:
    """Return a random password, easy to type on a tablet: three groups of four, 59 bits."""
    return "-".join("".join(secrets.choice(LETTERS) for _ in range(4)) for _ in range(3))


class Command(BaseCommand):
    """Make the demo shop where there is none, give its owner a new password, and serve it."""

    help = "Serve the demo shop (made on first use in .demo/; the real shop is not touched)."

    def add_arguments(self, parser: CommandParser) -> None:
        serving.add_arguments(parser, port=8010)

    def execute(self, *args: object, **options: object) -> str | None:
        """Do it, or say in a sentence what the machine does not let it do."""
        with said_in_a_sentence():
            return super().execute(*args, **options)

    def handle(self, *args: object, port: int, lan: bool, **options: object) -> None:
        if not settings.DEMO:
            raise CommandError("The demo has a folder of its own; start it as: python3 manage.py demo")
        stand = serving.Stand(port=port, lan=lan)
        serving.require_free(stand)
        serving.prepare()
        self.load()
        owner, password = self.owner(), new_password()
        give_password(staff=owner, password=password, by=None)
        self.stdout.write(
            f"\nThe demo shop is open. Stop it with Ctrl-C.\n\n{serving.directions(stand)}\n{serving.caution(stand)}"
        )
        self.stdout.write(f"  Sign in as:       {owner.username}\n  Password:         {password}\n\n")
        serving.serve(stand)

    def load(self) -> None:
        """Fill an empty book with the demo shop."""
        if ShopProfile.objects.exists():
            return
        if "load_demo" not in get_commands():
            self.stdout.write("There is no demo shop to load yet; the book stays empty.")
            return
        self.stdout.write("Writing the demo shop's book: six years of jobs, once; this takes about a minute.")
        call_command("load_demo", stdout=self.stdout)

    def owner(self) -> Staff:
        """Return the demo shop's owner; an empty book gets one."""
        return owners().first() or add_staff(
            username="owner", last_name="Owner", password=new_password(), roles=[Role.OWNER], by=None
        )
