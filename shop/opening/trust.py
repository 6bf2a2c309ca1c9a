"""The page on which a tablet gets the shop's authority and reads how to trust it.

It is plain http and the one page that is: a tablet that does not trust the shop yet can't open anything else. It hands out
a public certificate and nothing of the shop's. The fingerprint on it is compared with the one in the terminal.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.template.loader import render_to_string

from shop.opening.certificates import Certificates

AUTHORITY_PATH = "/mendwright-authority.crt"
HEADERS = {
    "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "no-store",
    "Referrer-Policy": "no-referrer",
}


@dataclass(frozen=True, slots=True)
class TrustDesk:
    """What the page says and hands out."""

    page: bytes
    authority: bytes

    @classmethod
    def of(cls, certificates: Certificates, address: str) -> TrustDesk:
        """The page for these certificates; `address` is where the shop answers once it is trusted."""
        context = {"address": address, "authority": AUTHORITY_PATH, "fingerprint": certificates.fingerprint()}
        page = render_to_string("opening/trust.html", context).encode()
        return cls(page, certificates.authority.read_bytes())

    def __call__(self, environ: dict[str, Any], start: Callable[..., object]) -> list[bytes]:
        """Answer as a WSGI application: the page, the certificate, and nothing else."""
        path = environ["PATH_INFO"]
        if environ["REQUEST_METHOD"] not in {"GET", "HEAD"}:
            status, kind, body = "405 Method Not Allowed", "text/plain", b""
        elif path == AUTHORITY_PATH:
            status, kind, body = "200 OK", "application/x-x509-ca-cert", self.authority
        elif path == "/":
            status, kind, body = "200 OK", "text/html; charset=utf-8", self.page
        else:
            status, kind, body = "404 Not Found", "text/plain", b"There is nothing at this address."
        start(status, [("Content-Type", kind), ("Content-Length", str(len(body))), *HEADERS.items()])
        return [body]
