"""`python3 manage.py measure search|bench --jobs N`: how fast the search or the bench is, as JSON, in an empty shop."""

from __future__ import annotations

import json
from pathlib import Path

from django.conf import settings
from django.core.management import CommandError, CommandParser
from django.db import connection

from shop.counter.models import Job
from shop.frame.models import Staff
from shop.front_door import serving
from shop.management.command import ShopCommand
from shop.measuring import posts, search
from shop.measuring.bare import Bare
from shop.measuring.clocks import CLOCKS, machine
from shop.measuring.corpus import Corpus, write_corpus
from shop.measuring.desk import lay_the_desk


class Command(ShopCommand):
    """Build a seeded book, measure, print JSON. Nothing of it touches the shop."""

    help = "Measure the search, beside bare queries of the same rows, or the notes of the bench, on a seeded book of many jobs."
    needs_book = False
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("what", choices=["search", "bench"], help="what to measure")
        parser.add_argument("--jobs", type=int, default=10_000, help="jobs in the book (10,000)")
        parser.add_argument(
            "--others", action="store_true", help="also time grep, ripgrep and pandas over the notes"
        )
        parser.add_argument(
            "--clock",
            choices=list(CLOCKS),
            default="wall",
            help="search: what a person waits (wall), or what the process used (cpu), for a machine that others work on too",
        )
        parser.add_argument("--out", type=Path, help="also write the JSON to this file")

    def handle(
        self,
        *args: object,
        what: str,
        jobs: int,
        others: bool,
        clock: str,
        out: Path | None,
        **options: object,
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
        connection.close()  # the next one waits for the disk again
        plain = self._search(corpus, report, others=others) if what == "search" else self._bench(report)
        text = json.dumps(plain, indent=2)
        self.stdout.write(text)
        if out is not None:
            out.write_text(text + "\n", encoding="utf-8")

    def _search(self, corpus: Corpus, report: search.Report, *, others: bool) -> dict[str, object]:
        search.measure(corpus, self._bare(), report, say=self._say)
        if others:
            search.other_ways(report, Path(settings.SHOP_DATA), say=self._say)
        return report.plain()

    def _bench(self, report: search.Report) -> dict[str, object]:
        staff, _ = Staff.objects.get_or_create(username="measured", defaults={"is_superuser": True})
        self._say("laying jobs on the bench")
        desk = lay_the_desk(staff)
        return {"jobs": report.jobs, "machine": machine(), **posts.measure_posts(desk, say=self._say)}

    def _bare(self) -> Bare | None:
        if connection.vendor != "sqlite":
            return None
        self._say("building the bare tables")
        return Bare.build(Path(settings.SHOP_DATA) / "bare.sqlite3")

    def _say(self, words: str) -> None:
        self.stderr.write(words)
