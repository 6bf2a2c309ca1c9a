"""Checklists to begin with: what is gone through before the lid, at first power, before it goes home.

They defer to the maker's manual and to local rules of work on live equipment, and the shop changes them as it likes.

Sources
    Series lamp and lowest bias at first power, one hand, discharge and prove dead before touching: common practice; the order
    of isolating, discharging and proving dead follows EN 50110-1, 6.2 (from memory). A wrist strap at static-sensitive devices:
    IEC 61340-5-1 (from memory). Eyes away from a laser that is on: IEC 60825-1 (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Checklist:
    """Steps in their order. `kinds`: kinds of unit it is for, none for all."""

    slug: str
    name: str
    steps: tuple[str, ...]
    kinds: frozenset[str] = field(default_factory=frozenset)


_AMPLIFIERS = frozenset({"amplifier", "receiver", "guitar_amp"})
_KEYS = frozenset({"synthesizer"})

CHECKLISTS: tuple[Checklist, ...] = (
    Checklist(
        "first-power",
        "First power",
        (
            "Lamp in series",
            "Bias at its lowest",
            "No load",
            "Rails",
            "Offset",
            "Lamp out",
            "15 minutes",
            "Bias set",
            "Offset again",
            "Sine into a dummy load",
            "Loudspeakers",
        ),
        _AMPLIFIERS,
    ),
    Checklist(
        "high-voltage",
        "High voltage before you reach in",
        ("Unplugged", "Bleeder fitted", "Filter measured below 30 V", "One hand"),
        _AMPLIFIERS | frozenset({"radio", "television"}),
    ),
    Checklist(
        "before-opening",
        "Before it is opened",
        ("Patches saved to a file", "Wrist strap on", "Keys and sliders tried", "Pedal and inputs tried"),
        _KEYS,
    ),
    Checklist(
        "laser",
        "Laser",
        (
            "Never look into it",
            "Flex shorted before it is unplugged",
            "Wrist strap on",
            "Lens cleaned dry first",
        ),
        frozenset({"cd_player"}),
    ),
    Checklist(
        "tape-path",
        "Tape path",
        (
            "Heads cleaned",
            "Heads demagnetized",
            "Pinch roller cleaned",
            "Belts looked at",
            "Test tape, not the customer’s",
        ),
        frozenset({"tape_deck"}),
    ),
    Checklist(
        "arm",
        "Arm and stylus",
        ("Stylus guard on", "Arm locked", "Stylus looked at under glass", "Leads moved while it plays"),
        frozenset({"turntable"}),
    ),
    Checklist(
        "goes-home",
        "Before it goes home",
        (
            "Nothing temporary left in it",
            "All screws back",
            "Controls turned through",
            "Accessories beside it",
            "Cleaned outside",
        ),
    ),
)


def checklists_for(kind: str, own: Iterable[Checklist] = ()) -> list[Checklist]:
    """The checklists for a kind of unit, its own first; one of the shop's replaces the same name."""
    by_name = {one.name.casefold(): one for one in CHECKLISTS}
    by_name |= {one.name.casefold(): one for one in own}
    fitting = [one for one in by_name.values() if not one.kinds or kind in one.kinds]
    return sorted(fitting, key=lambda one: not one.kinds)
