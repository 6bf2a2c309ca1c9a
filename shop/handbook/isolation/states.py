"""How a unit stood while something was read, from the words beside the reading: at stop, warm, with the tube pulled.

Sources: the words of the trade, common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

_NEGATED = re.compile(
    r"\b(?:not|no|un|de)[\s-]*(energi[sz]ed|pressed|playing|powered|driven|muted|loaded|plugged)"
)
_RESTING = re.compile(
    r"\b(?:stop(?:ped)?|paused?|standby|stand-by|at rest|resting|muted|unenergi[sz]ed|powered off|switched off|off|idling)\b"
)
_ACTIVE = re.compile(
    r"\b(?:play(?:ing)?|rec(?:ord(?:ing)?)?|rewind|fast forward|ff|rew|seek|search|spin[\s-]?up|start|lift|running|run|on|"
    r"pressed|energi[sz]ed|powered|open(?:ing)?|close|closing|load(?:ing)?|eject|forward|reverse|inward|outward|driven)\b"
)
_CLOSED = re.compile(
    r"\b(?:closed|made|energi[sz]ed|pulled in|on)\b|\d\s*(?:a|ma|w)\b|\bunder (?:load|current)\b|\bloaded\b"
)
_SWAPPED = re.compile(r"\b(?:swap|exchang|interchang|changed over|crossed over)")
_TUBE = r"(?:tube|valve|v\d{1,2}|[a-z]{1,4}\d{2,4}[a-z]{0,2}|\d{1,2}[a-z]{1,2}\d{1,2}[a-z]{0,3})"
"""A tube by its word, its place on the chassis, or its type: European (EL84) or American (12AX7)."""

_PULLED = re.compile(
    rf"\b(?:pulled|(?:without|w/o) (?:the )?{_TUBE}|{_TUBE} (?:is )?(?:out|removed|unplugged)|removed)\b"
)
_LIFTED = re.compile(
    r"\b(?:lifted|out of (?:the )?circuit|removed|desoldered|unsoldered|disconnected|one leg|leg up)\b"
)
_MINUTES = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:min(?:utes?)?\b|m\b|')")
_SECONDS = re.compile(r"(\d+(?:[.,]\d+)?)\s*s(?:ec(?:onds?)?)?\b")
_HOURS = re.compile(r"(\d+(?:[.,]\d+)?)\s*h(?:ours?)?\b")


@dataclass(frozen=True, slots=True)
class State:
    """What the words beside a reading say. ``minutes``: how long it had run, None where nothing tells."""

    words: str = ""
    resting: bool = False
    active: bool = False
    closed: bool = False
    swapped: bool = False
    pulled: bool = False
    lifted: bool = False
    minutes: Decimal | None = None


@lru_cache(maxsize=1024)
def read_state(text: str) -> State:
    """The state that the words tell of."""
    words = " ".join(text.casefold().split())
    negated = bool(_NEGATED.search(words))
    awake = "muted" in (match[1] for match in _NEGATED.finditer(words))
    plain = _NEGATED.sub(" ", words)
    resting = bool(_RESTING.search(plain)) or (negated and not awake)
    return State(
        words,
        resting=resting,
        active=not resting and bool(_ACTIVE.search(plain)),
        closed=not resting and bool(_CLOSED.search(plain)),
        swapped=bool(_SWAPPED.search(words)),
        pulled=bool(_PULLED.search(words)),
        lifted=bool(_LIFTED.search(words)),
        minutes=_minutes(words),
    )


def _minutes(words: str) -> Decimal | None:
    for pattern, worth in ((_MINUTES, Decimal(1)), (_HOURS, Decimal(60)), (_SECONDS, Decimal(1) / 60)):
        if match := pattern.search(words):
            return Decimal(match[1].replace(",", ".")) * worth
    return (
        Decimal(0)
        if re.search(r"\bcold\b", words)
        else Decimal(30)
        if re.search(r"\b(?:warm|hot)\b", words)
        else None
    )
