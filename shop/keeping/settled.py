"""Where files are kept: each is on the disk itself, and its name too, before the act commits the row that speaks of it.

The database syncs its own file when it commits; a photograph that was still in the system's memory then would be gone after a
power cut, and its row would point nowhere.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from django.core.files.storage import FileSystemStorage

if TYPE_CHECKING:
    from django.core.files import File


class SettledStorage(FileSystemStorage):
    """Files in the shop's folder, synced as they are saved."""

    def save(self, name: str | None, content: File[bytes], max_length: int | None = None) -> str:  # type: ignore[override]
        """Save a file, and come back when it is on the disk; the name that it got."""
        root, folder = Path(self.location), Path(self.path(name or content.name or "")).parent
        new = [each for each in (folder, *folder.parents) if each.is_relative_to(root) and not each.exists()]
        saved = str(super().save(name, content, max_length=max_length))
        settle(Path(self.path(saved)))
        # a folder that was made just now is a name in the one above it
        for each in new:
            settle_folder(each.parent)
        return saved


def settle(path: Path) -> None:
    """Have a file on the disk itself before anything is written that speaks of it: first the file, then its name in the folder.

    After a power cut it is whole and there (POSIX fsync; that a new name needs a sync of its folder: fsync(2) of Linux).
    """
    with path.open("rb+") as file:
        os.fsync(file.fileno())
    settle_folder(path.parent)


def settle_folder(folder: Path) -> None:
    """Have the names in a folder on the disk itself; Windows keeps them by itself."""
    if os.name == "nt":
        return
    opened = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)
