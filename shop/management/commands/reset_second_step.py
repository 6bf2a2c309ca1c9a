"""`manage.py reset_second_step NAME`: the phone is lost and no other owner is there; the password alone opens again."""

from __future__ import annotations

from django.core.management import CommandError, CommandParser

from shop.frame.models import Staff
from shop.management.command import ShopCommand
from shop.premises.second_step.actions import reset


class Command(ShopCommand):
    """Remove the second step from an account. Whoever may run commands on this machine may do this; the journal says so."""

    help = "Take the second step at sign-in off an account, when its phone is lost and its spare codes too."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help="the name that the person signs in with")

    def handle(self, *args: object, name: str, **options: object) -> None:
        staff = Staff.objects.filter(username__iexact=name).first()
        if staff is None:
            raise CommandError(f"Nobody signs in as “{name}”.")
        if not reset(staff=staff, by=None):
            raise CommandError(f"{staff.username} signs in with the password alone already.")
        self.stdout.write(
            f"{staff.username} signs in with the password alone now. If the phone was stolen, give a new password too."
        )
