"""The names of the world's time zones, as a person would look for theirs."""

from __future__ import annotations

import zoneinfo
from functools import cache

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


@cache
def zone_names() -> list[str]:
    """The IANA's names by continent and city, and UTC; none of its old aliases."""
    names = zoneinfo.available_timezones()
    return ["UTC", *sorted(name for name in names if name.partition("/")[0] in CONTINENTS)]
