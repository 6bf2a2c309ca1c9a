"""What the keeping itself has done by the worker: letters that are due, the night's check, the night's backup."""

from __future__ import annotations

import datetime as dt
import os
import shutil

from django.conf import settings
from django.db import connection
from django.urls import reverse

from shop.frame import clock
from shop.frame.refusal import Refusal
from shop.frame.spelling import file_size
from shop.keeping import backup, health, mail, nightly, outbox, shelf
from shop.keeping.queries import last_night, waiting_messages
from shop.keeping.tasks.kinds import Kind, Result, Work, hang_up
from shop.keeping.tasks.timing import Timed, by_the_clock

LETTERS, NIGHT, BACKUP = "letters.send", "night.check", "night.backup"
AT_NIGHT, THEN = dt.time(3, 10), dt.time(3, 40)


def hang_up_all() -> None:
    """Hang up the kinds, and what the clock asks for."""
    hang_up(Kind(LETTERS, "Send letters", send_letters, of="letters", quick=True, told=False))
    hang_up(Kind(NIGHT, "Check the shop’s books", check_books))
    hang_up(Kind(BACKUP, "Back the shop up", back_up))
    by_the_clock(Timed(LETTERS, wanted=letters_are_due))
    by_the_clock(Timed(NIGHT, daily=AT_NIGHT, wanted=night_is_due))
    by_the_clock(Timed(BACKUP, daily=THEN, wanted=backup_is_due))


# --- letters ------------------------------------------------------------------------------------------------


def letters_are_due() -> bool:
    """Whether a letter could be sent now."""
    now = clock.now()
    return mail.is_set_up() and any(outbox.next_try(message) <= now for message in waiting_messages()[:500])


def send_letters(_work: Work) -> Result:
    """Send what is due. Each letter is claimed before it goes, so that a second worker sends none twice."""
    done = outbox.send_waiting()
    failed = f" {done.failed} could not be sent; the outbox says why." if done.failed else ""
    return Result(f"Sent {done.sent}.{failed}", reverse("premises:outbox"), "Outbox")


# --- the night ----------------------------------------------------------------------------------------------


def night_is_due() -> bool:
    """Whether nobody else, such as a timer of the machine's, has checked the books for most of a day."""
    report = last_night()
    return report is None or clock.now() - report.at > dt.timedelta(hours=18)


def check_books(_work: Work) -> Result:
    """Check the book, the journal and the papers, and clear away what nobody needs."""
    report = nightly.watch_over()
    if report.faults:
        raise Refusal(report.faults[0])
    return Result(f"Nothing amiss: {report.entries:,} journal entries.", reverse("premises:health"), "Health")


def backup_is_due() -> bool:
    """Whether there is something to lose, no backup of today's, and room for one. A demo has nothing to lose."""
    if settings.DEMO or (connection.vendor == "postgresql" and shutil.which("pg_dump") is None):
        return False
    found = shelf.last_backup()
    if found is None:
        return shutil.disk_usage(settings.SHOP_DATA).free > health.LITTLE_ROOM
    room = shutil.disk_usage(found.path.parent).free > health.LEAST_ROOM + 3 * found.size
    return room and clock.now() - found.made_at > dt.timedelta(hours=18)


def back_up(_work: Work) -> Result:
    """Write the whole shop into one file, and drop the oldest of those that the night wrote."""
    folder = shelf.backup_folder() / shelf.NIGHTLY
    made = backup.make_backup(into=folder, keys=os.environ.get("SHOP_BACKUP_KEY", "").split())
    shelf.drop_by_rule(folder)
    return Result(f"{made.path.name}, {file_size(made.size)}.", reverse("premises:health"), "Health")
