"""The stem of an English word, so that a search for ``leaking`` finds ``leaks`` and ``leaked``.

Sources
    M. F. Porter, the English stemmer of the Snowball project ("Porter2"), as described on the project's page, with the
    amendments of its third release (words such as ``proceed``, ``outing``, ``dying``). Written anew from the
    description; the tests compare it with the project's own package word by word.
"""

from __future__ import annotations

from functools import lru_cache

_VOWELS = frozenset("aeiouy")
_AFTER_LI = frozenset("cdeghkmnrt")
_DOUBLES = frozenset({"bb", "dd", "ff", "gg", "mm", "nn", "pp", "rr", "tt"})
_REGION_AFTER = ("gener", "commun", "arsen", "past", "univers", "later", "emerg", "organ", "inter")
_WHOLE = {
    "skis": "ski",
    "skies": "sky",
    "idly": "idl",
    "gently": "gentl",
    "ugly": "ugli",
    "early": "earli",
    "only": "onli",
    "singly": "singl",
    **dict.fromkeys(("sky", "news", "howe", "atlas", "cosmos", "bias", "andes"), ""),
}
_KEEP_EED = ("proc", "exc", "succ")
_KEEP_ING = frozenset({"inn", "out", "cann", "herr", "earr", "even"})
_STEP_2 = {
    "tional": "tion",
    "enci": "ence",
    "anci": "ance",
    "abli": "able",
    "entli": "ent",
    "izer": "ize",
    "ization": "ize",
    "ational": "ate",
    "ation": "ate",
    "ator": "ate",
    "alism": "al",
    "aliti": "al",
    "alli": "al",
    "fulness": "ful",
    "ousli": "ous",
    "ousness": "ous",
    "iveness": "ive",
    "iviti": "ive",
    "biliti": "ble",
    "bli": "ble",
    "ogi": "og",
    "ogist": "og",
    "fulli": "ful",
    "lessli": "less",
    "li": "",
}
_STEP_3 = {
    "tional": "tion",
    "ational": "ate",
    "alize": "al",
    "icate": "ic",
    "iciti": "ic",
    "ical": "ic",
    "ful": "",
    "ness": "",
    "ative": "",
}
_STEP_4 = dict.fromkeys(
    (
        *("al", "ance", "ence", "er", "ic", "able", "ible", "ant", "ement", "ment", "ent"),
        *("ism", "ate", "iti", "ous", "ive", "ize", "ion"),
    ),
    "",
)


@lru_cache(maxsize=65_536)
def stem(word: str) -> str:
    """The stem of a lower-case word; a word with anything but the letters a to z, or of two letters, is its own."""
    if len(word) <= 2 or not (word.isascii() and word.isalpha()):
        return word
    if word in _WHOLE:
        return _WHOLE[word] or word
    return _Stemming(word).result()


class _Stemming:
    """One word on its way through the steps: ``word`` shrinks, the two regions keep their beginnings.

    A ``y`` that sounds as a consonant is written ``Y`` meanwhile.
    """

    __slots__ = ("first", "second", "word")

    def __init__(self, word: str) -> None:
        letters = list(word)
        for at, letter in enumerate(letters):
            if letter == "y" and (at == 0 or letters[at - 1] in _VOWELS):
                letters[at] = "Y"
        self.word = "".join(letters)
        self.first = next(
            (len(start) for start in _REGION_AFTER if word.startswith(start)), self._region_from(0)
        )
        self.second = self._region_from(self.first)

    def result(self) -> str:
        self._plural()
        self._past_and_progressive()
        self._final_y()
        self._long_suffix(_STEP_2, self.first)
        self._long_suffix(_STEP_3, self.first)
        self._long_suffix(_STEP_4, self.second)
        self._final_e_or_l()
        return self.word.lower()

    def _region_from(self, start: int) -> int:
        """Where the region after the first vowel-consonant pair at or behind ``start`` begins."""
        for at in range(start + 1, len(self.word)):
            if self.word[at] not in _VOWELS and self.word[at - 1] in _VOWELS:
                return at + 1
        return len(self.word)

    def _has_vowel(self, end: int) -> bool:
        return any(letter in _VOWELS for letter in self.word[:end])

    def _ends_in_short_syllable(self, end: int) -> bool:
        part = self.word[:end]
        if part.endswith("past"):
            return True
        if len(part) < 2 or part[-1] in _VOWELS or part[-2] not in _VOWELS:
            return False
        return len(part) == 2 or (part[-3] not in _VOWELS and part[-1] not in "wxY")

    def _plural(self) -> None:
        word = self.word
        if word.endswith("sses"):
            self.word = word[:-2]
        elif word.endswith(("ied", "ies")):
            self.word = word[:-2] if len(word) > 4 else word[:-1]
        elif word.endswith("s") and not word.endswith(("us", "ss")) and self._has_vowel(len(word) - 2):
            self.word = word[:-1]

    def _past_and_progressive(self) -> None:
        for suffix in ("eedly", "ingly", "edly", "eed", "ing", "ed"):
            if self.word.endswith(suffix):
                break
        else:
            return
        end = len(self.word) - len(suffix)
        before = self.word[:end]
        if suffix in {"eed", "eedly"}:
            if end >= self.first and before not in _KEEP_EED:
                self.word = before + "ee"
            return
        if suffix == "ing" and (before in _KEEP_ING or self._is_like_dying(before)):
            self.word = self.word if before in _KEEP_ING else before[:-1] + "ie"
        elif self._has_vowel(end):
            self.word = before
            self._mend_after_cut()

    @staticmethod
    def _is_like_dying(before: str) -> bool:
        return len(before) == 2 and before[1] == "y" and before[0] not in _VOWELS

    def _mend_after_cut(self) -> None:
        """``luxuriat`` wants its e, ``hopp`` loses a p, ``hop`` of ``hoping`` gets its e."""
        word = self.word
        if word.endswith(("at", "bl", "iz")):
            self.word = word + "e"
        elif word[-2:] in _DOUBLES:
            if not (len(word) == 3 and word[0] in "aeo"):
                self.word = word[:-1]
        elif self.first >= len(word) and self._ends_in_short_syllable(len(word)):
            self.word = word + "e"

    def _final_y(self) -> None:
        if len(self.word) > 2 and self.word[-1] in "yY" and self.word[-2] not in _VOWELS:
            self.word = self.word[:-1] + "i"

    def _long_suffix(self, table: dict[str, str], region: int) -> None:
        """Replace the longest suffix of the table if it lies in the region and what stands before it allows it."""
        for length in range(min(7, len(self.word)), 1, -1):
            suffix = self.word[-length:]
            if suffix in table:
                break
        else:
            return
        end = len(self.word) - length
        if end >= region and self._may_go(suffix, end):
            self.word = self.word[:end] + table[suffix]

    def _may_go(self, suffix: str, end: int) -> bool:
        before = self.word[end - 1 : end]
        if suffix == "li":
            return before in _AFTER_LI
        if suffix == "ogi":
            return before == "l"
        if suffix == "ion":
            return before in {"s", "t"}
        return suffix != "ative" or end >= self.second

    def _final_e_or_l(self) -> None:
        end = len(self.word) - 1
        if self.word.endswith("e"):
            if end >= self.second or (end >= self.first and not self._ends_in_short_syllable(end)):
                self.word = self.word[:end]
        elif self.word.endswith("ll") and end >= self.second:
            self.word = self.word[:end]
