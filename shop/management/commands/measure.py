"""`python3 manage.py measure search --jobs N`: how fast the search is on this machine, as JSON, in an empty shop of its own."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, CommandParser
from django.db import connection

from shop import serving
from shop.counter.models import Job
from shop.measuring import search
from shop.measuring.bare import Bare
from shop.measuring.clocks import CLOCKS
from shop.measuring.corpus import write_corpus


class Command(BaseCommand):
    """Build a seeded book, measure, print JSON. Nothing of it touches the shop."""

    help = "Measure the search on a seeded book of many jobs, beside bare queries of the same rows."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("what", choices=["search"], help="what to measure")
        parser.add_argument("--jobs", type=int, default=10_000, help="jobs in the book (10,000)")
        parser.add_argument(
            "--others", action="store_true", help="also time grep, ripgrep and pandas over the notes"
        )
        parser.add_argument(
            "--clock",
            choices=list(CLOCKS),
            default="wall",
            help="what a person waits (wall), or what the process used (cpu): for a machine that others work on too",
        )
        parser.add_argument("--out", type=Path, help="also write the JSON to this file")

    def handle(
        self, *args: Any, jobs: int, others: bool, clock: str, out: Path | None, **options: Any
    ) -> None:
        serving.migrate()
        serving.lay_out_static()
        if Job.objects.exists():
            raise CommandError(
                "Measuring writes a book of its own: it needs an empty shop (SHOP_DATA=an empty folder)."
            )
        if jobs < 100:
            raise CommandError("Measure at least a hundred jobs.")
        report = search.Report(jobs, clock)
        corpus = write_corpus(jobs, say=self._say)
        search.build_index(report, say=self._say)
        bare = self._bare()
        search.measure(corpus, bare, report, say=self._say)
        if others:
            search.other_ways(report, Path(settings.SHOP_DATA), say=self._say)
        text = json.dumps(report.plain(), indent=2)
        self.stdout.write(text)
        if out is not None:
            out.write_text(text + "\n", encoding="utf-8")

    def _bare(self) -> Bare | None:
        if connection.vendor != "sqlite":
            return None
        self._say("building the bare tables")
        return Bare.build(Path(settings.SHOP_DATA) / "bare.sqlite3")

    def _say(self, words: str) -> None:
        self.stderr.write(words)
