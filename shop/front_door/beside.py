"""The worker beside the server: started with it, ended with it, started again should something end it."""

from __future__ import annotations

import subprocess
import sys
import threading
import time

from django.conf import settings

PAUSE = 5.0
"""Seconds before a worker that ended is started again."""


def keep_a_worker() -> None:
    """Have `manage.py work` run as long as this process does: it holds the other end of the worker's pipe."""
    threading.Thread(target=_keep, name="worker", daemon=True).start()


def _keep() -> None:
    command = [sys.executable, str(settings.BASE_DIR / "manage.py"), "work", "--beside"]
    while True:
        subprocess.Popen(command, stdin=subprocess.PIPE).wait()  # noqa: S603  (our own program)
        time.sleep(PAUSE)
