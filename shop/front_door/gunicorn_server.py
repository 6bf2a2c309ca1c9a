"""Gunicorn started from within the command that has the shop loaded already, so that it opens in half the time."""

from __future__ import annotations

import ssl
from collections.abc import Callable
from pathlib import Path

from django.conf import settings
from gunicorn.app.base import BaseApplication
from gunicorn.glogging import Logger

from shop.front_door.security import without_secrets


class DiscreetLogger(Logger):  # type: ignore[misc]
    """Gunicorn's own log of requests, without the secrets that stand in addresses."""

    def atoms(self, *args: object) -> dict[str, object]:
        """What a line of the log is made of."""
        parts = super().atoms(*args)
        return {
            name: without_secrets(part) if isinstance(part, str) else part for name, part in parts.items()
        }


class Server(BaseApplication):  # type: ignore[misc]
    """One worker process with threads; it logs requests to the shop's log folder and only trouble to the terminal."""

    def __init__(
        self, application: object, *, bind: str, threads: int, certificate: tuple[Path, Path] | None = None
    ) -> None:
        self.application = application
        self.options = {
            "bind": bind,
            "workers": 1,
            "threads": threads,
            "timeout": 120,
            "graceful_timeout": 5,
            "loglevel": "warning",
            "logger_class": DiscreetLogger,
            "accesslog": str(settings.LOG_DIR / "access.log"),
            # without what was asked: people search for customers by name, and no log remembers whom
            "access_log_format": '%(h)s - %(t)s "%(m)s %(U)s %(H)s" %(s)s %(b)s "%(a)s"',
            "control_socket_disable": True,
            # as long as gunicorn goes: 400 letters of some scripts are 3,600 signs in an address, and filters stand beside
            "limit_request_line": 8190,
        }
        if certificate is not None:
            # the files are read anew for each connection, so that a renewed certificate needs no restart
            self.options |= {
                "certfile": str(certificate[0]),
                "keyfile": str(certificate[1]),
                "ssl_context": modern_only,
                "do_handshake_on_connect": False,
            }
        super().__init__()

    def load_config(self) -> None:
        """Take the options over; gunicorn's own command line and files are left aside."""
        for name, value in self.options.items():
            self.cfg.set(name, value)

    def load(self) -> object:
        """Return the application."""
        return self.application


def modern_only(_config: object, usual: Callable[[], ssl.SSLContext]) -> ssl.SSLContext:
    """The usual TLS settings, from TLS 1.2 on."""
    context = usual()
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    return context
