"""How kinds of parts fail in general: the last resort where the shop's own history says nothing.

Sources
    MIL-HDBK-338B (1 October 1998), the normalised failure mode distributions of its chapter on failure modes, effects and
    criticality analysis, which go back to the Reliability Analysis Center's FMD-91. All figures are from memory and not
    confirmed; they are of equipment of that time in military use, so they rank suspicions and predict nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from shop.handbook.words import TRADE, Asked, Synonyms, Way, asked_form, stored_tokens

LONGEST = 10_000
"""Characters of a text that are looked at: a complaint of a few pages names its part before."""

SOURCE = "MIL-HDBK-338B, from memory"


@dataclass(frozen=True, slots=True)
class Share:
    """One way of failing and its share of all failures of that kind of part, in per cent."""

    mode: str
    percent: int


@dataclass(frozen=True, slots=True)
class PartFailures:
    """How one kind of part fails, the most frequent way first."""

    part: str
    shares: tuple[Share, ...]


def _shares(**percent: int) -> tuple[Share, ...]:
    modes = (Share(mode.replace("_", " "), share) for mode, share in percent.items())
    return tuple(sorted(modes, key=lambda share: -share.percent))


PARTS: Mapping[str, tuple[Share, ...]] = {
    "electrolytic capacitor": _shares(short=53, open=35, electrolyte_leak=10, loss_of_capacitance=2),
    "tantalum capacitor": _shares(short=57, open=32, change_in_value=11),
    "ceramic capacitor": _shares(short=49, change_in_value=29, open=22),
    "paper capacitor": _shares(short=63, open=37),
    "resistor": _shares(open=59, change_in_value=36, short=5),
    "potentiometer": _shares(open=53, erratic=40, short=7),
    "relay": _shares(fails_to_trip=55, trips_by_itself=26, short=19),
    "switch": _shares(open=60, sticks=20, short=20),
    "transistor": _shares(short=73, open=27),
    "rectifier": _shares(short=51, open=29, change_in_value=20),
    "transformer": _shares(open=42, short=42, change_in_value=16),
    "connector": _shares(open=61, poor_contact=23, short=16),
    "motor": _shares(winding_failure=31, bearing_failure=28, fails_to_run=23, fails_to_start=18),
}
"""Shares in per cent by kind of part; each row adds up to a hundred."""

CALLED: Mapping[str, tuple[str, ...]] = {"tantalum capacitor": ("tantalum", "tantalums")}
"""What a part is called for short, where the word means nothing else on a bench (common practice, no source)."""


def failures_named(text: str, synonyms: Synonyms = TRADE) -> tuple[PartFailures, ...]:
    """The kinds of parts that a text names, in any word of the trade, each with how it fails in general."""
    said = stored_tokens(text[:LONGEST])
    found = [
        PartFailures(part, shares)
        for part, shares in PARTS.items()
        if any(_names(asked_form(name, synonyms), said) for name in (part, *CALLED.get(part, ())))
    ]
    return tuple(found)


def _names(part: Asked, said: tuple[str, ...]) -> bool:
    """Whether the text has the part's words side by side, or one of its other names."""
    return all(any(_says(way, said) for way in word.ways) for word in part.words)


def _says(way: Way, said: tuple[str, ...]) -> bool:
    width = len(way.words)
    return any(said[at : at + width] == way.words for at in range(len(said) - width + 1))
