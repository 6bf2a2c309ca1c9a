"""Which backups there are, known by what is in them: which is the newest good one, and which old ones may go.

A file's name says nothing. A backup ends with its own list of files; one that was cut, is empty, or is something else has none
there. What is encrypted can't be read without its key, so the shop writes down what it made: where, how large, with which hash.
One that says it was made tomorrow comes from a clock that was wrong: it is never the newest, and no rule counts or deletes it.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import json
import os
import tarfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from django.conf import settings

from shop.frame import clock
from shop.frame.refusal import Refusal
from shop.keeping.contents import MANIFEST, PROOF, Manifest
from shop.keeping.settled import settle

BACKUPS = "backups"
NIGHTLY = "nightly"
"""In the folder of backups: those that the worker writes, of which it drops the oldest. Nobody else's are ever dropped."""
WRITTEN_DOWN = "backups.json"
MOST_WRITTEN_DOWN = 200
AGE = b"age-encryption.org/v1\n"
"""How an encrypted backup begins (the age file format, version 1)."""
ENDS = (1 << 20, 1 << 25)
"""So many bytes from the end are looked through for the list of files: 5,000 jobs with pictures make one of 2 MB."""
BLOCK = tarfile.BLOCKSIZE
AHEAD = dt.timedelta(hours=26)
"""A clock may be set to another zone; past that it was wrong."""
DAYS, WEEKS, MONTHS = 7, 5, 12
ANOTHER = "Take another: “manage.py restore --into DIR” finds the newest good one by itself."


@dataclass(frozen=True, slots=True)
class Kept:
    """A backup that lies somewhere: when it was made, how large it is; what it says of itself where it can be read."""

    path: Path
    made_at: dt.datetime
    size: int
    manifest: Manifest | None
    sha256: str = ""

    @property
    def is_encrypted(self) -> bool:
        """Whether only its key opens it."""
        return self.manifest is None


def backup_folder() -> Path:
    """Where `manage.py backup` puts its files unless it is told otherwise (the first of SHOP_BACKUPS)."""
    return _named_folders()[0]


def second_places() -> list[Path]:
    """Where each backup of the night is copied to: the further folders of SHOP_BACKUPS, such as one on a second disk."""
    return _named_folders()[1:]


def _named_folders() -> list[Path]:
    named = [Path(each) for each in os.environ.get("SHOP_BACKUPS", "").split(os.pathsep) if each]
    return named or [Path(settings.SHOP_DATA) / BACKUPS]


# --- what lies there ----------------------------------------------------------------------------------------


def look_at(path: Path) -> Kept:
    """What a file is by its content; refuses, with the next step, what is no whole backup. Reads its ends alone."""
    size = path.stat().st_size
    if size == 0:
        raise Refusal(f"“{path.name}” is empty, so it is no backup. {ANOTHER}")
    with path.open("rb") as file:
        begins = file.read(len(AGE))
    if begins == AGE:
        return _encrypted(path, size)
    status = path.stat()
    sign = (status.st_size, status.st_mtime_ns, status.st_ctime_ns)
    if path not in _read_before or _read_before[path][0] != sign:
        manifest = _list_at_the_end(path, size)
        # the list itself may be long, and only what it says of the whole is asked
        _read_before[path] = (sign, replace(manifest, files={}) if manifest else None)
    manifest = _read_before[path][1]
    if manifest is None:
        raise Refusal(f"“{path.name}” is no backup of a shop, or was cut off before its end. {ANOTHER}")
    return Kept(path, manifest.made_at, size, manifest)


_read_before: dict[Path, tuple[tuple[int, int, int], Manifest | None]] = {}
"""What the ends of files said, until a file is another: the first screen asks each time."""


def is_encrypted(path: Path) -> bool:
    """Whether a file is encrypted, by its first bytes."""
    with path.open("rb") as file:
        return file.read(len(AGE)) == AGE


def _encrypted(path: Path, size: int) -> Kept:
    written = _written_down().get(str(path.resolve()))
    if written is None:
        return Kept(path, dt.datetime.fromtimestamp(path.stat().st_mtime, tz=dt.UTC), size, None)
    if written["size"] != size:
        raise Refusal(f"“{path.name}” is not as long as it was when it was made. {ANOTHER}")
    made_at = dt.datetime.fromisoformat(str(written["made_at"]))
    return Kept(path, made_at, size, None, str(written["sha256"]))


def _list_at_the_end(path: Path, size: int) -> Manifest | None:
    """The list of files where it stands last, with nothing but its proof behind; none in a file that was cut."""
    if size % BLOCK:
        return None
    for length in ENDS:
        with path.open("rb") as file:
            file.seek(max(0, size - length))
            end = file.read()
        if end[-2 * BLOCK :].strip(b"\0"):
            return None
        at = len(end)
        while (at := end.rfind(MANIFEST.encode() + b"\0", 0, at)) >= 0:
            if at % BLOCK == 0 and (found := _list_in(end, at)):
                return found
        if length >= size:
            return None
    return None


def _list_in(end: bytes, at: int) -> Manifest | None:
    try:
        info = tarfile.TarInfo.frombuf(end[at : at + BLOCK], "utf-8", "surrogateescape")
        begin = at + BLOCK
        behind = end[begin + -(-info.size // BLOCK) * BLOCK :].strip(b"\0")
        if behind and not behind.startswith(PROOF.encode()):
            return None
        return Manifest.read(end[begin : begin + info.size].decode())
    except (tarfile.TarError, UnicodeDecodeError, Refusal):
        return None


def backups(folders: Iterable[Path] | None = None) -> list[Kept]:
    """The whole backups of these folders, the newest first; else of the usual ones and wherever else the shop made one."""
    found = []
    for path in _files(folders) if folders is not None else _all_files():
        with contextlib.suppress(Refusal, OSError):
            found.append(look_at(path))
    return sorted(found, key=lambda one: one.made_at, reverse=True)


def unfit() -> list[str]:
    """A sentence for each file among the shop's backups that is none, or no whole one."""
    told = []
    for path in _all_files():
        try:
            look_at(path)
        except Refusal as refusal:
            told.append(refusal.sentence)
        except OSError as error:
            told.append(f"“{path.name}” can’t be read: {error.strerror}.")
    return told


def last_backup(*, at: dt.datetime | None = None) -> Kept | None:
    """The newest whole backup, wherever the shop made it; none of a day to come."""
    now = at or clock.now()
    return next((one for one in backups() if not is_ahead(one, now)), None)


def way_back() -> str:
    """How to go back to the newest good backup, in a sentence."""
    newest = last_backup()
    if newest is None:
        return "There is no backup: leave the shop’s folder as it is, and have somebody look at it who knows databases."
    return f"Leave the folder as it is, and restore the backup {newest.path.name}: “manage.py restore --into NEW-DIR”."


def is_ahead(one: Kept, now: dt.datetime) -> bool:
    """Whether a backup says that it was made at a moment that has not come."""
    return one.made_at > now + AHEAD


def _files(folders: Iterable[Path]) -> Iterator[Path]:
    for folder in folders:
        if folder.is_dir():
            yield from sorted(path for path in folder.iterdir() if path.is_file() and path.name[0] != ".")


def _all_files() -> Iterator[Path]:
    usual = {path.resolve() for path in _files((backup_folder(), backup_folder() / NIGHTLY))}
    elsewhere = {path for path in map(Path, _written_down()) if path.is_file()}
    yield from sorted(usual | elsewhere)


# --- what the shop made -------------------------------------------------------------------------------------


def write_down(path: Path, *, made_at: dt.datetime, sha256: str) -> None:
    """Keep in the shop's folder that a backup was made, so that one elsewhere counts and an encrypted one is known."""
    known = _written_down()
    known[str(path.resolve())] = {
        "made_at": made_at.isoformat(),
        "size": path.stat().st_size,
        "sha256": sha256,
    }
    latest = dict(list(known.items())[-MOST_WRITTEN_DOWN:])
    draft = Path(settings.SHOP_DATA) / f".{WRITTEN_DOWN}.{os.getpid()}"
    draft.write_text(json.dumps(latest, indent=1), encoding="utf-8")
    settle(draft)
    draft.replace(Path(settings.SHOP_DATA) / WRITTEN_DOWN)


def _written_down() -> dict[str, dict[str, str | int]]:
    try:
        text = (Path(settings.SHOP_DATA) / WRITTEN_DOWN).read_text(encoding="utf-8")
        found = json.loads(text)
    except (OSError, ValueError):
        # the list is a help; what it told of is looked for in the usual folders all the same
        return {}
    return found if isinstance(found, dict) else {}


# --- which may go -------------------------------------------------------------------------------------------


def drop_old(*, keep: int, into: Path | None = None, at: dt.datetime | None = None) -> int:
    """Delete all but the newest `keep` backups of a folder; return how many went. What is no backup is left alone."""
    return _drop(_counted(into or backup_folder(), at)[max(1, keep) :])


def drop_by_rule(into: Path, *, at: dt.datetime | None = None) -> int:
    """Delete what the rule does not keep (`kept_by_rule`); return how many went."""
    found = _counted(into, at)
    stays = kept_by_rule([one.made_at for one in found])
    return _drop([one for one in found if one.made_at not in stays])


def kept_by_rule(moments: Sequence[dt.datetime]) -> set[dt.datetime]:
    """The newest of each of the last 7 days, 5 weeks (from Monday) and 12 months that have one; “common practice, no source”."""
    kept: set[dt.datetime] = set()
    newest_first = sorted(moments, reverse=True)
    days = dict(zip(newest_first, clock.days_of(newest_first), strict=True))
    spans = (
        (DAYS, lambda day: (day.year, day.toordinal())),
        (WEEKS, lambda day: (0, (day.toordinal() + 6) // 7)),
        (MONTHS, lambda day: (day.year, day.month)),
    )
    for most, span in spans:
        seen: dict[tuple[int, ...], dt.datetime] = {}
        for moment in newest_first:
            seen.setdefault(span(days[moment]), moment)
        kept.update(list(seen.values())[:most])
    return kept


def _counted(folder: Path, at: dt.datetime | None) -> list[Kept]:
    now = at or clock.now()
    return [one for one in backups([folder]) if not is_ahead(one, now)]


def _drop(old: Sequence[Kept]) -> int:
    for one in old:
        one.path.unlink()
        for name in (one.path, one.path.resolve()):
            _read_before.pop(name, None)
    return len(old)
