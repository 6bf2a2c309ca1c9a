"""The page on which a tablet gets the shop's authority and reads how to trust it.

It is plain http and the one page that is: a tablet that does not trust the shop yet can't open anything else. It hands out
a public certificate and nothing of the shop's. The fingerprint on it is compared with the one in the terminal.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

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

    def open(self, bind: str, port: int) -> ThreadingHTTPServer:
        """Answer on that port from a thread of its own until the process ends."""
        desk = self

        class Handler(BaseHTTPRequestHandler):
            server_version, sys_version = "Mendwright", ""

            def do_GET(self) -> None:
                """Hand out the page, or the certificate."""
                if self.path == AUTHORITY_PATH:
                    self.answer(desk.authority, "application/x-x509-ca-cert")
                elif self.path == "/":
                    self.answer(desk.page, "text/html; charset=utf-8")
                else:
                    self.send_error(404)

            def answer(self, body: bytes, content_type: str) -> None:
                """Send one answer."""
                self.send_response(200)
                self.send_header("Content-Type", content_type)
                self.send_header("Content-Length", str(len(body)))
                for name, value in HEADERS.items():
                    self.send_header(name, value)
                self.end_headers()
                self.wfile.write(body)

            def log_message(self, *_: object) -> None:
                """Keep quiet in the terminal."""

        server = ThreadingHTTPServer((bind, port), Handler)
        threading.Thread(target=server.serve_forever, name="trust desk", daemon=True).start()
        return server
