"""What the pages of every day cost with a short history and with a long one, by turns, in one process.

    python -m tests.benchmarks.daily [--jobs 1000 100000] [--clock wall|cpu] [--rounds 5] [--out FILE]

The demo shop is written into a throw-away folder, or into the empty database that DATABASE_URL names; what it has finished is
then written over and over (`tests/history.py`) until there are so many jobs, and every page and piece of `demo_pages` is
asked for as its owner. What is open stays the same. Printed: milliseconds at the median and the 95th percentile for each size,
and the growth of the median from the first size to the last. Exits 1 when a page that isn't about the whole history grew by more
than 1.3 times and two milliseconds.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from django.test import Client

    from shop.measuring.clocks import Times
    from tests.history import History

GROWTH, A_LITTLE_MS = 1.3, 2.0


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure, print, and say whether every page stayed what it was."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--jobs", type=int, nargs="+", default=[1_000, 100_000])
    parser.add_argument("--clock", choices=["wall", "cpu"], default="wall")
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--out", type=Path)
    asked = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory(prefix="mendwright-daily-") as folder:
        os.environ["SHOP_DATA"] = folder
        os.environ["DJANGO_SETTINGS_MODULE"] = "shop.settings"
        sizes = measure(asked.jobs, asked.clock, asked.rounds)
    return tell(sizes, asked.clock, asked.out)


def measure(sizes: Sequence[int], clock: str, rounds: int) -> dict[int, dict[str, Times]]:
    """Milliseconds of every page at each size of the book."""
    import django  # noqa: PLC0415

    from shop.opening.folder import make_shop  # noqa: PLC0415

    make_shop()
    django.setup()
    from django.core.management import call_command  # noqa: PLC0415
    from django.test import Client  # noqa: PLC0415
    from django.test.utils import override_settings  # noqa: PLC0415

    from shop.frame.models import Staff  # noqa: PLC0415
    from shop.front_door import serving  # noqa: PLC0415
    from tests.history import History  # noqa: PLC0415
    from tests.house.demo_pages import lay_out  # noqa: PLC0415
    from tests.house.test_every_day import addresses  # noqa: PLC0415

    serving.migrate()
    serving.lay_out_static()
    call_command("load_demo", verbosity=0)
    shop = lay_out(Staff.objects.get(username="ottoline"))
    pages = addresses(shop)
    history, found = History(), {}
    with override_settings(ALLOWED_HOSTS=["testserver"]):
        owner = Client()
        owner.force_login(shop.owner)
        for size in sizes:
            jobs = _grow(history, size)
            sys.stderr.write(f"{jobs:,} jobs, {len(pages)} pages\n")
            found[jobs] = {name: _timed(owner, address, clock, rounds) for name, address in pages.items()}
    return found


def _grow(history: History, size: int) -> int:
    from shop.counter.models import Job  # noqa: PLC0415

    finished = len(history.ids[Job])
    while (jobs := Job.objects.count()) < size:
        history.write(max(1, min(200, (size - jobs) // finished)))
        sys.stderr.write(f"{jobs:,} of {size:,} jobs\n")
    return jobs


def _timed(owner: Client, address: str, clock: str, rounds: int) -> Times:
    from shop.measuring.clocks import timed  # noqa: PLC0415

    def ask(path: str) -> None:
        answer = owner.get(path)
        list(answer)
        answer.close()

    return timed(ask, [address], clock=clock, rounds=rounds)


def tell(sizes: dict[int, dict[str, Times]], clock: str, out: Path | None) -> int:
    """Print a line for each page; return 1 when one of them grew."""
    from tests.house.test_every_day import WHOLE_HISTORY  # noqa: PLC0415

    first, last = min(sizes), max(sizes)
    grown = []
    print(f"{'page':40}" + "".join(f"{jobs:>20,}" for jobs in sizes) + "   growth")  # noqa: T201
    for name in sorted(sizes[last], key=lambda one: -sizes[last][one].p95):
        before, after = sizes[first][name].median, sizes[last][name].median
        cells = "".join(f"{sizes[jobs][name].median:>12.1f}{sizes[jobs][name].p95:>8.1f}" for jobs in sizes)
        about_all = name in WHOLE_HISTORY
        print(f"{name:40}{cells}   {after / before:5.2f}{'  (whole history)' if about_all else ''}")  # noqa: T201
        if after > before * GROWTH + A_LITTLE_MS and not about_all:
            grown.append(name)
    print(f"{clock} milliseconds, median and 95th percentile. Grown: {', '.join(grown) or 'none'}")  # noqa: T201
    if out is not None:
        plain = {jobs: {name: one.plain() for name, one in pages.items()} for jobs, pages in sizes.items()}
        out.write_text(json.dumps(plain, indent=1) + "\n", encoding="utf-8")
    return 1 if grown else 0


if __name__ == "__main__":
    sys.exit(main())
