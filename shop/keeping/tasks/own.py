"""What the keeping itself has done by the worker: letters, the night's check, the night's backup, each month a restore drill."""

from __future__ import annotations

import datetime as dt
import hashlib
import os
import shutil
from io import StringIO
from pathlib import Path

from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import connection
from django.urls import reverse

from shop.frame import clock
from shop.frame.refusal import Refusal
from shop.frame.spelling import file_size
from shop.keeping import backup, health, mail, nightly, outbox, shelf
from shop.keeping.queries import last_night, waiting_messages
from shop.keeping.settled import settle
from shop.keeping.tasks.kinds import Kind, Result, Work, hang_up
from shop.keeping.tasks.timing import Timed, by_the_clock

LETTERS, NIGHT, BACKUP, DRILL = "letters.send", "night.check", "night.backup", "night.drill"
AT_NIGHT, THEN, AT_LAST = dt.time(3, 10), dt.time(3, 40), dt.time(4, 10)
A_MONTH = 28


def hang_up_all() -> None:
    """Hang up the kinds, and what the clock asks for."""
    hang_up(Kind(LETTERS, "Send letters", send_letters, of="letters", quick=True, told=False))
    hang_up(Kind(NIGHT, "Nightly data check", check_books))
    hang_up(Kind(BACKUP, "Back the shop up", back_up))
    hang_up(Kind(DRILL, "Try to restore the newest backup", drill, tries=2))
    by_the_clock(Timed(LETTERS, wanted=letters_are_due))
    by_the_clock(Timed(NIGHT, daily=AT_NIGHT, wanted=night_is_due))
    by_the_clock(Timed(BACKUP, daily=THEN, wanted=backup_is_due))
    by_the_clock(Timed(DRILL, daily=AT_LAST, wanted=drill_is_due, every_days=A_MONTH))


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
    for place in shelf.second_places():
        _copy_to(place / shelf.NIGHTLY, made.path)
    return Result(f"{made.path.name}, {file_size(made.size)}.", reverse("premises:health"), "Health")


def _copy_to(folder: Path, made: Path) -> None:
    """Copy a backup to a second disk, and keep there by the same rule. Refuses where that disk is not there."""
    if not folder.parent.is_dir():
        raise Refusal(
            f"The backup was made, but not copied: there is no folder “{folder.parent}”. Connect its disk, or take it out of "
            "SHOP_BACKUPS."
        )
    folder.mkdir(mode=0o700, exist_ok=True)
    draft = folder / f".{made.name}"
    shutil.copyfile(made, draft)
    draft.chmod(0o600)
    settle(draft)
    draft.replace(folder / made.name)
    settle(folder / made.name)
    shelf.drop_by_rule(folder)


# --- each month ---------------------------------------------------------------------------------------------


def drill_is_due() -> bool:
    """Whether there is a backup to try."""
    return shelf.last_backup() is not None


def drill(_work: Work) -> Result:
    """Bring the newest backup back in a folder of its own and check it there; of an encrypted one compare the bytes."""
    newest = shelf.last_backup()
    if newest is None:
        raise Refusal("There is no backup to try: run “manage.py backup”.")
    if newest.is_encrypted:
        return Result(_compared(newest), reverse("premises:health"), "Health")
    said = StringIO()
    try:
        call_command("restore_drill", newest.path, stdout=said)
    except CommandError as error:
        raise Refusal(str(error)) from error
    return Result(said.getvalue().strip()[:400], reverse("premises:health"), "Health")


def _compared(newest: shelf.Kept) -> str:
    with newest.path.open("rb") as file:
        sha256 = hashlib.file_digest(file, "sha256").hexdigest()
    if newest.sha256 and sha256 != newest.sha256:
        raise Refusal(
            f"{newest.path.name} is not what was written: run “manage.py backup” now, and look at its disk."
        )
    return (
        f"{newest.path.name} is byte for byte what was written. Only its key can open it: once in a while run "
        "“manage.py restore_drill --identity FILE”."
    )
