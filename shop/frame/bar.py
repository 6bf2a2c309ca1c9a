"""A bar for work that takes its time at the command line: how much is done, and of how much."""

from __future__ import annotations

from typing import TextIO

WIDTH = 30


class Bar:
    """Drawn over itself at a terminal; elsewhere a line for each tenth, so that a log stays short."""

    def __init__(self, out: TextIO, things: str) -> None:
        self.out, self.things = out, things
        self.tenth = -1

    def __call__(self, done: int, total: int) -> None:
        """Show `done` of `total` things; a total of none is shown as done."""
        share = done / total if total else 1.0
        said = f"{done:,} of {total:,} {self.things}"
        if self.out.isatty():
            full = int(share * WIDTH)
            end = "\n" if done >= total else ""
            self.out.write(f"\r[{'█' * full}{'·' * (WIDTH - full)}] {said}{end}")
        elif int(share * 10) > self.tenth:
            self.tenth = int(share * 10)
            self.out.write(f"{said}\n")
        self.out.flush()
