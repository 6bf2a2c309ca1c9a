"""Is the shop itself in order? Each part answers with a sentence; what is wrong says what mends it."""

from __future__ import annotations

import datetime as dt
import os
import platform
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from django import VERSION as DJANGO
from django.conf import settings
from django.db import DatabaseError, connection

from shop.frame import clock
from shop.frame.faults import READ_ONLY
from shop.frame.journal import ChainFault, verify_end
from shop.frame.models import JournalEntry, JournalHead
from shop.frame.spelling import ago, file_size
from shop.keeping import mail
from shop.keeping.contents import DECLARED
from shop.keeping.models import Message, Task
from shop.keeping.queries import last_night, unwritten, waiting_messages
from shop.keeping.shelf import backups, is_ahead, last_backup, unfit, way_back
from shop.keeping.tasks import queries as tasks

GOOD, NEAR, BAD = "good", "near", "bad"
LEAST_ROOM = 1_000_000_000
LITTLE_ROOM = 5_000_000_000
LEAST_MEMORY = 300_000_000
LONG_AGO = dt.timedelta(days=90)
FONTS = tuple(
    f"atkinson-hyperlegible-next-{cut}.woff2" for cut in ("latin-wght-normal", "paper-400", "paper-700")
)


@dataclass(frozen=True, slots=True)
class Sign:
    """One sign of health: what was looked at, how it stands (good, near or bad), and a sentence."""

    title: str
    state: str
    sentence: str


Look = Callable[[], Sign]

_looks_above: list[Look] = []


def watch(look: Look) -> None:
    """Have a room above look at something of its own, too; it calls this in its `apps.py`."""
    if look not in _looks_above:
        _looks_above.append(look)


def signs() -> list[Sign]:
    """Look at everything. No look costs more than a few milliseconds: the long checks are the night's."""
    looks: list[Look] = [_book, _chain, _clock, _night, backup_sign, _other_files, *_looks_above]
    looks += [_letters, _tasks, _folder, _room, _memory, _fonts, _program]
    return [_looked(look) for look in looks]


def _looked(look: Look) -> Sign:
    try:
        return look()
    except (DatabaseError, OSError) as error:
        name = look.__name__.strip("_").replace("_", " ").capitalize()
        words = " ".join(str(error).split())[:200]
        return Sign(name, BAD, f"It can’t be looked at: {words}. {way_back()}")


def worst(found: list[Sign]) -> str:
    """The worst state among the signs."""
    states = {sign.state for sign in found}
    return next((state for state in (BAD, NEAR) if state in states), GOOD)


def _book() -> Sign:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
        if cursor.fetchone() != (1,):
            return Sign("The book", BAD, "The database answers nonsense.")
    kind = {"sqlite": "SQLite", "postgresql": "PostgreSQL"}.get(connection.vendor, connection.vendor)
    size = ""
    if connection.vendor == "sqlite" and (path := Path(str(connection.settings_dict["NAME"]))).is_file():
        size = f", {file_size(path.stat().st_size)}"
    return Sign("The book", GOOD, f"The database answers ({kind}{size}).")


def _chain() -> Sign:
    faults: list[ChainFault] = verify_end()
    if faults:
        return Sign(
            "The journal", BAD, f"{faults[0].sentence} Keep the last backup safe and find out who had access."
        )
    head = JournalHead.objects.filter(pk=1).first()
    entries = head.sequence if head else 0
    return Sign("The journal", GOOD, f"{entries:,} entries; the end of the chain holds.")


def _night() -> Sign:
    report = last_night()
    if (kept := unwritten()).is_file():
        return Sign("The nightly check", BAD, kept.read_text(encoding="utf-8"))
    if report is None:
        waits = Task.objects.filter(kind="night.check", state__in=Task.OPEN).exists()
        return (
            Sign("The nightly check", GOOD, "It runs soon for the first time.")
            if waits
            else Sign(
                "The nightly check",
                NEAR,
                "It has not run yet: “manage.py work” does it at night, or now “manage.py nightly”.",
            )
        )
    if report.faults:
        more = f" (and {len(report.faults) - 1} more)" if len(report.faults) > 1 else ""
        return Sign("The nightly check", BAD, f"{ago(report.at).capitalize()}: {report.faults[0]}{more}")
    state = NEAR if clock.now() - report.at > dt.timedelta(days=2) else GOOD
    return Sign("The nightly check", state, f"Nothing amiss, {ago(report.at)}.")


def _clock() -> Sign:
    """The machine's clock against what stands in the book: each may only be later than the one before."""
    now = clock.now()
    head = JournalEntry.objects.order_by("-sequence").values_list("at", flat=True).first()
    if head is not None and head > now + dt.timedelta(hours=1):
        said = f"It shows {_told(now)}, but the book’s newest entry is of {_told(head)}."
        return Sign("The clock", BAD, f"{said} Set the computer’s clock before you write anything.")
    report = last_night()
    if report is not None and now - report.at > LONG_AGO:
        said = f"The shop was last looked after {ago(report.at)}."
        return Sign(
            "The clock", NEAR, f"{said} If it was open meanwhile, the computer’s clock is ahead: set it."
        )
    return Sign("The clock", GOOD, f"It shows {_told(now)}.")


def _told(moment: dt.datetime) -> str:
    return f"{clock.local(moment):%Y-%m-%d %H:%M}"


def _other_files() -> Sign:
    if told := unfit():
        more = f" ({len(told) - 1} more)" if len(told) > 1 else ""
        return Sign("Files among the backups", NEAR, f"{told[0]}{more}")
    ahead = [one for one in backups() if is_ahead(one, clock.now())]
    if ahead:
        said = f"{ahead[0].path.name} says that it was made on a day to come, so it does not count."
        return Sign("Files among the backups", NEAR, f"{said} Look at the clock, then delete it.")
    return Sign("Files among the backups", GOOD, "Each is whole by its own list.")


def _memory() -> Sign:
    """How much memory is free, where the system says it (Linux: proc(5), MemAvailable)."""
    try:
        lines = Path("/proc/meminfo").read_text(encoding="ascii").splitlines()
    except OSError:
        return Sign("Memory", GOOD, "This system does not say how much is free.")
    free = next((int(line.split()[1]) * 1024 for line in lines if line.startswith("MemAvailable")), 0)
    if free < LEAST_MEMORY:
        return Sign("Memory", NEAR, f"Only {file_size(free)} are free: close other programs.")
    return Sign("Memory", GOOD, f"{file_size(free)} are free.")


def _fonts() -> Sign:
    folder = settings.BASE_DIR / "static" / "fonts"
    if lost := [name for name in FONTS if not _has_content(folder / name)]:
        return Sign("Fonts", BAD, f"{lost[0]} is missing from the program: unpack the program again.")
    return Sign("Fonts", GOOD, "Those of papers and pages are there.")


def _has_content(path: Path) -> bool:
    return path.is_file() and path.stat().st_size > 0


def backup_sign() -> Sign:
    """Whether a backup was made lately."""
    if settings.DEMO:
        return Sign("The backup", GOOD, "A demo has nothing to lose, so it makes none.")
    found = last_backup()
    if found is None:
        return Sign(
            "The backup", BAD, "There is none: run “manage.py backup”, and keep a copy in another house."
        )
    age = clock.now() - found.made_at
    state = GOOD if age < dt.timedelta(days=2) else NEAR if age < dt.timedelta(days=8) else BAD
    said = f"{found.path.name}, {file_size(found.size)}, made {ago(found.made_at)}."
    if state != GOOD:
        said += " Run “manage.py backup”; while the shop is open, “manage.py work” makes one each night."
    return Sign("The backup", state, said)


def _letters() -> Sign:
    waiting = list(waiting_messages()[:1000])
    failing = [message for message in waiting if message.last_error]
    if failing:
        return Sign("Letters", BAD, f"{_letters_of(len(failing))} could not be sent: {failing[0].last_error}")
    if waiting and not mail.is_set_up():
        verb = "waits" if len(waiting) == 1 else "wait"
        said = (
            f"{_letters_of(len(waiting))} {verb}: no mail server is named. "
            "Name one, or print or copy each in the outbox."
        )
        return Sign("Letters", NEAR, said)
    if waiting and clock.now() - waiting[0].written_at > dt.timedelta(hours=1):
        return Sign(
            "Letters",
            NEAR,
            f"{_letters_of(len(waiting))} waiting: start “manage.py work” beside the server.",
        )
    if not Message.objects.exists() and not mail.is_set_up():
        return Sign("Letters", GOOD, "None is waiting. To send any, name a mail server.")
    return Sign("Letters", GOOD, f"{_letters_of(len(waiting))} waiting." if waiting else "None is waiting.")


def _tasks() -> Sign:
    if tasks.nobody_works():
        return Sign(
            "Tasks", BAD, "Some are due and nobody does them: start “manage.py work” beside the server."
        )
    return Sign("Tasks", GOOD, "None waits for somebody to do it.")


def _letters_of(count: int) -> str:
    return "One letter" if count == 1 else f"{count} letters"


def _program() -> Sign:
    django = ".".join(map(str, DJANGO[:3]))
    return Sign(
        "The program",
        GOOD,
        f"Mendwright {settings.VERSION}, on Python {platform.python_version()} and Django {django}.",
    )


def _room() -> Sign:
    free = shutil.disk_usage(settings.SHOP_DATA).free
    state = BAD if free < LEAST_ROOM else NEAR if free < LITTLE_ROOM else GOOD
    said = f"{file_size(free)} are free."
    if state != GOOD:
        said += " Make room: move old backups to another disk."
    return Sign("Room on the disk", state, said)


def _folder() -> Sign:
    """Whether the shop may write into its folder, and its secret lies there."""
    folder = Path(settings.SHOP_DATA)
    if not os.access(folder, os.W_OK | os.X_OK):
        return Sign("The shop’s folder", BAD, READ_ONLY.sentence)
    if not os.environ.get("SHOP_SECRET_KEY") and not _has_content(folder / DECLARED[0]):
        said = f"Its {DECLARED[0]} is gone: copy it back from a restored backup, or start without: everybody signs in again."
        return Sign("The shop’s folder", BAD, said)
    return Sign("The shop’s folder", GOOD, "It can be written, and the shop’s secret lies in it.")
