"""A fault text as a row of words that both a full-text index and a question agree on.

Each word consists of ``a-z0-9`` only, so that nothing in it is syntax anywhere. A text becomes a *stream*, one word
after the other, and *extras* behind it: the same things in other spellings, which a question may use.

Sources
    Which spellings belong together (``C-101`` and ``C101``, ``2SC1815-GR`` and ``2SC1815``, ``4k7`` and ``4.7 kΩ``):
    common practice of the bench, no source. Designations such as ``2SC1815``: JIS C 7012; the ``2S`` is often not
    printed on the part.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from shop.handbook.words.folding import fold
from shop.handbook.words.german import last_part, without_umlaut
from shop.handbook.words.stems import stem
from shop.handbook.words.values import VALUE, bind_units, read_decimal, read_rkm, read_value

LONGEST_WORD = 40
"""A longer run of letters and digits is cut, when storing and when asking alike."""

LONGEST_REMEMBERED = 48
"""Longer chunks of text are read anew each time, so that what is remembered stays small."""

MOST_JOINED = 4
"""A longer chain of hyphens is no designation: its links are words of their own."""

_PIECE = re.compile(
    rf"(?<![a-z0-9])(?P<short>(?:[a-z]\.){{2,}}(?:[a-z](?![a-z0-9]))?)"
    rf"|(?<![a-z0-9])(?P<date>\d{{1,4}}(?P<between>[-/.])\d{{1,2}}(?P=between)\d{{1,4}}(?![a-z0-9]))"
    rf"|(?<![a-z0-9])(?P<value>{VALUE})"
    rf"|(?<![a-z0-9])(?P<decimal>\d{{0,9}}\.\d{{1,9}}[a-z]*(?![a-z0-9]))"
    rf"|(?P<word>[a-z0-9]+(?:-[a-z0-9]+)*)"
)
_OWNER = re.compile(r"(?<=[a-z])'s(?![a-z0-9])")
_INNER_APOSTROPHE = re.compile(r"(?<=[a-z])'(?=[a-z])")
_NUMBER_OR_VALUE = re.compile(rf"\d+|{VALUE}")
_NUMBER_OF = re.compile(r"\d+(?:d\d+)?")
_LETTERS_THEN_DIGITS = re.compile(r"([a-z]{1,5})(\d{2,})")
_DIGITS_THEN_LETTERS = re.compile(r"(\d{1,3})([a-z]{3,})")
_SUFFIXED = re.compile(r"(.*[a-z].*\d)[a-z]{1,3}")
_OTHER_SCRIPT = re.compile(r"(?:qx[0-9a-f]{4,5})+")
_JAPANESE = re.compile(r"2s([a-dfjkm]\d{2,4})")
_JAPANESE_SHORTENED = re.compile(r"[abcdjk]\d{3,4}")

_MISLEADING = {"crackly": "crackl"}
"""Stems that would be those of another thing: a crackly pot has no crack."""

Phrase = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Piece:
    """What one written piece of a text says: its words in the stream, other words, and how a question may ask for it.

    ``typed`` is the folded piece as one word, for a question that is still being typed; ``kin`` are phrases that mean
    the same as the whole piece.
    """

    stream: Phrase
    extras: Phrase = ()
    typed: str = ""
    kin: tuple[Phrase, ...] = ()


def pieces(text: str) -> Iterator[Piece]:
    """The pieces of any text in the order in which they stand; takes time in proportion to its length."""
    for chunk in bind_units(fold(text)).split():
        yield from _read_chunk(chunk)


def typed_words(text: str) -> Iterator[tuple[str, str]]:
    """Each word of the stream that one written piece became, with that piece as it was typed, folded."""
    for chunk in bind_units(fold(text)).split():
        yield from _typed_chunk(chunk) if len(chunk) <= LONGEST_REMEMBERED else _typed_parts(chunk)


def stored_form(text: str) -> str:
    """What is stored of a text for the search: its stream, then its extras, each once, with spaces between.

    The words are in ``a-z0-9``; a full-text index takes them as they are, without a stemmer or stop words of its own.
    """
    stream: list[str] = []
    extras: list[str] = []
    for chunk in bind_units(fold(text)).split():
        words, others = _stored_chunk(chunk) if len(chunk) <= LONGEST_REMEMBERED else _stored_parts(chunk)
        stream += words
        extras += others
    if not extras:
        return " ".join(stream)
    told = set(stream)
    return " ".join([*stream, *(extra for extra in dict.fromkeys(extras) if extra not in told)])


def stored_tokens(text: str) -> Phrase:
    """The words of ``stored_form``, one by one."""
    return tuple(stored_form(text).split())


def _stored_parts(chunk: str) -> tuple[Phrase, Phrase]:
    read = _read_chunk(chunk)
    stream = tuple(word for piece in read for word in piece.stream)
    return stream, tuple(word for piece in read for word in piece.extras)


_stored_chunk = lru_cache(maxsize=65_536)(_stored_parts)


def _typed_parts(chunk: str) -> tuple[tuple[str, str], ...]:
    read = _read_chunk(chunk)
    return tuple((piece.stream[0], piece.typed) for piece in read if len(piece.stream) == 1 and piece.typed)


_typed_chunk = lru_cache(maxsize=16_384)(_typed_parts)


def _read_chunk(chunk: str) -> list[Piece]:
    """The pieces of what stands between two spaces."""
    if "'" in chunk:
        chunk = _INNER_APOSTROPHE.sub("", _OWNER.sub("", chunk))
    read = []
    for found in _PIECE.finditer(chunk):
        kind, text = found.lastgroup, found.group()
        if kind == "date":
            read.append(_date(text))
        elif kind == "value":
            read.append(_value(text))
        elif kind == "decimal":
            word = read_decimal(text)[:LONGEST_WORD]
            read.append(Piece((word,), typed=word))
        elif kind == "short":
            read.append(_single(text.replace(".", "")[:LONGEST_WORD]))
        else:
            read += _words(text)
    return read


def _words(text: str) -> list[Piece]:
    """What hyphens join: one word, one compound, or a chain too long to be one."""
    parts = [part[:LONGEST_WORD] for part in text.split("-")]
    if 1 < len(parts) <= MOST_JOINED:
        return [_compound(parts)]
    return [_single(part) for part in parts]


def _date(text: str) -> Piece:
    """A date stamp as one word of its digits, so that ``8-14-79`` and ``8/14/79`` meet."""
    digits = "".join(sign for sign in text if sign.isdigit())
    return Piece((digits,), typed=digits)


def _value(text: str) -> Piece:
    value = read_value(text)
    if value is None:
        return _single(text.replace("_", ""))
    word, typed, spoken = value
    extras = [typed] if typed != word else []
    number = _NUMBER_OF.match(typed)
    kin: tuple[Phrase, ...] = ()
    if number and "d" in number[0]:
        extras.append(number[0])
    if number and spoken:  # "channel 2 amp dead" speaks of an amplifier
        extras += [number[0], stem(spoken)]
        kin = ((number[0], stem(spoken)),)
    return Piece((word,), tuple(extras), typed, kin)


@lru_cache(maxsize=16_384)
def _single(word: str) -> Piece:
    """A run of letters and digits without any sign between; what a shop writes is made of few of them."""
    if word.isalpha():
        root = _MISLEADING.get(word) or stem(word)
        extras = [word] if _lost_while_typing(word, root) else []
        plain, tail = without_umlaut(word), last_part(word)
        extras += [stem(part) for part in (plain, tail) if part and part != word]
        return Piece((root,), tuple(extras), word, ((stem(plain),),) if plain != word else ())
    if word.isdigit():
        return Piece((word,), (), word)
    if _OTHER_SCRIPT.fullmatch(word):
        return Piece((word,), (), word)
    rkm = read_rkm(word)
    suffixed = _SUFFIXED.fullmatch(word)
    extras = [rkm] if rkm else []
    if suffixed:
        extras.append(suffixed[1])
    return Piece((word,), tuple(extras), word, tuple(_kin_of_mixed(word, rkm)))


def _kin_of_mixed(word: str, rkm: str | None) -> Iterator[Phrase]:
    if rkm:
        yield (rkm,)
    for shape in (_LETTERS_THEN_DIGITS, _DIGITS_THEN_LETTERS):
        if found := shape.fullmatch(word):
            yield tuple(stem(part) for part in found.groups())
    if japanese := _JAPANESE.fullmatch(word):
        yield (japanese[1],)
    elif _JAPANESE_SHORTENED.fullmatch(word):
        yield ("2s" + word,)


def _compound(parts: list[str]) -> Piece:
    """Words joined by hyphens: two words, a range, or one designation such as ``C-101``."""
    joined = "".join(parts)[:LONGEST_WORD]
    singles = [_part(part) for part in parts]
    stream = tuple(word for single in singles for word in single.stream)
    extras = tuple(word for single in singles for word in single.extras)
    if joined.isalpha():
        return Piece(stream, (*extras, stem(joined)), joined, ((stem(joined),),))
    if all(_NUMBER_OR_VALUE.fullmatch(part) for part in parts) and (not joined.isdigit() or len(parts) == 2):
        return Piece(stream, extras, joined)
    telling = (word for single in singles for word in (*single.stream, *single.extras) if len(word) >= 3)
    return Piece((joined,), tuple(telling), joined, (stream, *_kin_of_mixed(joined, None)))


def _part(part: str) -> Piece:
    is_value = not part.isdigit() and _NUMBER_OR_VALUE.fullmatch(part)
    return _value(part) if is_value else _single(part)


def _lost_while_typing(word: str, root: str) -> bool:
    """Whether some beginning of the word, being typed, would find neither the root nor anything that begins so.

    ``leaki`` on the way to ``leaking`` has another root than ``leak``: then the word itself is stored as well.
    """
    shared = 0
    while shared < min(len(word), len(root)) and word[shared] == root[shared]:
        shared += 1
    return any(stem(word[:length]) != root for length in range(max(shared + 1, 3), len(word)))
