"""A year of nights by a moved clock, with tasks that fail by chance: what the shop does by itself, it does all year.

The days are those of 2025, before the machine's own clock, because the drill opens what it restored in processes of their own.
What the rule of backups must leave is taken from the calendar alone (weeks as in ISO 8601, by Python's `isocalendar`).
"""

from __future__ import annotations

import datetime as dt
import errno
import gc
import logging
import random
import resource
import shutil
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from functools import wraps
from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.core.mail.backends.locmem import EmailBackend
from django.core.management import call_command
from django.db import DatabaseError

from shop.frame.journal import verify
from shop.frame.models import ShopProfile
from shop.frame.profile import kept
from shop.keeping import backup, health, nightly, outbox, shelf
from shop.keeping.models import Message, NightlyReport, Task
from shop.keeping.outbox import write_message
from shop.keeping.tasks.timing import ask_what_is_due
from shop.management.commands import restore_drill
from shop.scenes.walkthrough import walk_through
from tests.working import do_all

pytestmark = [pytest.mark.soak, pytest.mark.django_db(transaction=True)]

NIGHTS = 365
FIRST = dt.date(2025, 1, 6)
LOOKS = ((3, 15), (3, 45), (4, 15), (5, 30), (9, 0), (15, 0), (21, 0))
"""When the worker looks, by the shop's clock; a real one looks every few seconds."""
OFF = 0.05
"""So many nights the machine is off until nine."""
FAILS, FAILS_AFTERWARDS = 0.15, 0.05
QUIET = 5
"""In the last days nothing fails, so that what waits can be done."""


class Chance:
    """What fails, and with what, by a seed."""

    def __init__(self, seed: int) -> None:
        self.random, self.failed, self.quiet = random.Random(seed), Counter[str](), False  # noqa: S311

    def may_fail(self, what: str, odds: float) -> None:
        if not self.quiet and self.random.random() < odds:
            self.failed[what] += 1
            raise self.random.choice(
                [
                    OSError(errno.ENOSPC, "No space left on device"),
                    DatabaseError("database is locked"),
                    RuntimeError("?"),
                    MemoryError(),
                ]
            )

    def shaky(self, function: Callable[..., Any], told: Callable[[Any], object] = id) -> Callable[..., Any]:
        """The function, which fails now and then, before it did anything or after it did all."""

        @wraps(function)
        def tried(*args: Any, **options: Any) -> Any:
            self.may_fail(f"{function.__name__} before", FAILS)
            result = function(*args, **options)
            told(result)
            self.may_fail(f"{function.__name__} after", FAILS_AFTERWARDS)
            return result

        return tried


def left_by_the_calendar(days_made: Iterable[tuple[dt.datetime, str]]) -> set[str]:
    """The last of each of the newest 7 days, 5 weeks and 12 months that have one."""
    stays = set()
    for most, span in ((7, "%Y-%m-%d"), (5, "%G week %V"), (12, "%Y-%m")):
        last = {moment.strftime(span): name for moment, name in sorted(days_made)}
        stays |= {last[one] for one in sorted(last)[-most:]}
    return stays


@pytest.fixture(autouse=True)
def _no_log() -> Iterator[None]:
    """What pytest keeps of every line would be growth of its own."""
    logging.disable(logging.CRITICAL)
    yield
    logging.disable(logging.NOTSET)


def resident() -> int:
    """Bytes of memory that this process has (proc(5), statm)."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * resource.getpagesize()


def test_in_a_year_of_nights_nothing_is_left_undone_done_twice_or_piled_up(  # noqa: C901
    settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    settings.SHOP_DATA, settings.MEDIA_ROOT = tmp_path, tmp_path / "kept"
    (tmp_path / "secret-key").write_text("x" * 60)
    monkeypatch.setenv("SHOP_BACKUPS", str(tmp_path / "backups"))
    monkeypatch.delenv("SHOP_BACKUP_KEY", raising=False)
    room = SimpleNamespace(total=10**12, used=0, free=10**12)
    monkeypatch.setattr(shutil, "disk_usage", lambda _path: room)
    chance = Chance(20250106)
    made: list[tuple[dt.datetime, str]] = []
    drills: list[dt.datetime] = []
    went: Counter[str] = Counter()
    wrong: list[str] = []
    folder = tmp_path / "backups" / shelf.NIGHTLY

    def note_backup(one: backup.Backup) -> None:
        made.append((dt.datetime.now(zone), one.path.name))

    def check_the_rule(_count: int) -> None:
        there = {path.name for path in folder.iterdir()}
        if there != (right := left_by_the_calendar(made)):
            wrong.append(f"{dt.datetime.now(zone)}: {sorted(there ^ right)}")

    def note_drill(_none: object) -> None:
        drills.append(dt.datetime.now(zone))

    def deliver(_server: EmailBackend, letters: list[Any]) -> int:
        chance.may_fail("the mail server", FAILS)
        went.update(letter.extra_headers["Message-ID"] for letter in letters)
        return len(letters)

    opened = []
    look_into = restore_drill.Command._look_into

    def look_into_some(command: restore_drill.Command, shop: Path) -> None:
        # opening what was restored takes seconds: every sixth is, of the others each file is compared
        if len(drills) % 6 == 0:
            look_into(command, shop)
            opened.append(shop)

    monkeypatch.setattr(restore_drill.Command, "_look_into", look_into_some)
    monkeypatch.setattr(nightly, "watch_over", chance.shaky(nightly.watch_over))
    monkeypatch.setattr(backup, "make_backup", chance.shaky(backup.make_backup, note_backup))
    monkeypatch.setattr(shelf, "drop_by_rule", chance.shaky(shelf.drop_by_rule, check_the_rule))
    monkeypatch.setattr("shop.keeping.tasks.own.call_command", chance.shaky(call_command, note_drill))
    monkeypatch.setattr(outbox, "send_waiting", chance.shaky(outbox.send_waiting))
    monkeypatch.setattr(EmailBackend, "send_messages", deliver)

    memory: dict[int, int] = {}
    with time_machine.travel(dt.datetime(2025, 1, 5, 20, tzinfo=dt.UTC), tick=False) as clock:
        walk_through()
        zone = ZoneInfo(ShopProfile.objects.get().time_zone)
        for night in range(NIGHTS):
            day = FIRST + night * dt.timedelta(days=1)
            chance.quiet = night >= NIGHTS - QUIET
            looks = LOOKS[4:] if chance.random.random() < OFF else LOOKS
            for hour, minute in looks:
                clock.move_to(dt.datetime.combine(day, dt.time(hour, minute), tzinfo=zone))
                if hour == 9:
                    write_message(to="isolde@customer.example", subject=f"{day}", body="Dear", by=None)
                with kept():
                    ask_what_is_due()
                do_all()
            if night in {30, NIGHTS - 1}:
                gc.collect()
                memory[night] = resident()
        signs = {sign.title: sign for sign in health.signs()}
        faults = nightly.findings()

    # backups by the rule, after each one; none more than two days after the one before
    assert wrong == []
    days = sorted({moment.date() for moment, _name in made})
    assert len(days) > NIGHTS * 0.9
    assert max((after - before).days for before, after in pairwise(days)) <= 2
    # a drill each month, however often it failed: 28 days after the last, and the days that were lost to failures
    between = [(after - before).days for before, after in pairwise(drills)]
    assert len(drills) >= 12
    assert max(between) <= 31
    assert len(opened) >= 2
    # every letter went, and each once
    assert Message.objects.filter(sent_at=None).count() == 0
    assert set(went.values()) == {1}
    assert len(went) == Message.objects.count() >= NIGHTS
    # every night left its report, and the shop is well
    assert NightlyReport.objects.count() > NIGHTS * 0.9
    assert [report.faults for report in NightlyReport.objects.all() if report.faults] == []
    assert verify() == faults == []
    assert {signs[title].state for title in ("The backup", "Files among the backups", "Letters")} == {"good"}
    assert Task.objects.count() < 91 * 10
    # and it had to do so against the odds
    assert sum(chance.failed.values()) > 200, chance.failed
    grown = memory[NIGHTS - 1] / memory[30] - 1
    with capsys.disabled():
        sys.stdout.write(
            f"\n{len(made)} backups, {len(drills)} drills, {len(went)} letters, {dict(chance.failed)}, memory {grown:+.1%}\n"
        )
    assert grown < 0.10, memory
