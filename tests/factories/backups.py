"""Backups that say what a test needs, packed by Python's own tarfile."""

from __future__ import annotations

import datetime as dt
import hashlib
import io
import tarfile
from pathlib import Path

from shop.keeping.contents import MANIFEST, Manifest


def forged(path: Path, made_at: dt.datetime, *, content: bytes = b"a book") -> Path:
    """A whole backup of next to nothing that says it was made then."""
    path.parent.mkdir(parents=True, exist_ok=True)
    listed = {"shop.sqlite3": (hashlib.sha256(content).hexdigest(), len(content))}
    manifest = Manifest(made_at, "0", "shop.sqlite3", 0, "", {}, listed)
    with tarfile.open(path, "w") as tar:
        for name, each in (("shop.sqlite3", content), (MANIFEST, manifest.text().encode())):
            info = tarfile.TarInfo(name)
            info.size = len(each)
            tar.addfile(info, io.BytesIO(each))
    return path
