"""TLS that never waits: a socket for the porch's loop that says when it has to be called again."""

from __future__ import annotations

import contextlib
import errno
import socket
import ssl
import threading
from pathlib import Path

RECORD = 1 << 14
"""Bytes of the longest TLS record (RFC 8446, 5.1); asked for less, OpenSSL keeps the rest where no poll sees it."""


class Certificate:
    """What the shop shows over https; read anew when its file was replaced, so that a renewed one needs no restart."""

    def __init__(self, certificate: Path, key: Path) -> None:
        self.files = certificate, key
        self._read_at: tuple[int, ...] = ()
        self._context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)

    def context(self) -> ssl.SSLContext:
        """The settings of a connection: TLS 1.2 and later, no renegotiation."""
        now = tuple(file.stat().st_mtime_ns for file in self.files)
        if now != self._read_at:
            context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
            context.minimum_version = ssl.TLSVersion.TLSv1_2
            context.options |= ssl.OP_NO_RENEGOTIATION
            context.load_cert_chain(*map(str, self.files))
            self._context, self._read_at = context, now
        return self._context

    def wrap(self, connection: socket.socket) -> TlsSocket:
        """The same connection, to be spoken with by TLS; the handshake goes on while it is read."""
        connection.settimeout(0)
        return TlsSocket(
            self.context().wrap_socket(connection, server_side=True, do_handshake_on_connect=False)
        )


class TlsSocket:
    """As much of a socket as the loop uses. The loop reads, and a thread that answers may write at the same moment: OpenSSL
    takes one of them at a time."""

    def __init__(self, connection: ssl.SSLSocket) -> None:
        self._connection = connection
        self._lock = threading.Lock()
        self.wants_to_write = False
        """Whether reading can't go on before something was sent, as in the middle of a handshake."""

    def recv(self, _size: int) -> bytes:
        """What has come, all of it that is decrypted. BlockingIOError where nothing can be read yet."""
        with self._lock:
            self.wants_to_write = False
            try:
                data = self._connection.recv(RECORD)
                while waiting := self._connection.pending():
                    data += self._connection.recv(waiting)
            except ssl.SSLWantReadError:
                raise BlockingIOError(errno.EWOULDBLOCK, "no whole record yet") from None
            except ssl.SSLWantWriteError:
                self.wants_to_write = True
                raise BlockingIOError(errno.EWOULDBLOCK, "the handshake has to go out first") from None
            except ssl.SSLError as error:
                # plain http, an old version, an authority that is not trusted: there is nobody to answer
                raise ConnectionResetError(errno.ECONNRESET, str(error)) from None
        return data

    def send(self, data: bytes) -> int:
        """Send what can be sent now. BlockingIOError where nothing can."""
        with self._lock:
            try:
                return self._connection.send(data)
            except (ssl.SSLWantReadError, ssl.SSLWantWriteError):
                raise BlockingIOError(errno.EWOULDBLOCK, "the reader is slow") from None
            except ssl.SSLError as error:
                raise ConnectionResetError(errno.ECONNRESET, str(error)) from None

    def shutdown(self, how: int) -> None:
        """Say that nothing more is sent (RFC 8446, 6.1), and end that direction."""
        with self._lock:
            with contextlib.suppress(OSError, ValueError):
                self._connection.unwrap()
            self._connection.shutdown(how)

    def close(self) -> None:
        """End the connection."""
        with self._lock:
            self._connection.close()

    def fileno(self) -> int:
        """The number by which the system knows it."""
        return self._connection.fileno()

    def setblocking(self, flag: bool) -> None:  # noqa: FBT001  (a socket's own signature)
        """Whether calls wait."""
        self._connection.setblocking(flag)

    def getsockopt(self, level: int, option: int) -> int:
        """A setting of the socket."""
        return self._connection.getsockopt(level, option)

    def setsockopt(self, level: int, option: int, value: int) -> None:
        """Change a setting of the socket."""
        self._connection.setsockopt(level, option, value)
