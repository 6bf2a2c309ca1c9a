"""What the doctor may do without asking: nothing that a person wrote is changed, and nothing of theirs is deleted."""

from __future__ import annotations

import datetime as dt
import hashlib
import shutil
from pathlib import Path

from django.conf import settings
from django.core.files.base import ContentFile
from django.db import connection, transaction

from shop.frame import clock, guard_check, guards
from shop.frame.journal import acting
from shop.frame.once import keyless
from shop.keeping.darkroom import Undevelopable
from shop.keeping.models import Picture
from shop.keeping.night import Night
from shop.keeping.nightly import clear_orphans, lacks_a_copy

LEFTOVERS = ("nightly-*", ".update-*", "backups/.part-*", "backups/nightly/.part-*")
"""Folders of work that was broken off."""
A_DAY = dt.timedelta(days=1)


def put_up_guards() -> list[str]:
    """Put up the guards that are gone or were changed; a sentence for what was done."""
    if not (gone := guard_check.missing(connection)):
        return []
    with transaction.atomic():
        guards.put_up(connection)
    return [f"Put up the guard of {table} again: find out who had access." for table in gone]


def copy_pictures() -> list[str]:
    """Make the smaller copies that are gone or empty from the picture itself, where that is what was stored."""
    pictures = Picture.objects.order_by("pk").iterator(chunk_size=500)
    return [_copied(picture) for picture in pictures if lacks_a_copy(picture)]


@keyless("clock")
def _copied(picture: Picture) -> str:
    from shop.keeping.apart import develop  # noqa: PLC0415  Pillow, only where it is needed

    try:
        with picture.file.open("rb") as file:
            data = file.read()
        developed = develop(data) if hashlib.sha256(data).hexdigest() == picture.sha256 else None
    except (OSError, Undevelopable):
        developed = None
    if developed is None:
        return (
            f"Picture {picture.pk} itself is damaged, so no copy can be made of it: restore it from a backup."
        )
    stem = picture.sha256[:24]
    with acting(by=None) as act:
        if developed.medium is not None:
            picture.medium.save(f"{stem}-medium.jpg", ContentFile(developed.medium), save=False)
        picture.thumbnail.save(f"{stem}-thumbnail.jpg", ContentFile(developed.thumbnail), save=False)
        picture.save(update_fields=["medium", "thumbnail"])
        act.record("picture.copied", subject=picture)
    return f"Made the small copies of picture {picture.pk} again."


def clear_away() -> list[str]:
    """Delete files without rows and folders of work that was broken off, once they are a day old."""
    night = Night(clock.now())
    clear_orphans(night)
    folder = Path(settings.SHOP_DATA)
    for path in [one for pattern in LEFTOVERS for one in folder.glob(pattern)]:
        if night.at - dt.datetime.fromtimestamp(path.stat().st_mtime, tz=dt.UTC) > A_DAY:
            shutil.rmtree(path, ignore_errors=True)
            night.notes.append(f"Cleared away {path.name}, left by work that was broken off.")
    return night.notes
