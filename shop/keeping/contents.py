"""What a backup may hold, and a proof that whoever made it holds the shop's backup key.

A backup that somebody planted could bring a known opening code, the key to every session, or a page into the folder that the
web server hands out. So nothing is unpacked but the book, what the shop keeps, and the few files that its list declares.
"""

from __future__ import annotations

import contextlib
import hashlib
import hmac
from collections.abc import Iterable
from pathlib import Path, PurePosixPath

BOOKS = frozenset({"shop.sqlite3", "shop.pgdump"})
DECLARED = frozenset({"secret-key", "backup-label.json", "https/authority.pem", "https/authority.key"})
"""What a backup may hold beside them, where its list of files names it."""
PROOF = "manifest.proof"
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
