"""Is the shop itself in order? Each part answers with a sentence; what is wrong says what mends it."""

from __future__ import annotations

import datetime as dt
import platform
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from django import VERSION as DJANGO
from django.conf import settings
from django.db import DatabaseError, connection

from shop.frame import clock
from shop.frame.journal import ChainFault, verify_end
from shop.frame.models import JournalHead
from shop.frame.spelling import ago, file_size
from shop.keeping import mail
from shop.keeping.models import Message
from shop.keeping.queries import last_night, waiting_messages
from shop.keeping.shelf import last_backup
from shop.keeping.tasks import queries as tasks

GOOD, NEAR, BAD = "good", "near", "bad"
LEAST_ROOM = 1_000_000_000
LITTLE_ROOM = 5_000_000_000


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
    looks: list[Look] = [_book, _chain, _night, backup_sign, *_looks_above, _letters, _tasks, _room, _program]
    found: list[Sign] = []
    for look in looks:
        try:
            found.append(look())
        except DatabaseError as error:
            return [*found, Sign("The book", BAD, f"The database does not answer: {error}")]
    return found


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
    if report is None:
        return Sign(
            "The nightly check",
            NEAR,
            "It has not run yet: “manage.py work” does it at night, or now “manage.py nightly”.",
        )
    if report.faults:
        more = f" (and {len(report.faults) - 1} more)" if len(report.faults) > 1 else ""
        return Sign("The nightly check", BAD, f"{ago(report.at).capitalize()}: {report.faults[0]}{more}")
    state = NEAR if clock.now() - report.at > dt.timedelta(days=2) else GOOD
    return Sign("The nightly check", state, f"Nothing amiss, {ago(report.at)}.")


def backup_sign() -> Sign:
    """Whether a backup was made lately."""
    found = last_backup()
    if found is None:
        return Sign(
            "The backup", BAD, "There is none: run “manage.py backup”, and keep a copy in another house."
        )
    age = clock.now() - found.made_at
    state = GOOD if age < dt.timedelta(days=2) else NEAR if age < dt.timedelta(days=8) else BAD
    return Sign(
        "The backup", state, f"{found.path.name}, {file_size(found.size)}, made {ago(found.made_at)}."
    )


def _letters() -> Sign:
    waiting = list(waiting_messages()[:1000])
    failing = [message for message in waiting if message.last_error]
    if failing:
        return Sign("Letters", BAD, f"{_letters_of(len(failing))} could not be sent: {failing[0].last_error}")
    if waiting and not mail.is_set_up():
        verb = "waits" if len(waiting) == 1 else "wait"
        said = f"{_letters_of(len(waiting))} {verb}: no mail server is named."
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
    return Sign("Room on the disk", state, f"{file_size(free)} are free.")
