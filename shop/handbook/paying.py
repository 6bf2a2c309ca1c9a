"""What a customer needs to pay: a reference that a bank checks, and the text of the QR code for euro transfers.

Sources
    ISO 11649 creditor reference: RF, two check digits by ISO 7064 MOD 97-10, up to 21 letters and digits (example
    RF18 5390 0754 7034 as in the standard's public summaries, from memory).
    EPC069-12, "Quick Response Code: Guidelines to enable data capture for the initiation of a SEPA credit transfer",
    version 002 of the data (from memory; the library segno writes the same text): BCD, 002, 1 for UTF-8, SCT, BIC
    (may be empty within the EEA: the table of fields as in neodynamic.com's manual), name up to 70 characters, IBAN,
    EUR and the amount from 0.01 to 999999999.99, purpose, structured reference up to 35 or text up to 140, lines divided
    by LF, error correction level M, version 13 at most (331 bytes).
    Smallest coins and rounding of cash: Switzerland 5 centimes (coinage ordinance), Sweden and Norway one krone, Denmark 50
    øre, Czechia one koruna, Hungary 5 forint, Australia, Canada, Singapore and Malaysia 5 cents, New Zealand and South
    Africa 10, Israel 10 agorot; the euro by 5 cents in Belgium, Estonia, Finland, Ireland, Italy, Lithuania, the
    Netherlands and Slovakia (all from memory). Half up: common practice, no source.
    Countries of the single euro payments area: European Payments Council EPC409-09 (from memory).
"""

from __future__ import annotations

import re

from shop.handbook.money import Money, round_half_up

SEPA = frozenset(
    {
        "AD", "AL", "AT", "BE", "BG", "CH", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GB", "GI", "GR", "HR",
        "HU", "IE", "IS", "IT", "LI", "LT", "LU", "LV", "MC", "MD", "ME", "MK", "MT", "NL", "NO", "PL", "PT", "RO",
        "RS", "SE", "SI", "SK", "SM", "VA",
    }
)  # fmt: skip
OUTSIDE_EEA = frozenset({"AD", "AL", "CH", "GB", "GI", "MC", "MD", "ME", "MK", "RS", "SM", "VA"})
"""Countries of the area whose accounts the code names with their BIC as well (EPC069-12, the field of the BIC)."""
LONGEST_NAME = 70
MOST_CENTS = 999_999_999_99


_EURO_COINS = dict.fromkeys(("BE", "EE", "FI", "IE", "IT", "LT", "NL", "SK"), 5)
_COINS = {
    **dict.fromkeys(("CHF", "AUD", "CAD", "MYR", "SGD"), 5),
    **dict.fromkeys(("NZD", "ZAR", "ILS"), 10),
    "DKK": 50,
    **dict.fromkeys(("CZK", "NOK", "SEK"), 100),
    "HUF": 500,
}


def cash_step(currency: str, country: str) -> int:
    """The sum, in minor units, that a sum paid in cash is a multiple of; 1 where every coin is there."""
    return _EURO_COINS.get(country, 1) if currency == "EUR" else _COINS.get(currency, 1)


def in_cash(amount: Money, step: int) -> Money:
    """The sum as it is paid in cash: the nearest multiple of the step, half up."""
    return Money(round_half_up(amount.minor, step) * step, amount.currency)


def creditor_reference(number: str) -> str:
    """The ISO 11649 reference of an invoice's number, its letters and digits; raises ValueError past 21 of them."""
    plain = re.sub(r"[^A-Z0-9]", "", number.upper())
    if not 1 <= len(plain) <= 21:
        raise ValueError("A creditor reference holds 1 to 21 letters and digits.")
    digits = "".join(str(int(sign, 36)) for sign in f"{plain}RF00")
    return f"RF{98 - int(digits) % 97:02d}{plain}"


def is_sepa(iban: str, amount: Money) -> bool:
    """Whether the sum can be paid to that account by a SEPA credit transfer: euros, and an account in the area."""
    return amount.currency == "EUR" and iban[:2].upper() in SEPA and 0 < amount.minor <= MOST_CENTS


def has_code(iban: str, amount: Money, *, bic: str) -> bool:
    """Whether the sum can stand in a code: payable by SEPA, with the BIC of an account outside the EEA."""
    return is_sepa(iban, amount) and bool(bic or iban[:2].upper() not in OUTSIDE_EEA)


def epc_text(*, name: str, iban: str, amount: Money, reference: str, bic: str = "") -> str:
    """The text of the QR code for a SEPA credit transfer with a structured reference; raises ValueError where none is."""
    compact = re.sub(r"\s", "", iban).upper()
    if not has_code(compact, amount, bic=bic):
        raise ValueError(
            "Only a sum in euros to an account of the single euro payments area has such a code, and outside the EEA only "
            "with its BIC."
        )
    named = " ".join(name.split())[:LONGEST_NAME]
    lines = ["BCD", "002", "1", "SCT", bic.upper(), named, compact, f"EUR{amount.plain}", "", reference]
    return "\n".join(lines)
