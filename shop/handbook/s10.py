"""Postal tracking numbers of thirteen characters, such as ``RR473124829GB``: form, check digit, service, country.

Sources
    UPU standard S10, "Identification of postal items - 13-character identifier", as told by the public article on it:
    weights 8 6 4 2 3 5 9 7, check digit 11 - (sum mod 11) with 10 written as 0 and 11 as 5; service indicators C, E, L,
    R, U, V and those for domestic and bilateral use. Not the standard itself. H, M and Q: from memory.
    Country codes: ISO 3166-1 alpha-2.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

WEIGHTS = (8, 6, 4, 2, 3, 5, 9, 7)

REUSE_MONTHS = 12
REUSE_MONTHS_RECOMMENDED = 24
"""A number may come again after a year, two or more are recommended: keep the date beside it."""

SERVICES: dict[str, str] = {
    "C": "parcel post",
    "E": "express mail service",
    "H": "parcel from a shop on the net",
    "L": "letter post, tracked",
    "M": "bag of printed matter",
    "Q": "business reply",
    "R": "letter post, registered",
    "U": "letter post, not tracked",
    "V": "letter post, insured",
    **dict.fromkeys(("B", "D", "N", "P", "Z"), "for use at home or between two countries"),
}
"""What the first letter of the service indicator says; a letter that is missing has no meaning that all countries share."""

_COUNTRIES = """
AD AE AF AG AI AL AM AO AQ AR AS AT AU AW AX AZ BA BB BD BE BF BG BH BI BJ BL BM BN BO BQ BR BS BT BV BW BY BZ CA CC CD
CF CG CH CI CK CL CM CN CO CR CU CV CW CX CY CZ DE DJ DK DM DO DZ EC EE EG EH ER ES ET FI FJ FK FM FO FR GA GB GD GE GF
GG GH GI GL GM GN GP GQ GR GS GT GU GW GY HK HM HN HR HT HU ID IE IL IM IN IO IQ IR IS IT JE JM JO JP KE KG KH KI KM KN
KP KR KW KY KZ LA LB LC LI LK LR LS LT LU LV LY MA MC MD ME MF MG MH MK ML MM MN MO MP MQ MR MS MT MU MV MW MX MY MZ NA
NC NE NF NG NI NL NO NP NR NU NZ OM PA PE PF PG PH PK PL PM PN PR PS PT PW PY QA RE RO RS RU RW SA SB SC SD SE SG SH SI
SJ SK SL SM SN SO SR SS ST SV SX SY SZ TC TD TF TG TH TJ TK TL TM TN TO TR TT TV TW TZ UA UG UM US UY UZ VA VC VE VG VI
VN VU WF WS YE YT ZA ZM ZW
"""
COUNTRIES = frozenset(_COUNTRIES.split())

_BETWEEN = re.compile(r"[\s\-‐‑–]+")
_SHAPE = re.compile(r"([A-Z]{2})([0-9]{8})([0-9])([A-Z]{2})")


class S10Error(ValueError):
    """A postal tracking number that can't be right; the message is one sentence for the person."""


@dataclass(frozen=True, slots=True)
class S10Number:
    """One number: two letters of the service, eight digits, two letters of the country that issued it."""

    service: str
    serial: str
    country: str

    @property
    def check(self) -> str:
        """The check digit over the eight digits."""
        return check_digit(self.serial)

    @property
    def meaning(self) -> str:
        """What the service indicator says, in words; empty when it says nothing that all countries share."""
        return SERVICES.get(self.service[0], "")

    @property
    def country_is_known(self) -> bool:
        """Whether the country code is in ISO 3166-1; another one is worth a second look at the label."""
        return self.country in COUNTRIES

    def __str__(self) -> str:
        return f"{self.service}{self.serial}{self.check}{self.country}"


def check_digit(serial: str) -> str:
    """The check digit of eight digits; raises S10Error for anything else."""
    if not re.fullmatch("[0-9]{8}", serial):
        raise S10Error("The check digit is worked out from eight digits.")
    digit = 11 - weighted_sum(serial) % 11
    return str({10: 0, 11: 5}.get(digit, digit))


def weighted_sum(serial: str) -> int:
    """The eight digits, each times its weight."""
    return sum(weight * int(digit) for weight, digit in zip(WEIGHTS, serial, strict=True))


def is_s10_shaped(text: str) -> bool:
    """Whether a tracking number has the thirteen characters of S10, so that its check digit is worth a look."""
    return bool(_SHAPE.fullmatch(_bare(text)))


def parse_s10(text: str) -> S10Number:
    """Read a number as typed or scanned, with or without spaces; raises S10Error with one sentence.

    The check digit proves the eight digits only: it finds any one wrong digit, save for two sums that share the 5, and
    says nothing about the letters.
    """
    found = _SHAPE.fullmatch(_bare(text))
    if not found:
        raise S10Error(
            "A postal tracking number has two letters, nine digits and two letters: RR 473 124 829 GB."
        )
    service, serial, check, country = found.groups()
    number = S10Number(service, serial, country)
    if number.check != check:
        raise S10Error(
            f"The last digit of {service} {serial}{check} {country} doesn't fit: look at the label again."
        )
    return number


def _bare(text: str) -> str:
    return _BETWEEN.sub("", text[:40]).upper() if len(text) <= 40 else ""
