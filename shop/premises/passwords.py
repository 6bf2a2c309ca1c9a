"""Words of the house that make no password: whoever guesses at a shop begins with its name."""

from __future__ import annotations

import unicodedata

from django.core.exceptions import ValidationError

from shop.frame.models import Staff
from shop.frame.profile import UNNAMED, the_profile

WORDS = (
    UNNAMED,
    "repair",
    "workshop",
    "bench",
    "counter",
    "owner",
    "audio",
    "radio",
    "vintage",
    "electronics",
    "password",
)
SHORTEST = 4
LARGEST_SHARE = 0.6


class WordsOfTheHouse:
    """Refuses a password of which these words, or those of the shop's name and place, make up the most letters."""

    def validate(self, password: str, user: Staff | None = None) -> None:
        """Raise ValidationError for a password that is little else."""
        shop = the_profile()
        named = f"{shop.name} {shop.owner_name} {shop.address}".split()
        left = letters = _letters(password)
        for word in sorted({_letters(one) for one in (*WORDS, *named)}, key=len, reverse=True):
            if len(word) >= SHORTEST:
                left = left.replace(word, "")
        if letters and len(letters) - len(left) > LARGEST_SHARE * len(letters):
            raise ValidationError(self.get_help_text(), code="words_of_the_house")

    def get_help_text(self) -> str:
        """The sentence."""
        return "That is made of the shop’s own words, which a guesser tries first."


def _letters(text: str) -> str:
    return "".join(sign for sign in unicodedata.normalize("NFKC", text).casefold() if sign.isalpha())
