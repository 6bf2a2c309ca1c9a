"""Plugs and line by country, and the marks X and Y on capacitors.

Sources
    Plug letters as IEC lists them in its “World plugs”, from memory; voltages: audio.line, where each has its source, else
    the same list. Classes X and Y with their impulse tests: IEC 60384-14, from memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from ..audio import LINES
from ..refusal import Refused

_BY_LETTERS = {
    "A, B": "US CA MX JP",
    "C, F": "DE AT NL LU ES PT NO SE FI HU GR BG EE HR IS LT LV RO RS SI UA TR KR",
    "C, E": "FR BE PL CZ SK",
    "G": "GB IE CY MT SG",
    "I": "AU NZ",
    "C, J": "CH",
    "C, E, F, K": "DK",
    "C, F, L": "IT",
    "C, L": "CL",
    "A, C, I": "CN",
    "C, I": "AR",
    "C, H": "IL",
    "C, D, M": "IN",
    "C, D, M, N": "ZA",
    "C, N": "BR",
}
PLUGS: dict[str, str] = {code: letters for letters, codes in _BY_LETTERS.items() for code in codes.split()}
"""Letters of the plugs by ISO 3166 code."""
_OTHER_LINES = {
    "AR": (Decimal(220), "50"), "CL": (Decimal(220), "50"), "IL": (Decimal(230), "50"), "IN": (Decimal(230), "50"),
    "RS": (Decimal(230), "50"), "SG": (Decimal(230), "50"), "TR": (Decimal(230), "50"), "UA": (Decimal(230), "50"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Outlet:
    """A country's outlet: plug letters, volt (None: differs within the country), hertz, and where that stands."""

    letters: str
    volt: Decimal | None
    hertz: str
    source: str


def outlet(country: str) -> Outlet:
    """The outlet of a country by its ISO 3166 code of two letters; raises Refused for one that isn't in the table."""
    code = country.strip().upper()[:3]
    if code not in PLUGS:
        raise Refused("That country isn’t in the table: look at IEC’s list of world plugs.")
    if code == "BR":
        return Outlet(PLUGS[code], None, "60", "127 or 220 V by region; check on the spot")
    if line := LINES.get(code):
        return Outlet(PLUGS[code], line.nominal_volt, line.hertz, line.source)
    volt, hertz = _OTHER_LINES[code]
    return Outlet(PLUGS[code], volt, hertz, "check on the spot")


_CLASSES = re.compile(r"(?<![A-Z0-9])(?:[XY][1-4])+(?![A-Z0-9])")
CLASSES = {
    "X1": "across the line, tested with impulses of 4 kV",
    "X2": "across the line, tested with impulses of 2.5 kV",
    "X3": "across the line, tested with impulses of 1.2 kV; an older class",
    "Y1": "from line to chassis, 8 kV impulses, bridges double insulation",
    "Y2": "from line to chassis, 5 kV impulses, bridges basic insulation",
    "Y3": "from line to chassis, without an impulse test; an older class",
    "Y4": "from line to chassis, up to 150 V, 2.5 kV impulses",
}


def safety_classes(marking: str) -> tuple[str, ...]:
    """The classes X and Y that stand on a capacitor, in their order; empty where it carries none."""
    if len(marking) > 80:
        raise Refused("That is longer than what stands on a capacitor.")
    pairs = (
        group[at : at + 2] for group in _CLASSES.findall(marking.upper()) for at in range(0, len(group), 2)
    )
    return tuple(dict.fromkeys(one for one in pairs if one in CLASSES))
