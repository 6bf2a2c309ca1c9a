"""What corrects a reading: a number said anew, another place, “that’s the wrong pin”."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace

from shop.handbook.spoken.beside import (
    with_unit,
)
from shop.handbook.spoken.cues import (
    AMENDS,
    HESITATIONS,
    MEASURED,
    MUST_AMEND,
    SHOULD,
    STRUCK_BY,
    VERBS,
)
from shop.handbook.spoken.items import Item
from shop.handbook.spoken.places import NOUNS
from shop.handbook.spoken.proposals import Said
from shop.handbook.spoken.readings.walking import Walk


class Corrections(Walk):
    """A walk that knows corrections."""

    def _takes_back(self) -> bool:
        """“1.2 k, no, that's the wrong pin”: the last reading was none."""
        return bool(self.drafts) and bool(STRUCK_BY & {one.text for one in self._heap})

    def _amends(self, words: Sequence[str]) -> bool:
        """Whether nothing but words of a correction stands before."""
        said = [word for word in words if word != ","]
        if said and set(said) <= HESITATIONS:
            return bool(self.drafts) and "," in words
        tail = list(itertools.takewhile(lambda word: word in AMENDS, reversed(said)))
        rest = said[: len(said) - len(tail)]
        told = set(rest) & (VERBS | SHOULD | NOUNS | MEASURED | {"left", "right"}) or any(
            one.sort in {"ref", "rail"} for one in self._heap
        )
        return bool(tail) and not told and bool(set(tail) & MUST_AMEND) and (not rest or bool(self.drafts))

    def _amend(self, said: Said) -> None:
        """The last value said anew."""
        old = self.drafts[-1] if self.drafts else self.before
        if not old:
            return
        value = with_unit(said, old.value) or said
        answered = {"value", "unit"} if value.unit else {"value"}
        asks = tuple(ask for ask in old.asks if ask not in answered)
        new = replace(old, value=value, end=said.end, asks=asks)
        if self.drafts:
            self.drafts[-1] = new
        else:
            self.amended = self.before = replace(new, start=said.start)

    def _amends_place(self, item: Item) -> bool:
        """“sorry, make that Q six”."""
        words = [one.text for one in self._heap]
        old = self.drafts[-1] if self.drafts else self.before
        if not old or not self._amends(words):
            return False
        refs = [word for word in old.place.split() if word[-1:].isdigit()]
        if not refs:
            return False
        new = replace(old, place=old.place.replace(refs[0], item.text, 1), end=item.end)
        if self.drafts:
            self.drafts[-1] = new
        else:
            self.amended = self.before = replace(new, start=item.start)
        return True
