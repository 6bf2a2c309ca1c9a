"""EIA source codes: who is behind the three digits before a date on a potentiometer, transformer or loudspeaker.

Sources
    The register was published as lists of 1946, 1953, 1959, 1961, 1962 and 1981, then from 1994 to 1999 by year, and last in
    2001; the registrar, ECIA, keeps them (ecianow.org, EIA source codes: looked up, the lists themselves could not be). The names
    below are from memory, as those lists stood about 1980; firms were sold and codes passed on, so a name tells who held the
    code, not who owns it today. 137, 190, 220, 285, 575 and 606 stand so in dating guides (looked up).
"""

from __future__ import annotations

from ..refusal import Refused

AS_OF = "from memory, as lists stood about 1980; check against a dated set"

SOURCES: dict[str, str] = {
    "106": "Allen-Bradley",
    "134": "Centralab",
    "137": "CTS",
    "140": "Clarostat",
    "220": "Jensen",
    "188": "General Electric",
    "190": "General Instrument",
    "232": "Magnavox",
    "235": "Mallory",
    "274": "RCA",
    "285": "Rola",
    "304": "Stackpole",
    "312": "Sylvania",
    "322": "Tung-Sol",
    "328": "Utah",
    "336": "Western Electric",
    "343": "Zenith",
    "391": "Altec Lansing",
    "416": "Heath",
    "465": "Oxford",
    "575": "Heppner",
    "606": "Schumacher",
    "649": "Electro-Voice",
    "830": "Triad",
    "67": "Eminence",
}
"""By code of one to four digits; a code that isn't here is in the registrar's own list or was never given."""


def source_name(code: str) -> str:
    """Who held a source code, by its digits; raises Refused for one that isn't in the table."""
    digits = code.strip()[:12]
    if digits not in SOURCES:
        raise Refused("That code isn’t in the table: the registrar’s own list (ECIA) decides.")
    return SOURCES[digits]
