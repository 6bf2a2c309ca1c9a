"""`manage.py nightly`: the shop looks after its own books. Have cron or a timer run it once a night."""

from __future__ import annotations

from typing import Any

from django.core.management import CommandError

from shop.keeping.nightly import watch_over
from shop.management.command import ShopCommand


class Command(ShopCommand):
    """Check the book, the journal and the papers; end retention; clear away what nobody needs."""

    help = "Check the shop's books and clear away what is no longer needed. Run it once a night."
    # it must work on the worst of days, when a page does not
    requires_system_checks: list[str] = []

    def handle(self, *args: Any, **options: Any) -> None:
        report = watch_over()
        for note in report.notes:
            self.stdout.write(note)
        if report.faults:
            raise CommandError("\n".join(report.faults))
        self.stdout.write(
            f"Nothing amiss: {report.entries:,} journal entries, {report.milliseconds / 1000:.1f} s."
        )
