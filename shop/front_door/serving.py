"""From a data folder to a shop that answers: migrated, style sheets laid out, address told, server started."""

from __future__ import annotations

import hashlib
import io
import os
import socket
import sys
import threading
from dataclasses import dataclass
from pathlib import Path

import segno
from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import CommandError, CommandParser, call_command
from django.core.wsgi import get_wsgi_application
from django.db import connection, connections
from django.db.migrations.executor import MigrationExecutor

from shop.bootstrap.machine import lan_address
from shop.front_door.beside import keep_a_worker
from shop.front_door.porch.server import Porch
from shop.front_door.porch.tls import Certificate
from shop.front_door.security import may_send
from shop.keeping.table_figures import inform_the_planner
from shop.opening.alone import only_server, work_in_book
from shop.opening.certificates import Certificates
from shop.opening.folder import make_shop
from shop.opening.moved import must_not_have_moved
from shop.opening.older_book import SENTENCE, is_older
from shop.opening.updating import must_not_be_newer
from shop.records.long_work import ask_to_build_search
from shop.records.searching.upkeep import is_stale

LOOPBACK = "127.0.0.1"
EVERYWHERE = "0.0.0.0"  # noqa: S104  only with --lan


@dataclass(frozen=True, slots=True)
class Stand:
    """Where the shop listens."""

    port: int
    lan: bool = False
    https: bool = False

    @property
    def bind(self) -> str:
        """The address to listen on: this machine's own, or all of them with --lan."""
        return EVERYWHERE if self.lan else LOOPBACK

    @property
    def here(self) -> str:
        """The shop's address on this machine."""
        return f"{self.scheme}://{LOOPBACK}:{self.port}/"

    @property
    def scheme(self) -> str:
        """How the shop is spoken with."""
        return "https" if self.https else "http"

    @property
    def nearby(self) -> str | None:
        """The shop's address for a tablet on the same network; None when it may not call, or has no way to."""
        address = lan_address() if self.lan else None
        return f"{self.scheme}://{address}:{self.port}/" if address else None


def add_arguments(parser: CommandParser, *, port: int) -> None:
    """Give a serving command its two options."""
    parser.add_argument("--port", type=int, default=port, help=f"listen on this port (default {port})")
    parser.add_argument("--lan", action="store_true", help="let other devices on the local network in")


def prepare() -> None:
    """For the one server, bring database, search and laid-out style sheets up to the code; quick when nothing changed."""
    make_shop()
    only_server()
    migrate()
    inform_the_planner()
    bring_up_search()
    lay_out_static()


def migrate() -> None:
    """Make the shop where there is none, and apply to its book what has not been applied."""
    must_not_have_moved()
    make_shop()
    if is_older(connection):
        raise CommandError(SENTENCE)
    must_not_be_newer()
    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        call_command("migrate", verbosity=0, interactive=False)


def bring_up_search() -> None:
    """Have the worker make the search anew where an older program made its rows or a building was broken off."""
    if is_stale():
        ask_to_build_search()


def lay_out_static() -> None:
    """Collect, name by content and compress the static files, unless they are as they were the last time."""
    if settings.STATIC_AS_IS:
        return
    note = Path(settings.STATIC_ROOT).with_name("static-as-laid-out")
    now = _static_as_it_is()
    if note.exists() and note.read_text(encoding="ascii") == now:
        return
    call_command("collectstatic", verbosity=0, interactive=False, clear=True)
    note.write_text(now, encoding="ascii")


def _static_as_it_is() -> str:
    """Return a digest over name, size and time of every static file."""
    digest = hashlib.sha256(str(settings.STATIC_ROOT).encode())
    for finder in get_finders():
        for name, storage in finder.list([]):
            status = Path(storage.path(name)).stat()
            digest.update(f"{name} {status.st_size} {status.st_mtime_ns}\n".encode())
    return digest.hexdigest()


def require_free(stand: Stand) -> None:
    """Raise CommandError with one sentence when something listens on the port already."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        if os.name != "nt":
            # a server that stopped a moment ago is not in the way
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((stand.bind, stand.port))
        except OSError as error:
            raise CommandError(
                f"Port {stand.port} is taken or not allowed; choose another, such as: --port {stand.port + 7}"
            ) from error


def directions(stand: Stand, path: str = "") -> str:
    """Return the lines that say where the shop is, with a QR code for the tablet when it may call."""
    lines = [f"  On this machine:  {stand.here}{path}"]
    if stand.nearby:
        picture = io.StringIO()
        segno.make(stand.nearby + path, micro=False).terminal(picture, compact=True)
        lines += [f"  On the tablet:    {stand.nearby}{path}", "", picture.getvalue().rstrip("\n")]
    elif stand.lan:
        lines.append("  This machine has no address on a network, so no tablet can reach it.")
    else:
        lines.append("  On a tablet:      start again with --lan, and a QR code to scan stands here")
    return "\n".join(lines)


def caution(stand: Stand) -> str:
    """What has to be said of a shop that others on the network reach over plain http; nothing elsewhere."""
    if not stand.lan or stand.https:
        return ""
    return (
        "\n  Passwords and customers’ names travel in the clear on this network: whoever listens there can read them.\n"
        "  With --https instead of --lan, they don’t.\n"
    )


def serve(stand: Stand, certificates: Certificates | None = None) -> None:
    """Serve until Ctrl-C. One process: SQLite's writers then queue fairly; its threads answer what the porch hands them."""
    # where it goes into a file or a pipe, the address and the password would wait there for the end
    sys.stdout.flush()
    application = get_wsgi_application()
    connections.close_all()
    work_in_book()
    keep_a_worker()
    Porch(
        application,
        bind=stand.bind,
        port=stand.port,
        certificate=Certificate(certificates.certificate, certificates.key) if certificates else None,
        form_bytes=settings.DATA_UPLOAD_MAX_MEMORY_SIZE,
        may_send=may_send,
        is_behind_proxy=bool(settings.SECURE_PROXY_SSL_HEADER),
    ).run()


def serve_beside(application: object, stand: Stand) -> Porch:
    """Serve another, small application over plain http from a thread of its own until the process ends."""
    porch = Porch(application, bind=stand.bind, port=stand.port, threads=1, threads_for_files=0)
    threading.Thread(target=porch.run, name="beside", daemon=True).start()
    return porch
