"""`python3 manage.py work`: does the tasks on the table. `open` and `demo` start it beside the server."""

from __future__ import annotations

import signal
import sys

from django.core.management import CommandParser

from shop.keeping.tasks.working import Worker, close_with, do_claimed, end_with
from shop.management.command import ShopCommand
from shop.opening.alone import work_in_book


class Command(ShopCommand):
    """Do tasks until it is stopped; on PostgreSQL as many of these may run as there are machines."""

    help = (
        "Do the long work that people and the clock ask for: build the search, bring lists in, send letters."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--once", action="store_true", help="do what is due, then end")
        parser.add_argument(
            "--beside",
            action="store_true",
            help="end when the program does that started this one (it holds stdin)",
        )
        parser.add_argument(
            "--task", type=int, help="do this one, which --holder claimed (the worker asks so)"
        )
        parser.add_argument("--holder", default="", help="who claimed it")

    def handle(
        self, *args: object, once: bool, beside: bool, task: int | None, holder: str, **options: object
    ) -> None:
        if task is not None:
            # Ctrl-C reaches every process of a terminal: the worker hears it, and ends this one
            signal.signal(signal.SIGINT, signal.SIG_IGN)
            end_with(sys.stdin.fileno())
            do_claimed(task, holder)
            return
        work_in_book()
        worker = Worker()
        for ending in (signal.SIGINT, signal.SIGTERM):
            signal.signal(ending, lambda *_: worker.closing.set())
        if beside:
            close_with(sys.stdin.fileno(), worker.closing)
        worker.run(until_idle=once)
