"""A process of its own that develops pictures, one after the other, within a limit of memory: no picture can harm the shop.

    python -m shop.keeping.developing

On standard input each picture comes as its length and its bytes; on standard output goes, for each, either what is wrong with
it or its three sizes. Started and spoken with by `apart.py`. It needs no Django, so that it starts quickly and small.
"""

from __future__ import annotations

import contextlib
import os
import struct
import sys
from typing import IO

from shop.keeping.darkroom import Developed, Undevelopable, develop

MEMORY = 768 << 20
"""Bytes of memory that it may take, address space and all; a picture of the most pixels that are taken needs two thirds."""
TOO_MUCH = "takes more memory than a picture may. Take it again at a lower resolution."
LENGTH = struct.Struct(">q")
SIZES = struct.Struct(">qqqqq")


def limit() -> None:
    """Give way to whoever serves pages, and take no more memory than allowed, where the system knows how to hold one to it."""
    with contextlib.suppress(OSError, AttributeError):
        os.nice(10)
    try:
        import resource  # noqa: PLC0415  (not on Windows)
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def answer(data: bytes, into: IO[bytes]) -> None:
    """Develop one picture and write what came of it: how long the reason is and the reason, or 0, the sizes and the pictures."""
    try:
        developed = develop(data)
    except Undevelopable as reason:
        told = str(reason).encode()
        into.write(LENGTH.pack(len(told)) + told)
    except MemoryError:
        told = TOO_MUCH.encode()
        into.write(LENGTH.pack(len(told)) + told)
    else:
        into.write(LENGTH.pack(0))
        write(developed, into)
    into.flush()


def write(developed: Developed, into: IO[bytes]) -> None:
    """Write what was developed."""
    medium = developed.medium
    lengths = (len(developed.full), -1 if medium is None else len(medium), len(developed.thumbnail))
    into.write(SIZES.pack(developed.width, developed.height, *lengths))
    into.write(developed.full + (medium or b"") + developed.thumbnail)


def read(file: IO[bytes]) -> Developed:
    """Read what `write` wrote. EOFError where the other end broke off."""
    width, height, full, medium, thumbnail = SIZES.unpack(exactly(file, SIZES.size))
    return Developed(
        full=exactly(file, full),
        medium=None if medium < 0 else exactly(file, medium),
        thumbnail=exactly(file, thumbnail),
        width=width,
        height=height,
    )


def exactly(file: IO[bytes], size: int) -> bytes:
    """So many bytes. EOFError where there are fewer."""
    data = file.read(size)
    if len(data) != size:
        raise EOFError
    return data


def main() -> int:
    """Develop what comes until the other end is shut."""
    given, told = sys.stdin.buffer, os.fdopen(os.dup(1), "wb")
    # whatever a library prints is not the answer
    os.dup2(2, 1)
    limit()
    while head := given.read(LENGTH.size):
        (size,) = LENGTH.unpack(head)
        answer(exactly(given, size), told)
    return 0


if __name__ == "__main__":
    sys.exit(main())
