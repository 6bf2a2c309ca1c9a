"""The keys by which people, makers, models and units are found: one way of folding for storing and for asking."""

from __future__ import annotations

import re

from shop.handbook.words import fold, fold_model, fold_serial

_BETWEEN_WORDS = re.compile(r"[^a-z0-9@]+")
_INSIDE_A_WORD = re.compile(r"['’.]")


def name_key(*parts: str) -> str:
    """Names as words in small plain letters: `O'Hara & Sons` is `ohara sons`. At most 400 characters."""
    inside = _INSIDE_A_WORD.sub("", fold(" ".join(parts)))
    return " ".join(_BETWEEN_WORDS.sub(" ", inside).split())[:400]


def model_key(name: str) -> str:
    """A model number however it is punctuated, with letter O and zero as one. At most 120 characters."""
    return fold_model(name, letter_o=True)[:120]


def serial_key(serial: str) -> str:
    """A serial number however it is punctuated, with letter O and zero as one. At most 80 characters."""
    return fold_serial(serial, letter_o=True)[:80]


def phone_key(phone: str) -> str:
    """The digits of a phone number as typed. At most 40."""
    return "".join(c for c in phone if c.isdigit() and c.isascii())[:40]
