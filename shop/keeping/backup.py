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
import json
import os
import shutil
import sqlite3
import subprocess
import tarfile
import tempfile
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from django.conf import settings
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

from shop.frame import clock
from shop.frame.models import JournalHead
from shop.frame.refusal import Refusal
from shop.keeping import copying
from shop.keeping.contents import PROOF, is_proven, may_hold, proof_of, public_keys
from shop.keeping.health import BACKUP_NAME, backup_folder

FORM = 1
MANIFEST = "manifest.json"
BOOK = "shop.sqlite3"
BOOK_OF_POSTGRESQL = "shop.pgdump"
KEPT = "kept"
SECRET = "secret-key"  # noqa: S105  a file's name
READ = 1 << 20


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup that was written: where, how large, how many files it holds."""

    path: Path
    size: int
    files: int


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a backup says of itself."""

    made_at: dt.datetime
    version: str
    book: str
    entries: int
    digest: str
    migrations: dict[str, str]
    files: dict[str, tuple[str, int]]

    def text(self) -> str:
        """The manifest as it lies in the backup."""
        listed = {
            name: {"sha256": sha256, "size": size} for name, (sha256, size) in sorted(self.files.items())
        }
        content = {
            "form": FORM,
            "made_at": self.made_at.isoformat(),
            "version": self.version,
            "book": self.book,
            "journal": {"entries": self.entries, "digest": self.digest},
            "migrations": self.migrations,
            "files": listed,
        }
        return json.dumps(content, indent=1, ensure_ascii=False)

    @classmethod
    def read(cls, text: str) -> Manifest:
        """Read a manifest; refuses one that this program does not understand."""
        try:
            content: dict[str, Any] = json.loads(text)
            if content["form"] != FORM:
                raise Refusal(f"This backup has form {content['form']}; this program reads form {FORM}.")
            return cls(
                made_at=dt.datetime.fromisoformat(content["made_at"]),
                version=content["version"],
                book=content["book"],
                entries=content["journal"]["entries"],
                digest=content["journal"]["digest"],
                migrations=content["migrations"],
                files={name: (each["sha256"], each["size"]) for name, each in content["files"].items()},
            )
        except (ValueError, KeyError, TypeError) as error:
            raise Refusal("The backup’s list of files can’t be read.") from error


# --- making one ---------------------------------------------------------------------------------------------


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
        with packed.open("rb") as file:
            os.fsync(file.fileno())
        packed.replace(folder / name)
    return Backup(folder / name, (folder / name).stat().st_size, files)


def drop_old(*, keep: int, into: Path | None = None) -> int:
    """Delete all but the newest `keep` backups of a folder; return how many went."""
    found = sorted((into or backup_folder()).glob(BACKUP_NAME))
    old = found[:-keep] if keep else []
    for path in old:
        path.unlink()
    return len(old)


def _copy_of_the_book(draft: Path) -> Path:
    if connection.vendor == "sqlite":
        book = draft / BOOK
        copying.copy_book(book)
        _must_be_sound(book)
        return book
    return _dumped(draft / BOOK_OF_POSTGRESQL)


def _must_be_sound(book: Path) -> None:
    """Refuse an SQLite book that is damaged; of PostgreSQL's only its own tools can tell."""
    if book.name == BOOK and (faults := copying.faults_in(book)):
        raise Refusal(f"{faults[0]} The backup is not made, or not brought back; keep the one before safe.")


def _dumped(book: Path) -> Path:
    """Have PostgreSQL's own pg_dump write the book."""
    program = shutil.which("pg_dump")
    if program is None:
        raise Refusal("A PostgreSQL book is backed up with pg_dump: install postgresql-client.")
    named = connection.settings_dict
    variables = {
        **os.environ,
        "PGHOST": str(named["HOST"] or ""),
        "PGPORT": str(named["PORT"] or ""),
        "PGUSER": str(named["USER"] or ""),
        "PGPASSWORD": str(named["PASSWORD"] or ""),
    }
    command = [program, "--format=custom", f"--file={book}", str(named["NAME"])]
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=variables)  # noqa: S603
    if done.returncode != 0:
        raise Refusal(f"pg_dump could not copy the book: {done.stderr.strip()[:200]}")
    return book


def _pack(packed: Path, book: Path, now: dt.datetime, keys: Sequence[str] = ()) -> int:
    entries, digest = _journal_in(book)
    files: dict[str, tuple[str, int]] = {}
    with tarfile.open(packed, "w", format=tarfile.PAX_FORMAT) as tar:
        for name, path in [(book.name, book), *_things_kept()]:
            files[name] = _add(tar, name, path)
        manifest = Manifest(
            made_at=now,
            version=_version(),
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
    secret = Path(settings.SHOP_DATA) / SECRET
    if secret.is_file():
        yield SECRET, secret


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


def _version() -> str:
    project = tomllib.loads((settings.BASE_DIR / "pyproject.toml").read_text(encoding="utf-8"))
    return str(project["project"]["version"])


# --- bringing one back --------------------------------------------------------------------------------------


def restore(backup: Path, into: Path, *, identity: Path | None = None, unproven: bool = False) -> Manifest:
    """Unpack a backup into the new, empty folder `into` and check every file against its hash.

    `identity` is the file with the age key that an encrypted backup needs. Refuses a folder that holds anything, a backup with
    a file missing, changed or too many, and a book that SQLite finds damaged. What was unpacked until then is removed. One that
    is encrypted to the shop's key proves that it was made by somebody who has that key; `unproven` takes one that does not, such
    as one of an earlier program.
    """
    if into.exists() and any(into.iterdir()):
        raise Refusal(
            f"“{into}” is not empty: a backup is brought back into a new folder, never over a shop."
        )
    into.mkdir(mode=0o700, parents=True, exist_ok=True)
    try:
        with tempfile.TemporaryDirectory(prefix="restore-") as folder:
            packed = opened(backup, identity, Path(folder))
            if packed != backup and not unproven:
                _must_be_proven(packed, public_keys(identity))
            manifest = _unpack(packed, into)
        _must_be_sound(into / manifest.book)
    except BaseException:
        shutil.rmtree(into, ignore_errors=True)
        raise
    return manifest


def opened(backup: Path, identity: Path | None, folder: Path) -> Path:
    """The plain tar of a backup; one that is encrypted is opened into `folder`."""
    if backup.suffix != ".age":
        return backup
    if identity is None:
        raise Refusal("This backup is encrypted: name the file with your age key (--identity).")
    from pyrage import DecryptError, IdentityError, decrypt_file, x25519  # noqa: PLC0415  an extra

    keys = [line.strip() for line in identity.read_text().splitlines() if line.startswith("AGE-SECRET-KEY-")]
    plain = folder / "backup.tar"
    try:
        decrypt_file(str(backup), str(plain), [x25519.Identity.from_str(key) for key in keys])
    except (DecryptError, IdentityError) as error:
        raise Refusal("That key does not open this backup.") from error
    return plain


def _must_be_proven(packed: Path, keys: Sequence[str]) -> None:
    try:
        with tarfile.open(packed, "r:") as tar:
            content, proof = tar.extractfile(MANIFEST), tar.extractfile(PROOF)
            if (
                content
                and proof
                and is_proven(content.read(), proof.read(1 << 16).decode("ascii", "replace"), keys)
            ):
                return
    except (KeyError, tarfile.TarError, OSError):
        pass
    raise Refusal(
        "This backup does not prove that it was made with the shop’s backup key: an earlier program made it, or somebody else "
        "did. If you know where it comes from, add --unproven."
    )


def _unpack(packed: Path, into: Path) -> Manifest:
    try:
        with tarfile.open(packed, "r:") as tar:
            manifest = manifest_of(tar)
            left = dict(manifest.files)
            for member in tar:
                if member.name in {MANIFEST, PROOF}:
                    continue
                sha256, size = left.pop(member.name, ("", -1))
                if not member.isreg() or member.size != size or not may_hold(member.name):
                    raise Refusal(f"The backup holds something that its list does not: {member.name[:80]}")
                source = tar.extractfile(member)
                if source is None or _write(source, into / member.name) != sha256:
                    raise Refusal(f"A file of the backup is damaged: {member.name[:80]}")
    except (tarfile.TarError, OSError, EOFError) as error:
        raise Refusal(f"The backup can’t be read: {error}") from error
    if left:
        raise Refusal(f"A file of the backup is missing: {min(left)[:80]}")
    return manifest


def manifest_of(tar: tarfile.TarFile) -> Manifest:
    """What a backup says of itself; refuses what is none."""
    try:
        file = tar.extractfile(MANIFEST)
    except KeyError:
        file = None
    if file is None:
        raise Refusal("This is no backup of a shop: its list of files is missing.")
    return Manifest.read(file.read().decode("utf-8", "replace"))


def _write(source: IO[bytes], path: Path) -> str:
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    digest = hashlib.sha256()
    with os.fdopen(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb") as target:
        while chunk := source.read(READ):
            digest.update(chunk)
            target.write(chunk)
    return digest.hexdigest()
