"""News: what happened that a person should know, on the first screen until they have seen it.

A room tells its own: it hangs up a function in its `apps.py` that says what is news for a member of staff. Nothing is written
when something happens, so nothing is forgotten: what is news is read from what stands in the book. What each person has seen is
kept by the key of the piece, so that it comes anew only when it says something new.

    from shop.frame.news import tell
    tell(letters_that_failed)
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from shop.frame import clock
from shop.frame.models import NewsSeen, Staff

FRESH = dt.timedelta(days=30)
"""What is older is no news any more, seen or not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One piece of news. `key` names what it says, once and for all; `address` is where one sees to it."""

    key: str
    icon: str
    title: str
    words: str
    at: dt.datetime
    address: str = ""
    note: str = ""
    stops: bool = False
    """Whether work should stop until somebody has seen to it."""


Teller = Callable[[Staff], Iterable[Piece]]

_tellers: list[Teller] = []
_SEEN = "_news_seen"


def tell(teller: Teller) -> None:
    """Have a room tell its news; it calls this in its `apps.py`."""
    if teller not in _tellers:
        _tellers.append(teller)


def unseen(staff: Staff) -> list[Piece]:
    """What is news for this person: what stops work first, then the newest."""
    told = [piece for teller in _tellers for piece in teller(staff)]
    if not told:
        return []
    known = seen_by(staff)
    new = [piece for piece in told if piece.key not in known]
    return sorted(new, key=lambda piece: (not piece.stops, -piece.at.timestamp()))


def seen_by(staff: Staff) -> frozenset[str]:
    """The keys of what this person has seen lately; asked once for the life of `staff`."""
    known: frozenset[str] | None = getattr(staff, _SEEN, None)
    if known is None:
        known = frozenset(NewsSeen.objects.filter(staff=staff).values_list("key", flat=True))
        setattr(staff, _SEEN, known)
    return known


def note_seen(staff: Staff, keys: Iterable[str]) -> None:
    """This person has seen these pieces. It is nobody else's business, and stands in no journal."""
    setattr(staff, _SEEN, None)
    NewsSeen.objects.bulk_create(
        [NewsSeen(staff=staff, key=key[:80]) for key in {*keys} if key.isprintable()], ignore_conflicts=True
    )


def forget_old() -> int:
    """Clear away what was seen of news that is none any more; returns how many."""
    return (
        NewsSeen.objects.filter(at__lt=clock.now() - 3 * FRESH).exclude(key__startswith="set-up:").delete()[0]
    )


def since() -> dt.datetime:
    """The moment before which nothing is news."""
    return clock.now() - FRESH
