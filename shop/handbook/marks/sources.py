"""EIA source codes: who is behind the three digits before a date on a potentiometer, transformer or loudspeaker.

Sources
    The register of source codes as it was published in lists of the Electronic Industries Association and copied in
    dating guides for parts. The names below are from memory, as those lists stood about 1980; firms were sold and codes
    passed on, so a name tells who held the code, not who owns it today. The registrar is ECIA (ecianow.org, EIA source
    codes, looked up), whose list in force decides. 137, 220, 285 and 575 stand so in dating guides (looked up).
"""

from __future__ import annotations

from ..refusal import Refused

AS_OF = "lists of about 1980; check against a dated set"

SOURCES: dict[str, str] = {
    "106": "Allen-Bradley",
    "134": "Centralab",
    "137": "CTS",
    "140": "Clarostat",
    "220": "Jensen",
    "188": "General Electric",
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
