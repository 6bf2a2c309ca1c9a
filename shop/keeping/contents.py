"""What a backup may hold, what it says of itself, and a proof that whoever made it holds the shop's backup key.

A backup that somebody planted could bring a known opening code, the key to every session, or a page into the folder that the
web server hands out. So nothing is unpacked but the book, what the shop keeps, and the few files that its list declares.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import hashlib
import hmac
import json
import tarfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import IO, Any

from shop.frame.refusal import Refusal

FORM = 1
MANIFEST = "manifest.json"
BOOK = "shop.sqlite3"
BOOK_OF_POSTGRESQL = "shop.pgdump"
BOOKS = frozenset({BOOK, BOOK_OF_POSTGRESQL})
KEPT = "kept"
DECLARED = ("secret-key", "https/authority.pem", "https/authority.key")
"""What a backup may hold beside them, where its list of files names it: without the authority of https every tablet would
have to be told anew, after a restore, to trust the shop."""
PROOF = "manifest.proof"
_UNREADABLE = "The backup’s list of files can’t be read."
_SAYS = b"mendwright backup manifest\0"


def may_hold(name: str) -> bool:
    """Whether a file of that name belongs into a backup of a shop."""
    path = PurePosixPath(name)
    if path.is_absolute() or ".." in path.parts or "\\" in name or "\0" in name or path.as_posix() != name:
        return False
    if name in BOOKS or name in DECLARED:
        return True
    return len(path.parts) > 2 and path.parts[0] == "kept"


def proof_of(manifest: bytes, key: str) -> str:
    """A keyed digest (HMAC-SHA256, RFC 2104) of a backup's list of files, by the shop's backup key: the age public key, which
    nobody has but those whom the shop told it, and which an encrypted backup does not say."""
    return hmac.new(hashlib.sha256(_SAYS + key.strip().encode()).digest(), manifest, "sha256").hexdigest()


def public_keys(identity: Path | None) -> list[str]:
    """The age public keys of the private ones in a file; none without a file, or where the package is missing."""
    try:
        from pyrage import IdentityError, x25519  # noqa: PLC0415  an extra
    except ImportError:
        return []
    lines = identity.read_text().splitlines() if identity and identity.is_file() else []
    with contextlib.suppress(IdentityError):
        return [
            str(x25519.Identity.from_str(line.strip()).to_public())
            for line in lines
            if line.startswith("AGE-SECRET-KEY-")
        ]
    return []


def is_proven(manifest: bytes, proof: str, keys: Iterable[str]) -> bool:
    """Whether the list of files carries the proof of one of these keys."""
    return any(hmac.compare_digest(proof_of(manifest, key), said) for key in keys for said in proof.split())


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
            manifest = cls(
                made_at=dt.datetime.fromisoformat(content["made_at"]),
                version=content["version"],
                book=content["book"],
                entries=content["journal"]["entries"],
                digest=content["journal"]["digest"],
                migrations=content["migrations"],
                files={name: (each["sha256"], each["size"]) for name, each in content["files"].items()},
            )
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
            raise Refusal(_UNREADABLE) from error
        if not manifest._is_of_its_kind():
            raise Refusal(_UNREADABLE)
        return manifest

    def _is_of_its_kind(self) -> bool:
        """Whether each fact is what it has to be. The book is one of those in the backup: a path to another would have that one
        checked in its place, and one that the list leaves out would never be missed."""
        migrations: object = self.migrations
        texts: list[object] = [self.version, self.digest, self.book]
        return (
            type(self.entries) is int
            and all(isinstance(one, str) and one.isprintable() for one in texts)
            and self.made_at.tzinfo is not None
            and isinstance(migrations, dict)
            and self.book in BOOKS & self.files.keys()
        )


def manifest_of(tar: tarfile.TarFile) -> Manifest:
    """What a backup says of itself; refuses what is none."""
    file = plain_file(tar, MANIFEST)
    if file is None:
        raise Refusal("This is no backup of a shop: its list of files is missing.")
    return Manifest.read(file.read().decode("utf-8", "replace"))


def plain_file(tar: tarfile.TarFile, name: str) -> IO[bytes] | None:
    """A file of a backup by its name; none where there is none, or something that only leads to one or stands for one."""
    try:
        member = tar.getmember(name)
    except KeyError:
        return None
    return tar.extractfile(member) if is_plain(member) else None


def is_plain(member: tarfile.TarInfo) -> bool:
    """Whether a member of a backup is a file with all its bytes: one with holes in a few bytes could fill a disk."""
    return member.isreg() and not member.issparse()
