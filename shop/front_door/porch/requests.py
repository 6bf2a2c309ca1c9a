"""A request as it comes in, and its line in the log once it is answered."""

from __future__ import annotations

import datetime as dt
import logging
from typing import Any

from waitress.parser import HTTPRequestParser
from waitress.task import ErrorTask, WSGITask

from shop.front_door.security import on_one_line

log = logging.getLogger("shop.access")


class Request(HTTPRequestParser):  # type: ignore[misc]
    """A request that brings more than a form may hold stops at the end of its head, until somebody said that it may go on."""

    is_asked_about = False
    """Whether it stopped."""
    is_held = False
    """Whether it still waits for the answer."""
    held = b""
    """What came meanwhile; no more than one reading, since the loop leaves the connection alone."""
    held_asked = False
    """Whether somebody was asked already."""
    expect_continue: bool
    wants_word = False
    """Whether the caller waits for “100 Continue” (RFC 9110, 10.1.1)."""

    def received(self, data: bytes) -> int:
        """Take in what came; return how much of it belongs to this request."""
        if self.is_held:
            self.held += data
            return len(data)
        consumed = int(super().received(data))
        if self.headers_finished and not self.completed and not self.is_asked_about and self._is_large():
            self.is_asked_about = self.is_held = True
            self.wants_word, self.expect_continue = self.expect_continue, False
        return consumed

    def _is_large(self) -> bool:
        return bool(self.chunked or self.content_length > self.adj.form_bytes)

    def withhold(self) -> None:
        """Hand the request on without the body that it announced, to be refused; the connection ends with the answer."""
        self.headers.setdefault("CONTENT_LENGTH", str(self.adj.max_request_body_size))
        self.headers["CONNECTION"] = "close"
        self.is_held, self.held, self.body_rcv = False, b"", None
        self.completed = self.connection_close = True

    @property
    def brings_files(self) -> bool:
        """Whether it is of the kind that photographs and lists come in."""
        return str(self.headers.get("CONTENT_TYPE", "")).lower().startswith("multipart/")


def _note(task: WSGITask | ErrorTask) -> None:
    """Write the line of an answered request, without what was asked for behind the address: people search for customers by
    name, and no log remembers whom."""
    request: Any = task.request
    address = str(getattr(request, "request_uri", "-")).partition("?")[0]
    log.info(
        '%s - [%s] "%s %s HTTP/%s" %s %s "%s"',
        task.channel.addr[0],
        dt.datetime.now(dt.UTC).isoformat(timespec="seconds"),
        getattr(request, "command", "-"),
        _quoted(address),
        request.version,
        task.status[:3],
        task.content_bytes_written,
        _quoted(str(request.headers.get("USER_AGENT", "-"))[:200]),
    )


def _quoted(text: str) -> str:
    return on_one_line(text).replace('"', "'")


class Answer(WSGITask):  # type: ignore[misc]
    """The shop's answer to a request."""

    def finish(self) -> None:
        """Send the rest, and note it."""
        super().finish()
        _note(self)


class Refusal(ErrorTask):  # type: ignore[misc]
    """The answer to what is no request."""

    def finish(self) -> None:
        """Send the rest, and note it."""
        super().finish()
        _note(self)
