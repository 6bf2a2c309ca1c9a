"""`manage.py month_end reminders --by jo`: the papers of a month's end, drawn by two printers side by side."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.core.management import CommandError, CommandParser

from shop.frame import clock
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.management.command import ShopCommand
from shop.office import rounds
from shop.press.printers import AT_ONCE, Printers


class Command(ShopCommand):
    """Issue the drafts, make the reminders that are due, or the statements of whoever has something open."""

    help = "Make the papers of a month's end: issue drafts, write reminders, make statements."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("round", choices=list(rounds.ROUNDS), help="which papers")
        parser.add_argument("--by", required=True, help="who makes them out: the name they sign in with")
        parser.add_argument("--from", dest="starts", type=dt.date.fromisoformat, help="statements: first day")
        parser.add_argument("--until", dest="ends", type=dt.date.fromisoformat, help="statements: last day")
        parser.add_argument("--printers", type=int, default=AT_ONCE, help=f"how many at once ({AT_ONCE})")

    def handle(self, *args: object, round: str, by: str, printers: int, **options: Any) -> None:  # noqa: A002
        staff = Staff.objects.filter(username=by, is_active=True).first()
        if staff is None:
            raise CommandError(f"Nobody signs in as “{by}”.")
        first, last = rounds.last_month(clock.today())
        period = (options["starts"] or first, options["ends"] or last)
        try:
            with Printers(max(1, printers)) as running:
                made, left = self._go(rounds.ROUNDS[round], staff, period, running)
        except Refusal as refusal:
            raise CommandError(refusal.sentence) from refusal
        self.stdout.write(f"{made} made, {left} left alone.")
        if left:
            raise CommandError("Some were left alone; the lines above say why.")

    def _go(
        self, going: rounds.Round, staff: Staff, period: rounds.Period, printers: Printers
    ) -> tuple[int, int]:
        keys = going.keys()
        made = left = 0
        for turn in rounds.go_round(going, keys, by=staff, printers=printers, period=period):
            made += len(turn.made.papers)
            left += len(turn.made.refused)
            for row, sentence in turn.made.refused:
                self.stderr.write(f"{row.customer}: {sentence}")  # type: ignore[attr-defined]
            self.stdout.write(f"{made + left} of {len(keys)}")
        return made, left
