"""Bringing a backup back: into a new folder, every file held against the backup's own list."""

from __future__ import annotations

import hashlib
import os
import shutil
import tarfile
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import IO

from shop.frame.refusal import Refusal
from shop.keeping.backup import must_be_sound
from shop.keeping.contents import (
    MANIFEST,
    PROOF,
    Manifest,
    is_plain,
    is_proven,
    manifest_of,
    may_hold,
    plain_file,
    public_keys,
)
from shop.keeping.shelf import ANOTHER, is_encrypted

READ = 1 << 20


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
        must_be_sound(into / manifest.book)
    except BaseException:
        shutil.rmtree(into, ignore_errors=True)
        raise
    return manifest


def opened(backup: Path, identity: Path | None, folder: Path) -> Path:
    """The plain tar of a backup; one that is encrypted is opened into `folder`."""
    if not backup.is_file():
        raise Refusal(f"There is no file “{backup}”. {ANOTHER}")
    if not is_encrypted(backup):
        return backup
    if identity is None:
        raise Refusal("This backup is encrypted: name the file with your age key (--identity).")
    if not identity.is_file():
        raise Refusal(f"There is no file “{identity}”: name the file with your age key (--identity).")
    try:
        from pyrage import DecryptError, IdentityError, decrypt_file, x25519  # noqa: PLC0415  an extra
    except ImportError as error:
        raise Refusal("To open this backup, install the package pyrage (the extra “backup”).") from error
    lines = identity.read_text(encoding="utf-8", errors="replace").splitlines()
    plain = folder / "backup.tar"
    try:
        keys = [
            x25519.Identity.from_str(line.strip()) for line in lines if line.startswith("AGE-SECRET-KEY-")
        ]
        decrypt_file(str(backup), str(plain), keys)
    except (DecryptError, IdentityError, OSError) as error:
        raise Refusal(
            f"“{identity.name}” does not open this backup: it is another key’s, or the backup was cut off or changed. "
            f"Name the key that it was made with, or take another backup."
        ) from error
    return plain


def _must_be_proven(packed: Path, keys: Sequence[str]) -> None:
    try:
        with tarfile.open(packed, "r:") as tar:
            content, proof = plain_file(tar, MANIFEST), plain_file(tar, PROOF)
            if (
                content
                and proof
                and is_proven(content.read(), proof.read(1 << 16).decode("ascii", "replace"), keys)
            ):
                return
    except (tarfile.TarError, OSError):
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
                if not is_plain(member) or member.size != size or not may_hold(member.name):
                    raise Refusal(
                        f"The backup holds something that its list does not: {_shown(member.name)}. {ANOTHER}"
                    )
                source = tar.extractfile(member)
                if source is None or _write(source, into / member.name) != sha256:
                    raise Refusal(f"A file of the backup is damaged: {_shown(member.name)}. {ANOTHER}")
    except (tarfile.TarError, OSError, EOFError) as error:
        raise Refusal(f"The backup was cut off, or is none ({error}). {ANOTHER}") from error
    if left:
        raise Refusal(f"A file of the backup is missing: {_shown(min(left))}. {ANOTHER}")
    return manifest


def _shown(name: str) -> str:
    """The beginning of a name that somebody else gave, with nothing in it that steers a terminal."""
    return name[:80] if name.isprintable() else ascii(name[:80])


def _write(source: IO[bytes], path: Path) -> str:
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    digest = hashlib.sha256()
    with os.fdopen(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb") as target:
        while chunk := source.read(READ):
            digest.update(chunk)
            target.write(chunk)
        target.flush()
        os.fsync(target.fileno())
    return digest.hexdigest()
