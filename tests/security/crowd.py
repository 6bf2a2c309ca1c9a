"""A crowd at the door: callers that say nothing, say it slowly, or read slowly; and how long the others wait meanwhile.

Runs by itself against a server that is up: `python tests/security/crowd.py 127.0.0.1 8010 [authority.pem]`.
"""

from __future__ import annotations

import contextlib
import http.client
import socket
import ssl
import statistics
import sys
import threading
import time
from dataclasses import dataclass, field

SILENT, TRICKLING = 200, 50
ASKED = "/premises/sign-in/"


@dataclass
class Crowd:
    """Silent and trickling callers, for as long as the block lasts; gone at its end."""

    host: str
    port: int
    tls: ssl.SSLContext | None = None
    silent: int = SILENT
    trickling: int = TRICKLING
    begun: bytes = b"POST /premises/sign-in/ HTTP/1.1\r\nHost: localhost\r\nContent-Length: 900\r\n"
    there: list[socket.socket] = field(default_factory=list)
    over: threading.Event = field(default_factory=threading.Event)

    def __enter__(self) -> Crowd:
        for number in range(self.silent):
            # every second one over https gets as far as the handshake
            self.come(greet=bool(self.tls) and number % 2 == 0)
        slow = [self.come(greet=bool(self.tls)) for _ in range(self.trickling)]
        for number, caller in enumerate(filter(None, slow)):
            with contextlib.suppress(OSError):
                # half of them get to the body, which then trickles too
                caller.sendall(self.begun + (b"\r\nx" if number % 2 else b"X-Slow: "))
        threading.Thread(target=self.trickle, args=(list(filter(None, slow)),), daemon=True).start()
        return self

    def __exit__(self, *_: object) -> None:
        self.over.set()
        for caller in self.there:
            caller.close()

    def come(self, *, greet: bool) -> socket.socket | None:
        """Connect, and over https shake hands."""
        caller = None
        with contextlib.suppress(OSError):
            caller = socket.create_connection((self.host, self.port), timeout=3)
            if greet and self.tls is not None:
                caller = self.tls.wrap_socket(caller, server_hostname="localhost")
            self.there.append(caller)
        return caller

    def trickle(self, slow: list[socket.socket]) -> None:
        """A byte a second of each."""
        while not self.over.wait(1):
            for caller in slow:
                with contextlib.suppress(OSError):
                    caller.send(b"a")


def waits(
    host: str, port: int, tls: ssl.SSLContext | None = None, *, times: int = 60, pause: float = 0.1
) -> list[float]:
    """Seconds that each of so many callers waits for a page, on a connection of its own; 10 where none comes."""
    told = []
    for _ in range(times):
        since = time.perf_counter()
        try:
            asked = (
                http.client.HTTPSConnection("localhost", port, timeout=10, context=tls)
                if tls
                else http.client.HTTPConnection(host, port, timeout=10)
            )
            asked.request("GET", ASKED)
            reply = asked.getresponse()
            reply.read()
            asked.close()
            told.append(time.perf_counter() - since if reply.status < 500 else 10.0)
        except OSError:
            told.append(10.0)
        time.sleep(pause)
        if sum(told) > 60:
            break
    return told


def p95(seconds: list[float]) -> float:
    """What nineteen of twenty stay under."""
    return statistics.quantiles(seconds, n=20)[18] if len(seconds) > 1 else max(seconds)


def main(host: str, port: str, authority: str = "") -> None:
    """Print how long others wait, alone and beside the crowd."""
    tls = ssl.create_default_context(cafile=authority) if authority else None
    print(f"alone: p95 {p95(waits(host, int(port), tls)) * 1000:.0f} ms")  # noqa: T201
    with Crowd(host, int(port), tls):
        print(f"beside the crowd: p95 {p95(waits(host, int(port), tls)) * 1000:.0f} ms")  # noqa: T201


if __name__ == "__main__":
    main(*sys.argv[1:])
