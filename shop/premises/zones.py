"""The world's time zones, as a person looks for theirs: those of the shop's country first, the device's first of all.

Sources: the IANA's names; CLDR's zones by territory, through Babel (an alias of a zone elsewhere doesn't count).
"""

from __future__ import annotations

import zoneinfo
from functools import cache

from babel.core import get_global

CONTINENTS = (
    "Africa",
    "America",
    "Antarctica",
    "Arctic",
    "Asia",
    "Atlantic",
    "Australia",
    "Europe",
    "Indian",
    "Pacific",
)
SHARED_ZONES = frozenset({"Europe/Busingen"})  # one village that keeps its neighbour's time
SAME_TIME = {"AC": "Africa/Abidjan", "TA": "Africa/Abidjan", "IC": "Atlantic/Canary", "EA": "Africa/Ceuta"}
SAME_TIME |= {"BV": "Europe/Oslo", "DG": "Indian/Chagos", "HM": "Indian/Kerguelen", "XK": "Europe/Belgrade"}
"""Places that CLDR names no zone for, and one that keeps their time (from memory)."""

Choices = list[tuple[str, str | list[tuple[str, str]]]]


@cache
def zone_names() -> list[str]:
    """The IANA's names by continent and city, and UTC; none of its old aliases."""
    names = zoneinfo.available_timezones()
    return ["UTC", *sorted(name for name in names if name.partition("/")[0] in CONTINENTS)]


def zones_of(country: str) -> list[str]:
    """The zones of a country (ISO 3166 two-letter code), by name; none for a code that is no country's."""
    known = zoneinfo.available_timezones()
    there = sorted(name for name, place in get_global("zone_territories").items() if place == country)
    if not there and country in SAME_TIME:
        there = [SAME_TIME[country]]
    return [name for name in there if name in known and name not in SHARED_ZONES]


def zone_choices(country: str, kept: str = "") -> Choices:
    """What a form offers: the country's zones, `kept` (the one that is set, or the device's) first, then all others."""
    own = zones_of(country)
    if kept in own:
        own = [kept, *(name for name in own if name != kept)]
    others = [name for name in zone_names() if name not in own]
    if kept and kept not in own and kept not in others and kept in zoneinfo.available_timezones():
        others.insert(0, kept)
    elsewhere = ("All zones" if not own else "Elsewhere", [_named(name) for name in others])
    here = [("In the shop’s country", [_named(name) for name in own])] if own else []
    return [("", "Choose the time zone"), *here, elsewhere]


def _named(name: str) -> tuple[str, str]:
    return name, name.replace("_", " ")
