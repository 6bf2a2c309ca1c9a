"""A PostgreSQL server for the tests: one that is named, else a small one of our own, taken away afterwards."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import quote

from shop.bootstrap import system
from shop.bootstrap.places import ON_MAC, ON_WINDOWS

# Debian, and Homebrew on the two kinds of Mac
PLACES = [Path("/usr/lib/postgresql"), Path("/opt/homebrew/opt"), Path("/usr/local/opt")]

# Only for tests: what is lost in a power cut is made again.
FAST = {
    "fsync": "off",
    "full_page_writes": "off",
    "synchronous_commit": "off",
    "listen_addresses": "''",
    "max_connections": "60",
}


def find_programs() -> Path | None:
    """Return the folder with `initdb` and `pg_ctl` of the newest PostgreSQL on this machine, or None."""
    found = [path.parent for place in PLACES for path in place.glob("*/bin/initdb")]
    if found:
        return max(found, key=lambda path: [int(digits) for digits in re.findall(r"\d+", path.parent.name)])
    on_path = shutil.which("initdb")
    return Path(on_path).resolve().parent if on_path else None


def _servant() -> dict[str, object]:
    """Return how to run the server: as ourselves, but never as root, which PostgreSQL refuses."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        return {}
    import pwd  # noqa: PLC0415  there is none on Windows

    names = {entry.pw_name for entry in pwd.getpwall()}
    name = "postgres" if "postgres" in names else "nobody"
    return {"user": name, "group": pwd.getpwnam(name).pw_gid, "extra_groups": []}


@contextmanager
def server() -> Iterator[str | None]:
    """Yield the address of a PostgreSQL server for the tests, or None where there is none.

    SHOP_TEST_POSTGRES (or a DATABASE_URL that names PostgreSQL) is used as it is; its user must be allowed to make
    databases. Otherwise a new cluster is made in a temporary folder, reached through a socket in it alone, and
    removed at the end.
    """
    if named := named_server(os.environ):
        yield named
        return
    programs = _programs_or_installed()
    if programs is None:
        yield None
        return
    # /tmp by name: the socket's path must stay short, and the server's user must be able to walk there
    cluster = Cluster(programs, Path(tempfile.mkdtemp(prefix="mendwright-pg-", dir="/tmp")))
    try:
        yield cluster.address if cluster.start() else None
    finally:
        cluster.remove()


def named_server(environ: Mapping[str, str]) -> str | None:
    """Return the server that the environment names for tests, or None."""
    if named := environ.get("SHOP_TEST_POSTGRES"):
        return named
    general = environ.get("DATABASE_URL", "")
    return general if general.startswith(("postgres:", "postgresql:")) else None


def _programs_or_installed() -> Path | None:
    if ON_WINDOWS:
        return None
    if find_programs() is None and system.may_install(["postgresql"], "for the tests on PostgreSQL"):
        system.install(["postgresql"])
    return find_programs()


@dataclass
class Cluster:
    """A PostgreSQL server of our own in a temporary folder."""

    programs: Path
    folder: Path
    servant: dict[str, Any] = field(default_factory=_servant)

    @property
    def address(self) -> str:
        """The server's URL, by its socket."""
        return f"postgresql://shop@{quote(str(self.folder), safe='')}/shop"

    def start(self) -> bool:
        """Make the cluster and start it; False, with its own words on the error stream, when that failed."""
        if self.servant:
            shutil.chown(self.folder, self.servant["user"])
        locale = "en_US.UTF-8" if ON_MAC else "C.UTF-8"
        settings = " ".join(f"-c {name}={value}" for name, value in FAST.items())
        return self._run(
            "initdb", "--auth=trust", "--username=shop", "--encoding=UTF8", f"--locale={locale}", "--no-sync"
        ) and self._run(
            "pg_ctl", "-w", "-l", str(self.folder / "log"), "-o", f"{settings} -k {self.folder}", "start"
        )

    def remove(self) -> None:
        """Stop the server and take its folder away."""
        if (self.folder / "data" / "postmaster.pid").exists():
            self._run("pg_ctl", "-w", "-m", "immediate", "stop")
        shutil.rmtree(self.folder, ignore_errors=True)

    def _run(self, program: str, *arguments: str) -> bool:
        command = [str(self.programs / program), "-D", str(self.folder / "data"), *arguments]
        # no pipes: a server that stays would hold them open
        with (self.folder / "words").open("w+") as words:
            done = subprocess.run(
                command, check=False, stdout=words, stderr=subprocess.STDOUT, cwd=self.folder, **self.servant
            )
            if done.returncode != 0:
                words.seek(0)
                print(f"{program}: {words.read().strip()}", file=sys.stderr)
        return done.returncode == 0
