"""The note that a moved book leaves in the shop's folder, so that the old one is not opened again without anybody noticing.

Without it a start that forgets DATABASE_URL would open the old book, and from then on two would be written. The note names every
book that the shop left, and where its book is now. Whoever has another one open is not held up by it. A PostgreSQL database is
known by host, port and name: one that is left and then called by another name of its host is not known again.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import unquote, urlsplit

from django.conf import settings
from django.core.management import CommandError
from django.db import connection

from shop.keeping.settled import settle

if TYPE_CHECKING:
    # the web server reads this module before any model can be loaded
    from shop.keeping.night import Night

NOTE = "BOOK-MOVED.txt"
_OLD, _NEW = "Old book: ", "Shop's book now: "
TEXT = """The shop's book was moved. Pictures and papers are still in this folder.

{lines}

The program refuses to open an old book while this file is here. To go back to an old book as it was then, delete this file:
what was written in the new one since is not in it. To bring the book of today back into a file, start from the new one and say

    python3 manage.py move --to sqlite:PATH
"""


def this_book() -> str:
    """The book that this process has open, without user and password: what a note is held against."""
    told = connection.settings_dict
    if connection.vendor == "sqlite":
        return file_book(Path(str(told["NAME"])))
    return f"postgres://{told['HOST'] or 'localhost'}:{told['PORT'] or 5432}/{told['NAME']}"


def file_book(path: Path) -> str:
    """What a book in a file is known by."""
    return f"sqlite:{path.resolve()}"


def server_book(address: str) -> str:
    """What a book on a PostgreSQL server is known by: neither user nor password, nor any option."""
    parts = urlsplit(address)
    return f"postgres://{parts.hostname or 'localhost'}:{parts.port or 5432}{unquote(parts.path)}"


def leave_note(now_at: str) -> None:
    """Write that the book which is open here is an old one, and that the shop's is at `now_at` from here on."""
    path = _path()
    draft = path.with_name(f".{NOTE}.{os.getpid()}")
    old = dict.fromkeys([*_read(_OLD), this_book()])
    lines = [f"{_OLD}{json.dumps(book, ensure_ascii=False)}" for book in old if book != now_at]
    lines.append(f"{_NEW}{json.dumps(now_at, ensure_ascii=False)}")
    draft.write_text(TEXT.format(lines="\n".join(lines)), encoding="utf-8")
    draft.chmod(0o600)
    settle(draft)
    draft.replace(path)
    settle(path)


def where_it_went() -> str:
    """Where the book went that is open here; empty when it is the shop's own."""
    return next(_read(_NEW), "another place") if this_book() in _read(_OLD) else ""


def must_not_have_moved() -> None:
    """Refuse the old book, with where the shop's own is now and how to go back."""
    if went := where_it_went():
        raise CommandError(_sentence(went))


def check_moved(night: Night) -> None:
    """Look whether the book that is open is the one that the shop writes in."""
    if went := where_it_went():
        night.faults.append(_sentence(went))


def _sentence(went: str) -> str:
    return (
        f"This is the old book: the shop’s was moved to {went}. Set DATABASE_URL to that one; or go back, to the book of today "
        f"by “manage.py move --to sqlite:PATH” there, to this one as it was then by deleting {_path()}."
    )


def _read(word: str) -> Iterator[str]:
    """What the note says behind a word, line by line; nothing where there is none."""
    try:
        lines = _path().read_text(encoding="utf-8").splitlines()
    except FileNotFoundError:
        return
    for line in lines:
        if line.startswith(word):
            # a line that somebody wrote in by hand names no book
            with contextlib.suppress(ValueError):
                yield str(json.loads(line.removeprefix(word)))


def _path() -> Path:
    return Path(settings.SHOP_DATA) / NOTE
