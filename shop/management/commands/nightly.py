"""`manage.py nightly`: the shop looks after its own books. Have cron or a timer run it once a night."""

from __future__ import annotations

from pathlib import Path

from django.core.management import CommandError, CommandParser

from shop.frame.refusal import Refusal
from shop.keeping.nightly import watch_over
from shop.keeping.witness import backup_witness, paper_witness
from shop.management.command import ShopCommand


class Command(ShopCommand):
    """Check the book, the journal and the papers; end retention; clear away what nobody needs."""

    help = "Check the shop's data and clear away what is no longer needed. Run it once a night."
    # it must work on the worst of days, when a page does not
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--backup",
            type=Path,
            metavar="FILE",
            help="hold the journal against this backup, too: one that lay in another house",
        )
        parser.add_argument("--identity", type=Path, metavar="FILE", help="the age key of that backup")

        parser.add_argument(
            "--paper",
            default="",
            metavar="ENTRY:DIGEST",
            help="hold the journal against the foot of a statement that left the house, too",
        )

    def handle(
        self, *args: object, backup: Path | None, identity: Path | None, paper: str, **options: object
    ) -> None:
        try:
            witnesses = [backup_witness(backup, identity)] if backup else []
            witnesses += [paper_witness(paper)] if paper else []
        except Refusal as refusal:
            raise CommandError(refusal.sentence) from refusal
        report = watch_over(witnesses=witnesses)
        for note in report.notes:
            self.stdout.write(note)
        if report.faults:
            raise CommandError("\n".join(report.faults))
        self.stdout.write(
            f"Nothing amiss: {report.entries:,} journal entries up to {report.digest[:16]}, {report.milliseconds / 1000:.1f} s."
        )
