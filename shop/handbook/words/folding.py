"""One spelling for what is typed in many: letters for the search, model numbers and serial numbers.

Sources
    Unicode Standard Annex 15 (NFKC, NFD) and the Unicode case folding, as in Python's ``unicodedata`` and ``str``.
    What a reader types for a letter that has no decomposition (ø, ł, æ, µ, Ω): common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

_GREEK = dict(
    zip(
        "αβγδεζηθικλμνξοπρσςτυφχψω",
        (
            *(
                "alpha",
                "beta",
                "gamma",
                "delta",
                "epsilon",
                "zeta",
                "eta",
                "theta",
                "iota",
                "kappa",
                "lambda",
                "u",
            ),
            *("nu", "xi", "o", "pi", "rho", "sigma", "sigma", "tau", "upsilon", "phi", "chi", "psi", "ohm"),
        ),
        strict=True,
    )
)
_BEFORE = str.maketrans(
    {**dict.fromkeys("™®©℠№", " "), **dict.fromkeys("’‘ʼ´＇", "'"), **dict.fromkeys("‐‑‒–—−﹣－", "-")}
)
_AFTER = str.maketrans(
    {**_GREEK, "ø": "o", "đ": "d", "ð": "d", "ł": "l", "æ": "ae", "œ": "oe", "þ": "th", "ħ": "h", "ı": "i"}
)
_FOREIGN = re.compile(r"[^\x00-\x7f]")
_WRITTEN_WITHOUT_SPACES = re.compile(r"[\u3040-\u30ff\u3400-\u9fff\U00020000-\U0003ffff]")
MOST_WORDS = 32
_NOT_IN_A_KEY = re.compile(r"[^a-z0-9]+")
_BLOCK = re.compile(r"[\s\S]{1,500}(?!\S)|[\s\S]{1,500}")
"""Up to 500 characters that end with a word: putting the accents of one letter in order takes quadratic time."""
_WORDS = re.compile(r"\S+")

LONGEST_KEY = 64
"""No maker prints a longer model or serial number; what lies beyond is left off so that any input stays cheap."""


def fold(text: str) -> str:
    """The text in small plain letters: NFKC, case folded, without accents, ``µ`` as u and ``Ω`` as ohm.

    The answer is ASCII. Punctuation stays where it was. A letter of another script is spelled by its code point
    (``qx0436``), one word for each sign in scripts that are written without spaces; pictures and marks become spaces.
    """
    if text.isascii():
        return text.lower()
    return "".join(map(_folded, _BLOCK.findall(text)))


def _folded(text: str) -> str:
    text = unicodedata.normalize("NFKC", text.translate(_BEFORE)).casefold()
    text = unicodedata.normalize("NFKD", text).translate(_AFTER)
    return _FOREIGN.sub(lambda found: _spelled(found.group()), text)


@lru_cache(maxsize=4096)
def _spelled(sign: str) -> str:
    category = unicodedata.category(sign)
    if category[0] == "M":
        return ""
    if category[0] == "L":
        code = f"qx{ord(sign):04x}"
        return f" {code} " if _WRITTEN_WITHOUT_SPACES.match(sign) else code
    if category == "Nd":
        return str(unicodedata.digit(sign))
    return " "


def fold_model(text: str, *, letter_o: bool = False) -> str:
    """A model number as a key in ``a-z0-9``: ``VX-318``, ``vx 318`` and ``VX318`` are all ``vx318``.

    With ``letter_o`` every letter O counts as a zero, so that ``VX-3O8`` and ``VX-308`` are one key; the shop then
    compares keys made in the same way. Signs such as ``+`` are lost, so two models may share a key.
    """
    key = _NOT_IN_A_KEY.sub("", fold(text))[:LONGEST_KEY]
    return key.replace("o", "0") if letter_o else key


def fold_serial(text: str, *, letter_o: bool = False) -> str:
    """A serial number as a key, folded as a model number is; leading zeros stay, for they are printed on the unit."""
    return fold_model(text, letter_o=letter_o)


def key_range(beginning: str) -> tuple[str, str]:
    """Bounds for every key that begins so: ``low <= key < high`` in any order that sorts ASCII by code.

    An index answers such a range at once where a pattern match may read the whole table.
    """
    return beginning, beginning + "{"


@dataclass(frozen=True, slots=True)
class ModelSpan:
    """A run of words that may be a model number: its key, and where it stands in the text."""

    key: str
    start: int
    stop: int

    def cut_from(self, text: str) -> str:
        """The text without these words."""
        return f"{text[: self.start]} {text[self.stop :]}".strip()


def model_spans(text: str, *, longest: int = 4, letter_o: bool = False) -> Iterator[ModelSpan]:
    """Every run of up to ``longest`` words that could be a model number, longer runs first, then from the left.

    Only runs of 2 or more characters with a digit count: a name without any digit is found by its words instead. No
    more than the first 32 words of the first 1,000 characters are looked at.
    """
    words = [
        found.span() for _, found in zip(range(MOST_WORDS), _WORDS.finditer(text, 0, 1_000), strict=False)
    ]
    for length in range(min(longest, len(words)), 0, -1):
        for first in range(len(words) - length + 1):
            start, stop = words[first][0], words[first + length - 1][1]
            key = fold_model(text[start:stop], letter_o=letter_o)
            if len(key) >= 2 and any(sign.isdigit() for sign in key):
                yield ModelSpan(key, start, stop)


def model_tokens(text: str, *, longest: int = 4, letter_o: bool = False) -> tuple[str, ...]:
    """The keys of ``model_spans``, each once: what to look up in the table of models."""
    return tuple(dict.fromkeys(span.key for span in model_spans(text, longest=longest, letter_o=letter_o)))
