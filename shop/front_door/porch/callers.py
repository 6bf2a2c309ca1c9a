"""One connection in the porch: read as far as it has come, answered as fast as it reads, ended when it takes too long."""

from __future__ import annotations

import contextlib
import ipaddress
import socket
import time
from typing import Any

from waitress.channel import HTTPChannel

from shop.front_door.porch import limits
from shop.front_door.porch.requests import Answer, Refusal, Request


class Caller(HTTPChannel):  # type: ignore[misc]
    """A caller; the loop alone calls it, but for `service` and `decide`, which the threads do that answer."""

    parser_class = Request
    task_class = Answer
    error_task_class = Refusal

    request: Request | None
    requests: list[Request]

    def __init__(self, server: Any, sock: Any, addr: tuple[Any, ...], adj: Any, map: Any = None) -> None:  # noqa: A002
        self.origin = origin_of(str(addr[0]))
        self.heard = self.begun = time.monotonic()
        """When something came or went last, and when the first byte of the request that is coming in did."""
        self.has_asked = False
        self.leaves_at: float | None = None
        super().__init__(server, sock, addr, adj, map=map)
        server.make_room()

    # --- what the loop does ---------------------------------------------------------------------------------------

    @property
    def is_served(self) -> bool:
        """Whether a thread is at work for it, or it waits for one."""
        return bool(self.requests) or (self.request is not None and self.request.is_held)

    def readable(self) -> bool:
        """Whether more is read: not while a request is answered, nor before it is known whether its body may come."""
        if self.leaves_at is not None:
            return True
        return bool(super().readable()) and not (self.request is not None and self.request.is_held)

    def writable(self) -> bool:
        """Whether there is something to send, or the connection has to be ended."""
        if self.leaves_at is not None:
            return bool(self.will_close)
        return bool(super().writable() or getattr(self.socket, "wants_to_write", False))

    def handle_read(self) -> None:
        """Take in what has come."""
        try:
            data = self.recv(self.adj.recv_bytes)
        except BlockingIOError:
            return
        except OSError:
            self.handle_close()
            return
        if not data:
            self.connected = False
            return
        if self.leaves_at is not None:
            return
        self.heard = time.monotonic()
        if self.request is None:
            self.begun = self.heard
        self.received(data)

    def received(self, data: bytes) -> bool:
        """Make requests of what has come; ask about one that brings more than a form."""
        going = bool(super().received(data))
        request = self.request
        if request is not None and request.is_held and not request.held_asked:
            request.held_asked = True
            self.server.ask(self, request)
        self.has_asked = self.has_asked or bool(self.requests)
        return going

    def handle_write(self) -> None:
        """Send what can be sent; at the end say goodbye before the door is shut, so that the last answer is still read."""
        if getattr(self.socket, "wants_to_write", False):
            self.handle_read()
            return
        said_all = self.close_when_flushed and not self.total_outbufs_len and not self.will_close
        if said_all and self.leaves_at is None:
            self.leaves_at = time.monotonic() + limits.FAREWELL_SECONDS
            with contextlib.suppress(OSError):
                self.socket.shutdown(socket.SHUT_WR)
            return
        super().handle_write()

    def _flush_some(self, do_close: bool = True) -> bool:  # noqa: FBT001, FBT002  (as in waitress)
        sent = bool(super()._flush_some(do_close=do_close))
        if sent:
            self.heard = time.monotonic()
        return sent

    def is_overdue(self, now: float) -> bool:
        """Whether it took longer than a caller may."""
        if self.leaves_at is not None:
            return now > self.leaves_at
        if self.is_served:
            return False
        if self.total_outbufs_len:
            return now - self.heard > limits.READER_SECONDS
        request = self.request
        if request is None:
            return now - self.heard > (limits.IDLE_SECONDS if self.has_asked else limits.HEAD_SECONDS)
        if not request.headers_finished:
            return now - self.begun > limits.HEAD_SECONDS
        patience = limits.BODY_SECONDS + request.body_bytes_received / limits.BODY_RATE
        return now - self.begun > patience or now - self.heard > limits.BODY_SECONDS

    # --- what the threads do --------------------------------------------------------------------------------------

    def service(self) -> None:
        """Answer the request that has come."""
        super().service()
        self.heard = time.monotonic()

    def decide(self, request: Request, *, may_send: bool) -> None:
        """Read on, or have the request refused without its body."""
        if not may_send:
            with self.requests_lock:
                request.withhold()
                self.request = None
                self.requests.append(request)
            self.server.add_task(self)
            return
        with self.requests_lock:
            came, request.held, request.is_held = request.held, b"", False
            self.begun = self.heard = time.monotonic()
            if request.wants_word:
                self.send_continue()
        if came:
            self.received(came)
        self.server.pull_trigger()


def origin_of(address: str) -> str:
    """What connections are counted by: the address; of an IPv6 address its network's half."""
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return address
    return str(ipaddress.ip_network((parsed, 64), strict=False)) if parsed.version == 6 else address
