"""`python3 manage.py build_search`: the search of the history, built anew or from where it stopped."""

from __future__ import annotations

import gc
import sys

from django.core.management import CommandParser

from shop.counter.models import Job
from shop.frame.bar import Bar
from shop.management.command import ShopCommand
from shop.records.models import SearchState
from shop.records.searching import upkeep
from shop.records.searching.rows import VERSION


class Command(ShopCommand):
    """Go on with a building that was broken off, or begin anew when the rows are old or it is asked for."""

    help = "Build the search of the history, with progress; broken off, it goes on where it stopped."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--anew", action="store_true", help="begin from the first job whatever is there")

    def handle(self, *args: object, anew: bool, **options: object) -> None:
        state = SearchState.objects.filter(pk=1).first()
        goes_on = state is not None and state.built_to is not None and state.version == VERSION and not anew
        if not goes_on:
            if not anew and not upkeep.is_stale():
                self.stdout.write("The search is whole; --anew builds it all the same.")
                return
            upkeep.begin_building()
        gc.freeze()  # what stands already is not looked through again with each of the rows to come
        total, done = Job.objects.count(), SearchState.objects.get(pk=1).documents
        shown = Bar(sys.stderr, "jobs")
        for some in upkeep.build_on():
            done += some
            shown(min(done, total), total)
        self.stdout.write(f"The search holds {SearchState.objects.get(pk=1).documents:,} jobs.")
