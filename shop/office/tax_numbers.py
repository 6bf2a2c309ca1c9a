"""VAT numbers as papers and e-invoices want them: with the country's prefix. Checked with python-stdnum.

EN 16931 BR-CO-09: a VAT identifier begins with the ISO 3166-1 code of its country; Greece uses EL, Northern Ireland XI.
"""

from __future__ import annotations

import re

from stdnum.eu import vat
from stdnum.exceptions import ValidationError

from shop.handbook.s10 import COUNTRIES

OTHER_PREFIX = {"GR": "EL"}
PREFIXES = COUNTRIES | {"EL", "XI"}
FEWEST_DIGITS = 5


def folded(number: str) -> str:
    """Letters and digits alone."""
    return re.sub(r"[\s./-]", "", number).upper()


def vat_number(number: str, country: str, *, meant: bool = False) -> str:
    """The number with its prefix; empty where it looks like no VAT number, such as a certificate's.

    `country` completes a number without prefix where it is `meant` as a VAT number, as under reverse charge.
    """
    plain = folded(number)
    if not re.fullmatch(r"[A-Z0-9]{4,18}", plain) or sum(sign.isdigit() for sign in plain) < FEWEST_DIGITS:
        return ""
    prefix = OTHER_PREFIX.get(country, country)
    if plain[:2] in PREFIXES:
        return plain
    return f"{prefix}{plain}" if meant and prefix and len(plain) <= 13 else ""


def doubt_of(number: str) -> str:
    """A sentence where the number of a member state can't be right by its check digits; empty where nothing is wrong.

    The program asks nobody whether the number is in force: the shop does that (VIES), and keeps the answer.
    """
    if number[:2] not in {*(country.upper() for country in vat.MEMBER_STATES), "EL"}:
        return ""
    try:
        vat.validate(number)
    except ValidationError:
        return f"The VAT number {number} can’t be right by its check digits: look at it again."
    return ""
