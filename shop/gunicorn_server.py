"""Gunicorn started from within the command that has the shop loaded already, so that it opens in half the time."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from gunicorn.app.base import BaseApplication


class Server(BaseApplication):  # type: ignore[misc]
    """One worker process with threads; it logs requests to the shop's log folder and only trouble to the terminal."""

    def __init__(self, application: Any, *, bind: str, threads: int) -> None:
        self.application = application
        self.options = {
            "bind": bind,
            "workers": 1,
            "threads": threads,
            "timeout": 120,
            "graceful_timeout": 5,
            "loglevel": "warning",
            "accesslog": str(settings.LOG_DIR / "access.log"),
            "control_socket_disable": True,
        }
        super().__init__()

    def load_config(self) -> None:
        """Take the options over; gunicorn's own command line and files are left aside."""
        for name, value in self.options.items():
            self.cfg.set(name, value)

    def load(self) -> Any:
        """Return the application."""
        return self.application
