"""What a person asks of the history, as words that a full-text index understands, and the meaning of a match.

A question is a row of asked words; a record matches when each of them matches in one of its *ways*: as typed, in
another spelling, or by a word of the trade that means the same. ``matches`` says so in plain Python; ``fts5_query`` and
``tsquery`` say the same to SQLite and PostgreSQL.

Sources
    SQLite, "FTS5 Extension": full-text query syntax. PostgreSQL 15 manual, 8.11 and 12.3: ``tsvector`` and ``tsquery``.
    The words left out of a question because nearly every record has them: common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import zip_longest
from operator import add

from shop.handbook.words.german import TELLING_NOTHING, beginnings, is_german, last_part
from shop.handbook.words.stems import stem
from shop.handbook.words.synonyms import TRADE, Synonyms
from shop.handbook.words.tokens import LONGEST_REMEMBERED, LONGEST_WORD, Phrase, Piece, pieces, stored_tokens

MOST_WORDS = 32
"""A question is answered by its first words; ``Asked.cut`` tells when there were more."""

PREFIX_FROM = 3
"""From this length on, the word being typed finds everything that begins with it."""

LONGEST_QUESTION = 2_000
"""What stands beyond is not read: nobody types it, and any input must be answered in bounded time."""

UNTOLD = frozenset(
    (
        *(
            "a",
            "an",
            "and",
            "are",
            "at",
            "be",
            "been",
            "by",
            "for",
            "from",
            "had",
            "has",
            "have",
            "i",
            "in",
            "is",
        ),
        *("it", "its", "my", "of", "or", "so", "that", "the", "then", "there", "this", "to", "was", "were"),
        *("when", "which", "with"),
    )
)
"""Words left out of a question when others remain. ``no``, ``not``, ``on``, ``off``, ``up`` and ``out`` tell."""

_COLUMN = re.compile(r"[a-z_][a-z0-9_]*")
_POSITION_GAP = 16
_LAST_POSITION = 16_383
_VISIBLE = re.compile(r"[^\s/,;()]+")


@dataclass(frozen=True, slots=True)
class Way:
    """One way to match: all these words, side by side if ``adjacent``, the last one only begun if ``prefix``.

    ``own`` tells the person's own word (in any spelling) from another word of the trade.
    """

    words: Phrase
    adjacent: bool = False
    prefix: bool = False
    own: bool = True


@dataclass(frozen=True, slots=True)
class AskedWord:
    """One word or phrase of the question, as it was typed (folded), with the ways that satisfy it."""

    typed: str
    ways: tuple[Way, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """A question: every one of its words must match, and of ``some`` at least ``fewest``.

    False when there is no word in it; ``cut`` if some were left.
    """

    words: tuple[AskedWord, ...]
    cut: bool = False
    some: tuple[AskedWord, ...] = ()
    fewest: int = 0

    def __bool__(self) -> bool:
        return bool(self.words or self.some)

    @property
    def terms(self) -> tuple[str, ...]:
        """Every whole word that any way uses, each once: what to know the document frequency of."""
        return tuple(
            dict.fromkeys(
                term
                for word in self.words
                for way in word.ways
                for term in (way.words[:-1] if way.prefix else way.words)
            )
        )


def asked_form(text: str, synonyms: Synonyms = TRADE, *, typing: bool = False) -> Asked:
    """Read a question. ``typing`` means that the last word may be unfinished, unless a space stands behind it."""
    whole = list(pieces(text[:LONGEST_QUESTION]))
    unfinished = typing and text[-1:].isalnum() and len(text) <= LONGEST_QUESTION
    words = expand(whole[:MOST_WORDS], synonyms, unfinished=unfinished and len(whole) <= MOST_WORDS)
    untold = UNTOLD
    if is_german(text[:LONGEST_QUESTION]):
        untold |= TELLING_NOTHING
        words = tuple(map(_in_german, words))
    telling = tuple(word for word in words if word.typed not in untold)
    return Asked(telling or words, len(whole) > MOST_WORDS or len(text) > LONGEST_QUESTION)


def _in_german(word: AskedWord) -> AskedWord:
    """A German word with what begins like it, and a compound with what it is in the end."""
    ways = [*word.ways]
    if begun := beginnings([word.typed]).get(word.typed):
        ways.append(Way((begun,), prefix=True, own=False))
    if tail := last_part(word.typed):
        ways.append(Way((stem(tail),), own=False))
    return AskedWord(word.typed, tuple(dict.fromkeys(ways)))


def expand(
    tokens: Sequence[Piece], synonyms: Synonyms = TRADE, *, unfinished: bool = False
) -> tuple[AskedWord, ...]:
    """The asked words of a row of pieces: known phrases taken together, each with all the ways to say it.

    ``unfinished`` tells that the last piece is still being typed. Nothing that the bare words would find is lost: the
    words of a phrase need not stand side by side, only those of its synonyms do.
    """
    asked = []
    at = 0
    while at < len(tokens):
        count, same = _known_phrase(tokens, at, synonyms)
        if count == 1 and not same and _is_one_number(tokens[at : at + 2], synonyms):
            count = 2
        run = tokens[at : at + count]
        at += count
        asked.append(_asked_word(run, same, unfinished=unfinished and at == len(tokens)))
    return tuple(asked)


def _known_phrase(tokens: Sequence[Piece], at: int, synonyms: Synonyms) -> tuple[int, tuple[Phrase, ...]]:
    """How many pieces the longest known phrase at a place takes (at least 1), and what means the same."""
    ahead: list[str] = []
    ends: dict[int, int] = {}
    for count, piece in enumerate(tokens[at : at + synonyms.longest], start=1):
        ahead += piece.stream
        ends[len(ahead)] = count
    for phrase, same in synonyms.at(ahead):
        if len(phrase) in ends:
            return ends[len(phrase)], same
    return 1, ()


def _is_one_number(pair: Sequence[Piece], synonyms: Synonyms) -> bool:
    """Whether two pieces look like one number with a gap: ``VX 318``, ``C 101``, ``9 pin``."""
    if len(pair) < 2 or any(True for _ in synonyms.at(pair[1].stream)):
        return False
    first, second = pair[0].typed, pair[1].typed
    if first.isalpha():
        return len(first) <= 5 and first not in UNTOLD and second.isdigit() and len(second) >= 2
    return first.isdigit() and len(first) <= 3 and second.isalpha() and 3 <= len(second) <= LONGEST_WORD - 3


def _asked_word(run: Sequence[Piece], same: tuple[Phrase, ...], *, unfinished: bool) -> AskedWord:
    words = tuple(word for piece in run for word in piece.stream)
    typed = " ".join(piece.typed for piece in run)
    kin = run[0].kin if len(run) == 1 else ()
    if len(run) == 2 and not same:
        kin = (("".join(piece.stream[0] for piece in run),),)
    ways = [Way(words), *(Way(phrase, adjacent=len(phrase) > 1) for phrase in kin)]
    if unfinished:
        begun = (*words[:-1], run[-1].typed) if len(run[-1].stream) == 1 else (run[-1].typed,)
        ways += _begun([begun, *kin])
    ways += [Way(phrase, adjacent=len(phrase) > 1, own=False) for phrase in same]
    return AskedWord(typed, tuple(dict.fromkeys(ways)))


def _begun(phrases: Sequence[Phrase]) -> Iterator[Way]:
    """Ways that take the last word of each phrase for the beginning of one, where it is long enough."""
    for index, phrase in enumerate(phrases):
        if len(phrase[-1]) >= PREFIX_FROM:
            yield Way(phrase, adjacent=index > 0 and len(phrase) > 1, prefix=True)


def matches(asked: Asked, *columns: Sequence[str]) -> bool:
    """Whether a record matches; each column is the words of one stored form (``stored_tokens``)."""
    held = sum(satisfied_by(word, *columns) is not None for word in asked.some)
    return held >= asked.fewest and all(satisfied_by(word, *columns) for word in asked.words)


def satisfied_by(word: AskedWord, *columns: Sequence[str]) -> Way | None:
    """The first way in which a record satisfies one asked word, the person's own first; None when it doesn't."""
    return next((way for way in word.ways if _holds(way, columns)), None)


def _holds(way: Way, columns: Sequence[Sequence[str]]) -> bool:
    if way.adjacent and len(way.words) > 1:
        return any(_stand_together(way, column) for column in columns)
    return all(
        any(found.startswith(asked) for column in columns for found in column)
        if last and way.prefix
        else any(asked in column for column in columns)
        for asked, last in _with_last(way.words)
    )


def _stand_together(way: Way, column: Sequence[str]) -> bool:
    """Whether the words of a phrase stand one after the other; most records don't even have its first."""
    first, *between, last = way.words
    if first not in column:
        return False
    for at in range(len(column) - len(way.words) + 1):
        if column[at] != first or list(column[at + 1 : at + 1 + len(between)]) != between:
            continue
        found = column[at + 1 + len(between)]
        if found.startswith(last) if way.prefix else found == last:
            return True
    return False


def _with_last(words: Phrase) -> Iterator[tuple[str, bool]]:
    return ((word, place == len(words)) for place, word in enumerate(words, start=1))


def fts5_query(asked: Asked, columns: Sequence[str] = ()) -> str:
    """The question for SQLite's ``MATCH``, within the named columns or all; empty when nothing is asked.

    The table's tokenizer must leave words of ``a-z0-9`` whole, as ``unicode61`` and ``ascii`` do. Raises ValueError
    for a column name that isn't plain.
    """
    if not asked:
        return ""
    some = tuple(map(_fts5_word, asked.some))
    told = [_at_least(asked.fewest, some, " AND ", " OR ")] if some else []
    query = " AND ".join([*map(_fts5_word, asked.words), *told])
    if not columns:
        return query
    if not all(_COLUMN.fullmatch(column) for column in columns):
        raise ValueError("A column name has small letters, digits and underscores only.")
    return f"{{{' '.join(columns)}}} : ({query})"


def _needed(word: AskedWord) -> Iterator[Way]:
    """The ways without those that ask for more than another does: whatever says `drive belt` says `belt`."""
    loose = [set(way.words) for way in word.ways if not (way.adjacent or way.prefix)]
    for way in word.ways:
        whole = set(way.words[:-1] if way.prefix else way.words)
        strict = way.adjacent or way.prefix
        if not any(fewer < whole or (strict and fewer == whole) for fewer in loose):
            yield way


def _fts5_word(word: AskedWord) -> str:
    ways = []
    for way in _needed(word):
        terms = [f'"{" ".join(way.words)}"'] if way.adjacent else [f'"{term}"' for term in way.words]
        if way.prefix:
            terms[-1] += " *"
        ways.append(_joined(terms, " AND "))
    return _joined(ways, " OR ")


def tsquery(asked: Asked, weights: str = "") -> str:
    """The question as text of PostgreSQL's ``tsquery`` type (cast it, don't parse it); empty when nothing is asked.

    ``weights`` limits it to the columns that ``stored_vector`` marked so, such as ``"AB"``.
    """
    if set(weights) - set("ABCD"):
        raise ValueError("Weights are letters from A to D.")
    some = tuple(_tsquery_word(word, weights) for word in asked.some)
    told = [_at_least(asked.fewest, some, " & ", " | ")] if some else []
    return " & ".join([*(_tsquery_word(word, weights) for word in asked.words), *told])


def _at_least(fewest: int, parts: Sequence[str], both: str, either: str) -> str:
    """An expression that holds where at least so many of the parts do: the first and one fewer of the rest, or the rest alone."""
    if fewest >= len(parts):
        return _joined(parts, both)
    if fewest <= 1:
        return _joined(parts, either)
    first, rest = parts[0], parts[1:]
    with_it = f"({first}{both}{_at_least(fewest - 1, rest, both, either)})"
    return f"({with_it}{either}{_at_least(fewest, rest, both, either)})"


def _tsquery_word(word: AskedWord, weights: str) -> str:
    ways = []
    for way in _needed(word):
        terms = [
            term + (":*" if way.prefix and last else ":" if weights else "") + weights
            for term, last in _with_last(way.words)
        ]
        ways.append(_joined(terms, " <-> " if way.adjacent else " & "))
    return _joined(ways, " | ")


def _joined(parts: Sequence[str], sign: str) -> str:
    return parts[0] if len(parts) == 1 else f"({sign.join(parts)})"


def stored_vector(*forms: str) -> str:
    """Stored forms as text of PostgreSQL's ``tsvector`` type: weights A, B, C, then D for all the rest.

    It is to be cast, not handed to ``to_tsvector``, whose parser tears words such as ``2e3abc`` apart. A phrase never
    reaches from one form into the next. PostgreSQL counts places up to 16,383, and 255 of them for one word: what
    lies beyond is still found, but not as a phrase. A word that stands more than once is written as often; the cast
    gathers its places.
    """
    written: list[str] = []
    at = 0
    for number, form in enumerate(forms):
        words = form.split()
        places = _places("ABCD"[min(number, 3)])
        here = places[at : at + len(words)]
        if len(here) < len(words):
            here += (places[-1],) * (len(words) - len(here))
        written += map(add, words, here)
        at += len(words) + _POSITION_GAP
    return " ".join(written)


@lru_cache(maxsize=4)
def _places(weight: str) -> tuple[str, ...]:
    """How every place is written with this weight."""
    return tuple(f":{place}{weight}" for place in range(1, _LAST_POSITION + 1))


def marks(asked: Asked, text: str) -> tuple[tuple[int, int], ...]:
    """Where a text says what was asked: (start, stop) of each piece to be marked, for a reader to see why it matched.

    Only ways that this text satisfies by itself are marked.
    """
    whole = stored_tokens(text)
    ways = [way for word in asked.words for way in word.ways if _holds(way, [whole])]
    if not ways:
        return ()
    exact = {word for way in ways for word, last in _with_last(way.words) if not (last and way.prefix)}
    begun = tuple(way.words[-1] for way in ways if way.prefix)

    def says(part: str) -> bool:
        words = _tokens_of_part(part) if len(part) <= LONGEST_REMEMBERED else stored_tokens(part)
        return not exact.isdisjoint(words) or any(word.startswith(begun) for word in words)

    spans = [found.span() for found in _VISIBLE.finditer(text)]
    marked: list[tuple[int, int]] = []
    for (start, stop), (after, end) in zip_longest(spans, spans[1:], fillvalue=(0, 0)):
        if says(text[start:stop]):
            marked.append((start, stop))
        # a number and its unit are one word, whatever stands between
        elif after and text[stop - 1].isdigit() and says(text[start:end]) and not says(text[after:end]):
            marked.append((start, end))
    return tuple(marked)


_tokens_of_part = lru_cache(maxsize=16_384)(stored_tokens)
