"""The stem of an English word, so that a search for ``leaking`` finds ``leaks`` and ``leaked``.

Source
    M. F. Porter, the English stemmer of the Snowball project ("Porter2"), by the project's own package.
"""

from __future__ import annotations

from functools import lru_cache

from snowballstemmer import EnglishStemmer


@lru_cache(maxsize=65_536)
def stem(word: str) -> str:
    """The stem of a lower-case word; a word with anything but the letters a to z, or of two letters, is its own."""
    if len(word) <= 2 or not (word.isascii() and word.isalpha()):
        return word
    # a stemmer keeps the word it works on, so that each thread, and so each word, gets its own
    return str(EnglishStemmer().stemWord(word))
