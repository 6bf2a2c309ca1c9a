"""The porch: silent, trickling and greedy callers keep nobody waiting; what the log says of a request.

Tried with the standard library's sockets, TLS and HTTP client, which had no part in it.
"""

from __future__ import annotations

import contextlib
import http.client
import logging
import os
import socket
import ssl
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from shop.front_door.porch import limits
from shop.front_door.porch.callers import origin_of
from shop.front_door.porch.server import Porch
from shop.front_door.porch.tls import Certificate
from shop.front_door.security import without_secrets
from shop.opening.certificates import ready
from tests.security.crowd import Crowd, p95, waits

FORM = 50_000


class Shop:
    """A small application: it says how much it was sent, and keeps what it was asked."""

    def __init__(self) -> None:
        self.asked: list[dict[str, Any]] = []
        self.busy = threading.Semaphore(0)

    def __call__(self, environ: dict[str, Any], start: Any) -> list[bytes]:
        self.asked.append(environ)
        path = environ["PATH_INFO"]
        if path == "/slow/":
            self.busy.acquire(timeout=20)
        said = b"x" * 3_000_000 if path == "/long/" else str(len(environ["wsgi.input"].read())).encode()
        start("200 OK", [("Content-Length", str(len(said)))])
        return [said]


@pytest.fixture
def shop() -> Shop:
    return Shop()


@contextlib.contextmanager
def open_porch(shop: Shop, **more: Any) -> Iterator[Porch]:
    porch = Porch(shop, bind="127.0.0.1", port=0, form_bytes=FORM, threads=4, **more)
    served = threading.Thread(target=porch.run, daemon=True)
    served.start()
    try:
        yield porch
    finally:
        porch.stop()
        served.join(10)


@pytest.fixture
def porch(shop: Shop) -> Iterator[Porch]:
    with open_porch(shop) as porch:
        yield porch


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Any:
    return ready(tmp_path_factory.mktemp("https"), ["shop-pc.local"])


@dataclass(frozen=True)
class Reply:
    """What was answered."""

    status: int
    headers: Any
    body: bytes


def ask(porch: Porch, path: str = "/", body: bytes | None = None, **headers: str) -> Reply:
    caller = http.client.HTTPConnection("127.0.0.1", int(porch.effective_port), timeout=20)
    with contextlib.closing(caller):
        caller.request("POST" if body is not None else "GET", path, body, headers)
        reply = caller.getresponse()
        return Reply(reply.status, reply.headers, reply.read())


def all_said(caller: socket.socket) -> bytes:
    """Everything until the other end is shut."""
    said = b""
    while more := caller.recv(4000):
        said += more
    return said


def raw(porch: Porch, sent: bytes = b"") -> socket.socket:
    caller = socket.create_connection(("127.0.0.1", int(porch.effective_port)), timeout=20)
    caller.sendall(sent)
    return caller


def test_the_porch_ends_while_its_threads_wake_it_and_is_woken_no_more_afterwards(shop: Shop) -> None:
    """The trigger is a pipe; a number that was closed is given to the next file that is opened (close(2), open(2))."""
    for _ in range(30):
        with open_porch(shop) as porch:
            over = threading.Event()

            def wake(porch: Porch = porch, over: threading.Event = over) -> None:
                while not over.is_set():
                    porch.pull_trigger()

            busy = threading.Thread(target=wake)
            busy.start()
        ends = os.pipe()
        os.set_blocking(ends[0], False)
        try:
            time.sleep(0.002)
            over.set()
            busy.join()
            with pytest.raises(BlockingIOError):
                os.read(ends[0], 1)
        finally:
            for end in ends:
                os.close(end)


def test_two_hundred_silent_and_fifty_trickling_callers_keep_nobody_waiting(porch: Porch) -> None:
    with Crowd("127.0.0.1", int(porch.effective_port)):
        assert p95(waits("127.0.0.1", int(porch.effective_port), times=30, pause=0.02)) < 0.3


def test_nor_do_they_over_https(shop: Shop, kept: Any) -> None:
    trusting = ssl.create_default_context(cafile=str(kept.authority))
    with open_porch(shop, certificate=Certificate(kept.certificate, kept.key)) as porch:
        port = int(porch.effective_port)
        with Crowd("127.0.0.1", port, trusting, silent=100, trickling=30):
            assert p95(waits("127.0.0.1", port, trusting, times=30, pause=0.02)) < 0.3


def test_more_than_a_body_of_one_record_comes_and_goes_whole_over_https(shop: Shop, kept: Any) -> None:
    trusting = ssl.create_default_context(cafile=str(kept.authority))
    with open_porch(shop, certificate=Certificate(kept.certificate, kept.key)) as porch:
        caller = http.client.HTTPSConnection(
            "localhost", int(porch.effective_port), timeout=20, context=trusting
        )
        for size in (1, 16_384, 16_385, 2_000_000):
            caller.request("POST", "/", b"y" * size)
            assert caller.getresponse().read() == str(size).encode()
        caller.request("GET", "/long/")
        assert len(caller.getresponse().read()) == 3_000_000
        caller.close()
        assert shop.asked[0]["wsgi.url_scheme"] == "https"


def test_plain_http_and_old_tls_get_nothing_where_https_is_spoken(shop: Shop, kept: Any) -> None:
    old = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    old.check_hostname, old.verify_mode = False, ssl.CERT_NONE
    with pytest.warns(DeprecationWarning, match="TLSv1_1"):
        old.maximum_version = ssl.TLSVersion.TLSv1_1
    with open_porch(shop, certificate=Certificate(kept.certificate, kept.key)) as porch:
        with pytest.raises((OSError, http.client.HTTPException)):
            ask(porch)
        with pytest.raises(OSError), raw(porch) as caller:  # noqa: PT011  (an alert or a reset)
            old.wrap_socket(caller)
    assert shop.asked == []


def test_a_renewed_certificate_is_shown_without_a_restart(shop: Shop, tmp_path: Path) -> None:
    kept = ready(tmp_path / "https", ["shop-pc.local"])
    trusting = ssl.create_default_context(cafile=str(kept.authority))

    def shown(porch: Porch) -> bytes | None:
        with trusting.wrap_socket(raw(porch), server_hostname="localhost") as caller:
            return caller.getpeercert(binary_form=True)

    with open_porch(shop, certificate=Certificate(kept.certificate, kept.key)) as porch:
        before = shown(porch)
        ready(tmp_path / "https", ["shop-pc.local", "192.168.7.21"])
        assert shown(porch) != before


@pytest.mark.parametrize(
    "sent", [b"", b"GET / HTTP/1.1\r\nHost:", b"POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 90\r\n\r\nx"]
)
def test_who_takes_too_long_is_shown_out(porch: Porch, monkeypatch: Any, sent: bytes) -> None:
    for name in ("HEAD_SECONDS", "IDLE_SECONDS", "BODY_SECONDS"):
        monkeypatch.setattr(limits, name, 0.5)
    with raw(porch, sent) as caller:
        since = time.monotonic()
        assert caller.recv(100) == b""
        assert 0.4 < time.monotonic() - since < 4


def test_who_comes_more_often_than_a_browser_loses_the_oldest_connections_and_is_served(
    porch: Porch, monkeypatch: Any
) -> None:
    monkeypatch.setattr(porch, "callers_of_one", 10)
    callers = [raw(porch) for _ in range(25)]
    assert ask(porch).status == 200
    assert callers[0].recv(1) == b""
    assert len(porch.active_channels) <= 11
    for caller in callers:
        caller.close()


class Stood:
    """A connection as the limits see it."""

    def __init__(self, origin: str, heard: float, *, is_served: bool = False) -> None:
        self.origin, self.heard, self.is_served = origin, heard, is_served


def test_in_a_full_porch_whoever_has_most_makes_room() -> None:
    greedy = [Stood("10.0.0.9", n) for n in range(60)]
    others = [Stood(f"10.1.{n // 250}.{n % 250}", n) for n in range(limits.ALL_CALLERS - 55)]
    gone = limits.in_excess([*others, *greedy])
    assert gone == greedy[:5]


def test_nobody_who_is_being_served_is_shown_out() -> None:
    served = [Stood("10.0.0.9", n, is_served=True) for n in range(limits.ALL_CALLERS + 50)]
    assert limits.in_excess(served) == []


def test_one_network_of_ipv6_is_one_caller() -> None:
    assert origin_of("2001:db8::1") == origin_of("2001:db8::ffff:2") != origin_of("2001:db8:0:1::1")


# --- more than a form ---------------------------------------------------------------------------------------------


def test_a_stranger_is_refused_before_a_byte_of_a_large_body_is_read(shop: Shop) -> None:
    with open_porch(shop, may_send=lambda environ: environ.get("HTTP_COOKIE") == "known=1") as porch:
        reply = ask(porch, "/", b"z" * (FORM * 20))
        assert reply.body == b"0"
        assert reply.headers["Connection"] == "close"
        assert shop.asked[0]["CONTENT_LENGTH"] == str(FORM * 20)
        assert ask(porch, "/", b"z" * FORM).body == str(FORM).encode()
        assert ask(porch, "/", b"z" * (FORM * 20), Cookie="known=1").body == str(FORM * 20).encode()


def test_a_stranger_who_does_not_say_how_much_comes_is_refused_too(shop: Shop) -> None:
    with open_porch(shop, may_send=lambda _: False) as porch:
        sent = b"POST / HTTP/1.1\r\nHost: a\r\nTransfer-Encoding: chunked\r\n\r\n5\r\nhello\r\n0\r\n\r\n"
        with raw(porch, sent) as caller:
            assert all_said(caller).endswith(b"\r\n\r\n0")
        assert int(shop.asked[0]["CONTENT_LENGTH"]) > FORM


def test_a_fault_while_asking_counts_as_no(shop: Shop) -> None:
    def broken(_: object) -> bool:
        raise RuntimeError("as the book may be, some day")

    with open_porch(shop, may_send=broken) as porch:
        assert ask(porch, "/", b"z" * (FORM * 2)).body == b"0"


def test_who_waits_for_the_word_to_send_gets_it_after_the_question(shop: Shop) -> None:
    with open_porch(shop, may_send=lambda _: True) as porch:
        head = f"POST / HTTP/1.1\r\nHost: a\r\nExpect: 100-continue\r\nContent-Length: {FORM + 1}\r\n\r\n"
        with raw(porch, head.encode()) as caller:
            assert caller.recv(100).startswith(b"HTTP/1.1 100 ")
            caller.sendall(b"z" * (FORM + 1))
            # head and body may come apart
            reply = caller.makefile("rb")
            assert reply.readline().startswith(b"HTTP/1.1 200 ")
            while reply.readline().strip():
                pass
            assert reply.read(len(str(FORM + 1))) == str(FORM + 1).encode()


def test_pages_do_not_wait_for_those_who_bring_photographs(shop: Shop) -> None:
    with open_porch(shop, threads_for_files=2) as porch:
        files = "multipart/form-data; boundary=b"
        bringing = [
            threading.Thread(target=ask, args=(porch, "/slow/", b"x"), kwargs={"Content-Type": files})
            for _ in range(8)
        ]
        for one in bringing:
            one.start()
        assert p95([timed(porch) for _ in range(20)]) < 0.3
        for _ in bringing:
            shop.busy.release()
        for one in bringing:
            one.join(20)
    assert sum(environ["PATH_INFO"] == "/slow/" for environ in shop.asked) == 8


def timed(porch: Porch) -> float:
    since = time.perf_counter()
    ask(porch)
    return time.perf_counter() - since


def test_a_slow_reader_of_a_long_answer_keeps_no_thread(shop: Shop) -> None:
    with open_porch(shop) as porch:
        readers = [raw(porch, b"GET /long/ HTTP/1.1\r\nHost: a\r\n\r\n") for _ in range(20)]
        assert p95([timed(porch) for _ in range(60)]) < 0.3
        for reader in readers:
            reader.close()


# --- behind a proxy, and what is no request ------------------------------------------------------------------------


@pytest.mark.parametrize("is_behind_proxy", [True, False])
def test_only_the_proxy_may_say_where_a_caller_comes_from(shop: Shop, is_behind_proxy: bool) -> None:
    with open_porch(shop, is_behind_proxy=is_behind_proxy) as porch:
        ask(
            porch,
            **{"X-Forwarded-Proto": "https", "X-Forwarded-For": "192.0.2.9", "X_Forwarded_Proto": "https"},
        )
    assert ("HTTP_X_FORWARDED_PROTO" in shop.asked[0]) is is_behind_proxy


@pytest.mark.parametrize(
    "sent",
    [
        b"\x16\x03\x01 no http at all\r\n\r\n",
        b"GET /\r\n\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: a\r\nContent-Length: 5, 6\r\n\r\nhello",
        b"GET / HTTP/1.1\r\nHost: a\r\nContent-Length: -1\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: a\r\nTransfer-Encoding: gzip, chunked\r\n\r\n",
        b"GET / HTTP/1.1\nHost: a\n\n\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: a\r\nX: " + b"y" * 20_000 + b"\r\n\r\n",
    ],
)
def test_what_is_no_request_gets_a_refusal_or_nothing_and_the_door_stays_open(
    porch: Porch, shop: Shop, sent: bytes
) -> None:
    """Cases after RFC 9112, sections 3, 6.1 and 6.3."""
    with raw(porch, sent) as caller:
        with contextlib.suppress(OSError):
            caller.shutdown(socket.SHUT_WR)
        said = caller.recv(4000)
    assert not said or said.split()[1] in {b"400", b"431", b"501", b"200"}
    assert not [environ for environ in shop.asked if environ["wsgi.input"].read()]
    assert ask(porch).status == 200


def test_the_server_does_not_say_what_it_is(porch: Porch) -> None:
    assert "Server" not in ask(porch).headers


# --- the log of requests ------------------------------------------------------------------------------------------


@pytest.fixture
def lines() -> Iterator[list[str]]:
    """What stands in the log of requests, as its own filter and form leave it."""
    told: list[str] = []

    class Kept(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            told.append(without_secrets(record.getMessage()))

    log, kept = logging.getLogger("shop.access"), Kept()
    level = log.level
    log.addHandler(kept)
    log.setLevel(logging.INFO)
    yield told
    log.removeHandler(kept)
    log.setLevel(level)


def test_the_log_of_requests_says_neither_secrets_nor_what_was_asked_for(
    porch: Porch, lines: list[str]
) -> None:
    secret = "aB3_-" * 6 + "xy"
    ask(porch, f"/w/{secret}/?q=Ottoline+Pell")
    until(lambda: lines)
    assert "/w/…/" in lines[0]
    assert not {secret, "Ottoline"} & set(lines[0].replace("/", " ").split())
    assert "Pell" not in lines[0]


def test_no_line_of_it_can_be_forged(porch: Porch, lines: list[str]) -> None:
    with raw(porch, b'GET /a%0a\x1bc\x85" HTTP/1.1\r\nHost: a\r\nUser-Agent: b" 200\r\n\r\n') as caller:
        caller.recv(4000)
    until(lambda: lines)
    assert all(sign.isprintable() for sign in lines[0])
    assert lines[0].count('"') == 4
    assert "%0a" in lines[0]


def until(true: Any) -> None:
    for _ in range(200):
        if true():
            return
        time.sleep(0.02)
    raise AssertionError("it never came")
