"""What a shop in a given country most likely needs, so that the opening form starts half filled. Each can be changed.

Sources: currency in use, Unicode CLDR through Babel. Paper: CLDR supplemental data, `measurementData` (US Letter in
the countries listed, A4 elsewhere; from memory). Line voltage and frequency: IEC's list of the world's plugs and
voltages (from memory; a country with several is given its most common one).
"""

from __future__ import annotations

import locale
import os
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from babel import Locale
from babel.numbers import get_territory_currencies

from shop.frame.models import Measures, PaperSize
from shop.handbook import law
from shop.handbook.money import SUCCEEDED_BY
from shop.premises.zones import zones_of

LETTER_COUNTRIES = frozenset(
    {"BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE"}
)
LINES = {
    (100, 50): {"JP"},
    (110, 60): {"TW"},
    (120, 60): {"BZ", "CA", "CO", "CR", "GT", "NI", "PA", "PR", "SV", "US", "VE"},
    (127, 60): {"BR", "MX"},
    (220, 60): {"KR", "PE", "PH", "SA"},
    (220, 50): {"AR", "CL", "CN", "TH", "VN"},
    (240, 50): {"CY", "KE", "MY"},
}

NO_COUNTRIES = frozenset({"EU", "EZ", "UN", "ZZ", "XA", "XB", "QO"})  # codes that CLDR keeps for other things


@dataclass(frozen=True, slots=True)
class Customs:
    """What is usual in one country."""

    country: str
    currency: str
    paper_size: str
    measures: str
    line_voltage: int
    line_frequency: int
    law_profile: str


def customs_of(country: str, on: date) -> Customs:
    """Return what is usual in `country` (ISO 3166 two-letter code) on a day; an unknown one counts as metric and 230 V."""
    currencies = get_territory_currencies(country, on, on) if country else []
    voltage, frequency = next((line for line, places in LINES.items() if country in places), (230, 50))
    return Customs(
        country=country,
        currency=SUCCEEDED_BY.get(currencies[0], currencies[0]) if currencies else "EUR",
        paper_size=PaperSize.LETTER if country in LETTER_COUNTRIES else PaperSize.A4,
        measures=Measures.IMPERIAL if country == "US" else Measures.METRIC,
        line_voltage=voltage,
        line_frequency=frequency,
        law_profile=law.usual_in(country).key,
    )


def country_of_this_machine() -> str:
    """Return the country in the machine's language setting (`de_AT.UTF-8`), else "US"."""
    named = os.environ.get("LC_ALL") or os.environ.get("LANG") or locale.getlocale()[0] or ""
    country = named.partition(".")[0].partition("_")[2]
    return country if len(country) == 2 and country.isupper() else "US"


def country_names() -> list[tuple[str, str]]:
    """Every country's two-letter code with its English name, by name. Source: Unicode CLDR through Babel."""
    named = Locale("en").territories.items()
    countries = ((code, name) for code, name in named if len(code) == 2 and code not in NO_COUNTRIES)
    return sorted((pair for pair in countries if get_territory_currencies(pair[0])), key=lambda pair: pair[1])


def zone_in(country: str) -> str:
    """Return the time zone of a shop in `country`: the machine's own if it lies there, else the country's only one, else none:
    it is chosen among those of the country.
    """
    here, there = zone_of_this_machine(), zones_of(country)
    if here in there or not there:
        return here
    return there[0] if len(there) == 1 else ""


def zone_of_this_machine() -> str:
    """Return the machine's time zone as the IANA names it, else "UTC"."""
    if named := os.environ.get("TZ"):
        return named.lstrip(":")
    noted = Path("/etc/timezone")
    if noted.is_file():
        return noted.read_text(encoding="ascii").strip() or "UTC"
    target = Path("/etc/localtime")
    parts = target.resolve().parts if target.is_symlink() else ()
    return "/".join(parts[parts.index("zoneinfo") + 1 :]) if "zoneinfo" in parts else "UTC"
