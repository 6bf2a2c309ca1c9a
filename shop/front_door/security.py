"""What keeps the front door: the policy for browsers, a limit on what strangers may send, and logs without secrets.

The policy itself stands in settings, as `SECURE_CSP`. Django 6 brings the same setting with a middleware of its own; then
`PolicyMiddleware` shrinks to the permissions header.
"""

from __future__ import annotations

import datetime as dt
import logging
import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth import get_user
from django.contrib.sessions.middleware import SessionMiddleware
from django.core import signals
from django.core.exceptions import RequestDataTooBig
from django.core.handlers.wsgi import WSGIRequest
from django.http import Http404, HttpRequest, HttpResponse

# The camera is for pictures of the unit; nothing else is asked of the device.
PERMISSIONS = "camera=(self), geolocation=(), microphone=(), payment=(), usb=()"


def build_policy(directives: Mapping[str, Sequence[str]]) -> str:
    """Return the Content-Security-Policy header for `directives`; one without sources stands as its bare name."""
    return "; ".join(" ".join([name, *sources]) for name, sources in directives.items())


class PolicyMiddleware:
    """Puts the content security policy on every response that does not bring its own."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response
        self.policy = build_policy(settings.SECURE_CSP)

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", self.policy)
        response.headers.setdefault("Permissions-Policy", PERMISSIONS)
        if settings.HTTPS and not settings.SECURE_HSTS_SECONDS:
            response.headers.setdefault("Strict-Transport-Security", "max-age=0")
        return response


class NothingStaysMiddleware:
    """What is shown behind the sign-in is not left in the browser's store, unless the answer says itself how it may be."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if request.session.accessed and "Cache-Control" not in response.headers:
            response.headers["Cache-Control"] = "private, no-store"
        return response


def may_send(environ: dict[str, Any]) -> bool:
    """Whether a request that brings more than a form's worth comes from somebody who is signed in; its body is not touched."""
    signals.request_started.send(sender=may_send, environ=environ)
    try:
        request = WSGIRequest(environ)
        SessionMiddleware(lambda _: HttpResponse()).process_request(request)
        return bool(get_user(request).is_authenticated)
    finally:
        signals.request_finished.send(sender=may_send)


class StrangersMiddleware:
    """Refuses more than a form's worth of data from whoever is not signed in, before a byte of it is read.

    Only staff send photographs and files. Without this, the sign-in page would put whatever a stranger sends on the disk.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if _announced(request) > settings.DATA_UPLOAD_MAX_MEMORY_SIZE and not request.user.is_authenticated:
            raise RequestDataTooBig("More than a form's worth from somebody who is not signed in.")
        return self.get_response(request)


class NullsMiddleware:
    """Nothing is at an address with a null character in it: PostgreSQL takes none, and would answer a question with an error."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if "\0" in request.path_info or "%00" in request.META.get("QUERY_STRING", ""):
            raise Http404
        return self.get_response(request)


def _announced(request: HttpRequest) -> int:
    """How many bytes the request says that it brings; Django reads no more than that."""
    try:
        return int(request.META.get("CONTENT_LENGTH") or 0)
    except ValueError:
        return 0


class OfAShop(logging.Filter):
    """Keeps the log of a shop that was made; before that there is no folder for it, and none is made for a line."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Whether there is a log to write into."""
        return Path(settings.LOG_DIR).is_dir()


_SECRET_IN_ADDRESS = re.compile(r"(/(?:w|opening|planner/calendar)/)[\w-]{12,}")


def without_secrets(text: str) -> str:
    """The same text without the secrets that open the customer's page, the calendar and the opening page."""
    return _SECRET_IN_ADDRESS.sub(r"\1…", text)


def on_one_line(text: str) -> str:
    """The same text with every sign that is not to be seen written out: no line of a log can be forged, no terminal steered."""
    if text.isprintable():
        return text
    return "".join(
        sign if sign.isprintable() else sign.encode("unicode_escape").decode("ascii") for sign in text
    )


class LineFormatter(logging.Formatter):
    """One line an event; what follows of a trace is set in by a bar, so that none of it can pass for an event."""

    def formatTime(self, record: logging.LogRecord, datefmt: str | None = None) -> str:  # noqa: N802  (logging's own)
        """The moment in UTC, with its zone."""
        return dt.datetime.fromtimestamp(record.created, dt.UTC).isoformat(timespec="milliseconds")

    def formatMessage(self, record: logging.LogRecord) -> str:  # noqa: N802  (logging's own name)
        """The line of the event."""
        return on_one_line(super().formatMessage(record))

    def formatException(self, exc_info: Any) -> str:  # noqa: N802  (logging's own name)
        """The lines of the trace."""
        trace = super().formatException(exc_info)
        return "\n".join(f"  | {on_one_line(line)}" for line in trace.splitlines())


class WithoutSecrets(logging.Filter):
    """Keeps secrets that stand in addresses out of the log: whoever reads it must not be able to open a customer's page."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Write the line out and take the secrets from it; every line is kept."""
        record.msg, record.args = without_secrets(record.getMessage()), ()
        return True
