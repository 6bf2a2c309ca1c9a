"""One file that holds the whole shop: the book, the papers, the pictures, and a list of them with their hashes.

A backup is a plain tar, so that it can be read in twenty years without this program; where an age public key is named, the
tar is encrypted to it, and only whoever holds the other half can open it. What was never restored is no backup:
`restore_drill` unpacks the newest one into a shop of its own and checks it there.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import hashlib
import io
import os
import shutil
import sqlite3
import subprocess
import tarfile
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

from shop.frame import clock
from shop.frame.models import JournalHead
from shop.frame.refusal import Refusal
from shop.keeping import copying
from shop.keeping.contents import (
    BOOK,
    BOOK_OF_POSTGRESQL,
    DECLARED,
    KEPT,
    MANIFEST,
    PROOF,
    Manifest,
    proof_of,
)
from shop.keeping.settled import settle
from shop.keeping.shelf import backup_folder, write_down


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup that was written: where, how large, how many files it holds."""

    path: Path
    size: int
    files: int


def make_backup(
    *, into: Path | None = None, keys: Sequence[str] = (), at: dt.datetime | None = None
) -> Backup:
    """Write a backup into the folder `into` (the usual one by default), encrypted when age public keys are given.

    The book is copied while it is in use, and checked before it is packed. The file appears under its name only when it is whole.
    """
    now = at or clock.now()
    folder = into or backup_folder()
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    name = f"mendwright-{now:%Y%m%d-%H%M%S}.tar{'.age' if keys else ''}"
    with tempfile.TemporaryDirectory(prefix=".part-", dir=folder) as draft:
        book = _copy_of_the_book(Path(draft))
        packed = Path(draft) / "backup.tar"
        files = _pack(packed, book, now, keys)
        if keys:
            packed = _encrypted(packed, keys)
        packed.chmod(0o600)
        settle(packed)
        with packed.open("rb") as file:
            sha256 = hashlib.file_digest(file, "sha256").hexdigest() if keys else ""
        packed.replace(folder / name)
        settle(folder / name)
    write_down(folder / name, made_at=now, sha256=sha256)
    return Backup(folder / name, (folder / name).stat().st_size, files)


def _copy_of_the_book(draft: Path) -> Path:
    if connection.vendor == "sqlite":
        book = draft / BOOK
        copying.copy_book(book)
        must_be_sound(book)
        return book
    return dumped(draft / BOOK_OF_POSTGRESQL)


def must_be_sound(book: Path) -> None:
    """Refuse an SQLite book that is damaged; of PostgreSQL's only its own tools can tell."""
    if book.name == BOOK and (faults := copying.faults_in(book)):
        raise Refusal(f"{faults[0]} The backup is not made, or not brought back; keep the one before safe.")


def dumped(book: Path) -> Path:
    """Have PostgreSQL's own pg_dump write the book."""
    run_beside_postgresql("pg_dump", "--format=custom", f"--file={book}", "{name}")
    return book


def run_beside_postgresql(program: str, *words: str) -> None:
    """Run one of PostgreSQL's own programs on the shop's book; `{name}` stands for it. Refuses with what the program says."""
    found = shutil.which(program)
    if found is None:
        raise Refusal(f"A PostgreSQL book is kept safe with {program}: install postgresql-client.")
    named = connection.settings_dict
    variables = {
        **os.environ,
        "PGHOST": str(named["HOST"] or ""),
        "PGPORT": str(named["PORT"] or ""),
        "PGUSER": str(named["USER"] or ""),
        "PGPASSWORD": str(named["PASSWORD"] or ""),
    }
    command = [found, *(word.replace("{name}", str(named["NAME"])) for word in words)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=variables)  # noqa: S603
    if done.returncode != 0:
        raise Refusal(f"{program} could not do it: {done.stderr.strip()[:200]}")


def _pack(packed: Path, book: Path, now: dt.datetime, keys: Sequence[str] = ()) -> int:
    entries, digest = _journal_in(book)
    files: dict[str, tuple[str, int]] = {}
    with tarfile.open(packed, "w", format=tarfile.PAX_FORMAT) as tar:
        for name, path in [(book.name, book), *_things_kept()]:
            files[name] = _add(tar, name, path)
        manifest = Manifest(
            made_at=now,
            version=settings.VERSION,
            book=book.name,
            entries=entries,
            digest=digest,
            migrations=_migrations(),
            files=files,
        )
        content = manifest.text().encode()
        info = tarfile.TarInfo(MANIFEST)
        info.size, info.mode, info.mtime = len(content), 0o600, int(now.timestamp())
        tar.addfile(info, io.BytesIO(content))
        if keys:
            proof = "\n".join(proof_of(content, key) for key in keys).encode()
            info = tarfile.TarInfo(PROOF)
            info.size, info.mode, info.mtime = len(proof), 0o600, int(now.timestamp())
            tar.addfile(info, io.BytesIO(proof))
    return len(files)


def _journal_in(book: Path) -> tuple[int, str]:
    """How many entries the journal of the copied book has, and its last digest; the live book's under PostgreSQL."""
    if book.name == BOOK:
        with contextlib.closing(sqlite3.connect(book)) as copy:
            row = copy.execute("SELECT sequence, digest FROM frame_journalhead").fetchone()
    else:
        row = JournalHead.objects.values_list("sequence", "digest").first()
    return (int(row[0]), str(row[1])) if row else (0, "")


def _things_kept() -> Iterator[tuple[str, Path]]:
    root = Path(settings.MEDIA_ROOT)
    for path in sorted(root.rglob("*")):
        if path.is_file() and not path.is_symlink():
            yield f"{KEPT}/{path.relative_to(root).as_posix()}", path
    for name in DECLARED:
        if (path := Path(settings.SHOP_DATA) / name).is_file():
            yield name, path


def _add(tar: tarfile.TarFile, name: str, path: Path) -> tuple[str, int]:
    """Add a file under a name and return its hash and size, reading it once for each."""
    with path.open("rb") as file:
        sha256 = hashlib.file_digest(file, "sha256").hexdigest()
        info = tar.gettarinfo(arcname=name, fileobj=file)
        info.uid = info.gid = 0
        info.uname = info.gname = ""
        info.mode = 0o600
        file.seek(0)
        tar.addfile(info, file)
    return sha256, info.size


def _encrypted(packed: Path, keys: Sequence[str]) -> Path:
    try:
        from pyrage import RecipientError, encrypt_file, x25519  # noqa: PLC0415  an extra
    except ImportError as error:
        raise Refusal("To encrypt backups, install the package pyrage (the extra “backup”).") from error
    try:
        recipients = [x25519.Recipient.from_str(key) for key in keys]
    except RecipientError as error:
        raise Refusal("That is no age public key; one looks like age1… and comes from age-keygen.") from error
    sealed = packed.with_name("backup.tar.age")
    encrypt_file(str(packed), str(sealed), recipients)
    return sealed


def _migrations() -> dict[str, str]:
    """The last migration of each room."""
    applied = MigrationRecorder(connection).applied_migrations()
    return {
        app: max(name for each, name in applied if each == app) for app in sorted({app for app, _ in applied})
    }
