"""`python3 manage.py build_search`: the search of the history, built anew or from where it stopped."""

from __future__ import annotations

import gc
import sys
from collections.abc import Iterator

from django.core.management import CommandParser

from shop.counter.models import Job
from shop.frame.bar import Bar
from shop.management.command import ShopCommand
from shop.records.models import SearchState
from shop.records.searching import upkeep


class Command(ShopCommand):
    """Make old rows anew where they stand, go on with a building that was broken off, or begin from nothing."""

    help = "Build the search of the history, with progress; broken off, it goes on where it stopped."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--again",
            action="store_true",
            help="begin from nothing whatever is there, as after damage; until it is done less is found",
        )

    def handle(self, *args: object, again: bool, **options: object) -> None:
        if not again and not upkeep.is_stale():
            self.stdout.write("The search is whole; --again builds it all the same.")
            return
        if again:
            upkeep.begin_building()
        gc.freeze()  # what stands already is not looked through again with each of the rows to come
        total, shown = Job.objects.count(), Bar(sys.stderr, "jobs")
        for done in _renewed() if upkeep.answers() else upkeep.build_whole():
            shown(min(done, total), total)
        self.stdout.write(f"The search holds {SearchState.objects.get(pk=1).documents:,} jobs.")


def _renewed() -> Iterator[int]:
    """Make the rows anew that answer meanwhile; how many jobs are done."""
    after, done = upkeep.renew(after=0), 0
    while after is not None:
        done += upkeep.RENEWED_AT_ONCE
        yield done
        after = upkeep.renew(after=after)
