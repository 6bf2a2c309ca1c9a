"""The walk along one sentence: where it stands, what it has gathered, and whose place and side a value has."""

from __future__ import annotations

from collections.abc import Sequence

from shop.handbook.spoken.beside import (
    Draft,
    kin,
)
from shop.handbook.spoken.cues import (
    ELECTRODES,
)
from shop.handbook.spoken.items import Item
from shop.handbook.spoken.places import channel_of, is_place, place_of
from shop.handbook.spoken.proposals import Said

_BEFORE_A_SIDE = ("on", "the", "in", "at", "both", "sides", "ac", "dc", "rms", "coming", "out", "of", "from")


class Walk:
    """The walk along one sentence. ``before`` is the last reading of the sentence before, which may be corrected."""

    def __init__(self, items: Sequence[Item], before: Draft | None = None) -> None:
        """Nothing is read yet."""
        self.items = items
        self.before = before
        self.drafts: list[Draft] = []
        self.amended: Draft | None = None
        self._heap: list[Item] = []
        self._nominal: Said | None = None
        self._limits: tuple[Said | None, Said | None, Said | None] = (None, None, None)
        self._fed = ""
        self._at = 0

    def _ahead(self, count: int) -> Sequence[Item]:
        return self.items[self._at : self._at + count]

    def _word_at(self, step: int) -> str:
        at = self._at + step
        return self.items[at].text if at < len(self.items) else ""

    def _comes(self, text: str) -> bool:
        """Whether a word stands further on."""
        return any(one.text == text for one in self.items[self._at :])

    def _side_follows(self) -> bool:
        """“damn, 5 on the right”: the value of another side is no correction."""
        ahead = [one.text for one in self._ahead(3)]
        return bool({"left", "right"} & set(ahead)) and ahead[0] in {"on", "left", "right", "in", "at"}

    def _first(self, item: Item) -> int:
        return self._heap[0].start if self._heap else item.start

    def _place(self, heap: Sequence[Item]) -> str:
        """The place that was said, or as much of the one before as isn't said again."""
        place = place_of(heap)
        last = self.drafts[-1].place if self.drafts else ""
        if not is_place(heap):
            return last or place
        if place == "esr" and not last and self.before:
            return f"{self.before.place} esr"
        if last and (nearer := kin(place, last)) != place:
            return nearer
        words = set(place.split())
        if words <= {"positive", "negative"} and {"positive", "negative"} & set(last.split()):
            return " ".join([place, *(word for word in last.split() if word not in {"positive", "negative"})])
        if last and words <= ELECTRODES:
            return " ".join([*(word for word in last.split() if word not in ELECTRODES), place])
        return place

    def _channel(self, heap: Sequence[Item]) -> str:
        """Left or right, before the value or right behind it."""
        if said := channel_of(heap):
            return said
        at = self._at
        while (at < len(self.items) and self.items[at].is_word(*_BEFORE_A_SIDE)) or (
            at < len(self.items) and self.items[at].text == ","
        ):
            if self.items[at].text == ",":
                return ""
            at += 1
        if at < len(self.items) and self.items[at].is_word("left", "right"):
            after = self.items[at + 1] if at + 1 < len(self.items) else None
            if (
                not after
                or after.sort == "mark"
                or after.is_word("and", "channel", "side", "at", "but", "so")
            ):
                self._at = at + 2 if after and after.is_word("channel", "side") else at + 1
                return self.items[at].text
        return ""
