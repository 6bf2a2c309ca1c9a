"""`manage.py doctor`: look at everything now, and say what is wrong and what to do."""

from __future__ import annotations

import logging
from collections.abc import Callable

from django.core.management import CommandError, CommandParser
from django.db import DatabaseError

from shop.keeping import health, nightly, repairing
from shop.keeping.tasks.queries import Turn, failed_turns
from shop.management.command import ShopCommand

log = logging.getLogger(__name__)


class Command(ShopCommand):
    """Look at the shop's health and at all its books; with --fix do what is safe."""

    help = "Look at the whole shop and say what is wrong and what to do; --fix does what is safe."
    # it must work on the worst of days, when a page does not
    requires_system_checks: list[str] = []
    takes_old_book = True

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--fix",
            "--mend",
            action="store_true",
            help="do what is safe: guards, small copies of pictures, leftovers",
        )

    def handle(self, *args: object, fix: bool, **options: object) -> None:
        if fix:
            for step in (repairing.put_up_guards, repairing.copy_pictures, repairing.clear_away):
                self._done(step)
        signs = health.signs()
        for sign in signs:
            self.stdout.write(f"{sign.state:5} {sign.title}: {sign.sentence}")
        faults = nightly.findings()
        for fault in faults:
            self.stdout.write(f"{health.BAD:5} {fault}")
        undone = self._undone()
        for turn in undone:
            self.stdout.write(f"{health.BAD:5} Not done: {turn.name}. {turn.sentence}")
        if faults or undone or health.worst(signs) == health.BAD:
            raise CommandError("Something is wrong; what to do stands with it.")
        self.stdout.write("All books hold.")

    def _undone(self) -> list[Turn]:
        try:
            return failed_turns()
        except DatabaseError:
            # that the book can't be read stands above
            return []

    def _done(self, step: Callable[[], list[str]]) -> None:
        try:
            said = step()
        except Exception as error:  # whatever is damaged, the other steps are done and the report is written
            log.warning("The doctor broke off", exc_info=True)
            said = [nightly.broke_off(step.__name__.replace("_", " "), error)]
        for line in said:
            self.stdout.write(line)
