"""How long a caller may take, and how many connections may be open; common practice, no source."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Protocol

HEAD_SECONDS = 10.0
"""From the first byte of a request (or from the connection, or the TLS handshake) to the end of its head."""
IDLE_SECONDS = 30.0
"""From an answer to the next request on the same connection."""
BODY_SECONDS = 30.0
"""What a body may take however short it is; and how long nothing of it may come."""
BODY_RATE = 2_000
"""Bytes a second that a long body brings at least on average: a phone far from the router sends a hundred times as many."""
READER_SECONDS = 60.0
"""How long a reader may take nothing of an answer."""
FAREWELL_SECONDS = 2.0
"""How long what a refused caller still sends is thrown away, so that the refusal reaches it (RFC 9112, 9.6)."""

ALL_CALLERS = 400
"""Connections at once; Windows' select takes 512, other systems' usual limit of open files is 1,024."""
CALLERS_OF_ONE = 64
"""Connections of one address at once; a browser opens six."""


class Waiting(Protocol):
    """What the limits ask of a connection."""

    origin: str
    is_served: bool
    heard: float


def in_excess(callers: Iterable[Waiting], of_one: int = CALLERS_OF_ONE) -> list[Waiting]:
    """The connections that have to go, the one longest unheard of first: those of an address with more than its share, and
    where there are more than fit, those of whoever has most. One that is being served is never among them."""
    there = list(callers)
    count = Counter(caller.origin for caller in there)
    waiting: dict[str, list[Waiting]] = {}
    for caller in sorted((one for one in there if not one.is_served), key=lambda one: one.heard):
        waiting.setdefault(caller.origin, []).append(caller)
    gone: list[Waiting] = []
    for origin, theirs in waiting.items():
        surplus = max(0, count[origin] - of_one)
        gone += theirs[:surplus]
        waiting[origin] = theirs[surplus:]
        count[origin] -= min(surplus, len(theirs))
    while sum(count.values()) > ALL_CALLERS:
        most = max(
            (origin for origin in waiting if waiting[origin]), key=lambda one: count[one], default=None
        )
        if most is None:
            break
        gone.append(waiting[most].pop(0))
        count[most] -= 1
    return gone
