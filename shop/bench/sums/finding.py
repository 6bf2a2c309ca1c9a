"""Finding a sum by any word under which a person looks for it."""

from __future__ import annotations

from shop.bench.sums import GROUPS
from shop.bench.sums.asking import SumForm
from shop.handbook.words import fold

LONGEST = 80

Group = tuple[str, tuple[type[SumForm], ...]]


def _known_by(title: str, one: type[SumForm]) -> tuple[str, ...]:
    said = fold(" ".join((one.title, one.about, one.words, one.slug, title)))
    whole = said.split()
    return (*whole, *"".join(sign if sign.isalnum() else " " for sign in said).split())


_WORDS: dict[type[SumForm], tuple[str, ...]] = {
    one: _known_by(title, one) for title, sums in GROUPS for one in sums
}


def find(asked: str) -> tuple[Group, ...]:
    """The groups with the sums that know every word asked for, by its beginning; all of them for nothing."""
    words = fold(asked[:LONGEST]).split()
    found = ((title, tuple(one for one in sums if _knows(one, words))) for title, sums in GROUPS)
    return tuple((title, sums) for title, sums in found if sums)


def _knows(one: type[SumForm], words: list[str]) -> bool:
    return all(any(known.startswith(word) for known in _WORDS[one]) for word in words)
