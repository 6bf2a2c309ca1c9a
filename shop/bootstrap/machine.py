"""What this machine keeps and is called: its secret, its names, its addresses. Standard library only."""

from __future__ import annotations

import contextlib
import os
import secrets
import socket
from pathlib import Path

SECRET = "secret-key"  # noqa: S105  a file's name


def secret_in(folder: Path) -> str:
    """The secret of the shop in `folder`; empty before the shop is made."""
    path = folder / SECRET
    return path.read_text(encoding="ascii").strip() if path.is_file() else ""


def kept_secret(path: Path, *, strength: int = 50) -> str:
    """Return the secret of `strength` random bytes kept at `path`, made there on first use, readable by its owner alone.

    Two processes that start at once agree: only one of them can create the file.
    """
    if path.exists():
        return path.read_text(encoding="ascii").strip()
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    draft = path.with_name(f"{path.name}.{os.getpid()}")
    descriptor = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(descriptor, "w", encoding="ascii") as file:
        file.write(secrets.token_urlsafe(strength))
        file.flush()
        os.fsync(file.fileno())
    try:
        # a hard link refuses to replace: the first process wins and its file is whole
        os.link(draft, path)
    except FileExistsError:
        pass
    except OSError:
        # a file system without hard links
        draft.replace(path)
    draft.unlink(missing_ok=True)
    if os.name != "nt":
        # its name, too, is on the disk before anything is signed with it
        folder = os.open(path.parent, os.O_RDONLY)
        os.fsync(folder)
        os.close(folder)
    return path.read_text(encoding="ascii").strip()


def lan_address() -> str | None:
    """Return this machine's own IPv4 address on the network it would reach others by, or None when it has none.

    Connecting a datagram socket sends nothing; it only asks the routing table. 192.0.2.1 is reserved for
    documentation (RFC 5737), so nobody is there.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
        except OSError:
            return None
        address = str(probe.getsockname()[0])
    return None if address.startswith("127.") or address == "0.0.0.0" else address  # noqa: S104


def own_names() -> list[str]:
    """Return the names and addresses under which other devices on the local network may call this machine."""
    name = socket.gethostname().lower()
    names = {name, f"{name.split('.')[0]}.local"}
    with contextlib.suppress(OSError):
        names.update(socket.gethostbyname_ex(name)[2])
    if address := lan_address():
        names.add(address)
    return sorted(names)
