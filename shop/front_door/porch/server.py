"""The loop that reads and the threads that answer."""

from __future__ import annotations

import contextlib
import logging
import os
import signal
import sys
import threading
import time
from collections.abc import Callable
from typing import Any

from waitress import wasyncore
from waitress.adjustments import Adjustments
from waitress.server import TcpWSGIServer
from waitress.task import ThreadedTaskDispatcher

from shop.front_door.porch import limits
from shop.front_door.porch.callers import Caller
from shop.front_door.porch.requests import Request
from shop.front_door.porch.tls import Certificate

log = logging.getLogger(__name__)

THREADS = 8
THREADS_FOR_FILES = 3
"""Photographs and lists take their time and are looked at one after the other; pages never wait for them."""
LONGEST_HEAD = 16_384
"""Bytes of the lines before a body: 400 letters of some scripts are 3,600 signs in an address, and filters stand beside."""
LARGEST_BODY = 1 << 30


class Porch(TcpWSGIServer):  # type: ignore[misc]
    """Serves a WSGI application on one address; `run` does until Ctrl-C or SIGTERM."""

    channel_class = Caller

    def __init__(
        self,
        application: object,
        *,
        bind: str,
        port: int,
        certificate: Certificate | None = None,
        form_bytes: int = LARGEST_BODY,
        may_send: Callable[[dict[str, Any]], bool] = lambda _: True,
        is_behind_proxy: bool = False,
        threads: int = THREADS,
        threads_for_files: int = THREADS_FOR_FILES,
    ) -> None:
        """`may_send` is asked, in a thread, about a request that brings more than `form_bytes`; without its yes no byte of the
        body is read, and the application is handed the request with the length that was announced."""
        self.certificate = certificate
        self.may_send = may_send
        # the one proxy brings everybody's requests
        self.callers_of_one = limits.ALL_CALLERS if is_behind_proxy else limits.CALLERS_OF_ONE
        self.files = ThreadedTaskDispatcher()
        self.files.set_thread_count(threads_for_files)
        adjustments = Adjustments(
            listen=f"{bind}:{port}",
            threads=threads,
            url_scheme="https" if certificate else "http",
            ident=None,
            # who answers has sent all of it before it goes out, however slowly it is read: what doesn't fit goes to the disk
            outbuf_high_watermark=1 << 40,
            connection_limit=1 << 20,  # `make_room` sees to that, and never stops listening
            cleanup_interval=1,
            log_socket_errors=False,
            max_request_header_size=LONGEST_HEAD,
            max_request_body_size=LARGEST_BODY,
            clear_untrusted_proxy_headers=not is_behind_proxy,
            asyncore_use_poll=os.name != "nt",
            backlog=1024,
        )
        adjustments.form_bytes = form_bytes
        super().__init__(application, adj=adjustments)

    def accept(self) -> Any:
        """The next connection, if there is one."""
        found = super().accept()
        if found is None or self.certificate is None:
            return found
        connection, address = found
        return self.certificate.wrap(connection), address

    def handle_error(self) -> None:
        """A fault at the door itself is noted, and the door stays open."""
        log.error("a connection could not be taken in", exc_info=True)  # noqa: LOG014  (called while it is handled)

    def add_task(self, caller: Caller) -> None:
        """Have a request answered: what brings files by the threads for that."""
        brings_files = bool(caller.requests) and caller.requests[0].brings_files
        (self.files if brings_files else self.task_dispatcher).add_task(caller)

    def ask(self, caller: Caller, request: Request) -> None:
        """Have a thread find out whether that request's body may come in."""
        self.task_dispatcher.add_task(_Question(self, caller, request))

    def make_room(self) -> None:
        """End the connections that are too many."""
        for caller in limits.in_excess(self.active_channels.values(), self.callers_of_one):
            caller.will_close = True  # type: ignore[attr-defined]

    def maintenance(self, _now: float) -> None:
        """End the connections of those who take too long; once a second."""
        now = time.monotonic()
        for caller in self.active_channels.values():
            if caller.is_overdue(now):
                caller.will_close = True

    def run(self) -> None:
        """Serve until Ctrl-C, or SIGTERM; whoever is being served then has five seconds."""
        if threading.current_thread() is threading.main_thread():
            signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
        try:
            super().run()
        finally:
            self.files.shutdown()

    def stop(self) -> None:
        """End `run`, from whatever thread."""
        # the loop runs this under the same lock: woken by a thread that is done just now, it waits until the trigger was pulled
        with self.trigger.lock:
            self.trigger.thunks.append(lambda: wasyncore.close_all(self._map))
            self.trigger._physical_pull()

    def pull_trigger(self) -> None:
        """Wake the loop, as a thread does that is done; after the loop has ended, the trigger's number may be another file's."""
        with self.trigger.lock:
            if not self.trigger._closed:
                self.trigger._physical_pull()


class _Question:
    """Whether somebody may send more than a form; asked by a thread, since the answer stands in the book."""

    def __init__(self, porch: Porch, caller: Caller, request: Request) -> None:
        self.porch, self.caller, self.request = porch, caller, request

    def service(self) -> None:
        """Find out, and tell the caller's connection."""
        may_send = False
        with contextlib.suppress(ConnectionError):
            try:
                environ = self.caller.task_class(self.caller, self.request).get_environment()
                may_send = self.porch.may_send(dict(environ))
            finally:
                self.caller.decide(self.request, may_send=may_send)

    def cancel(self) -> None:
        """The shop is closing; nobody is told any more."""
