"""Readings out of a sentence: each value with its place, what it should be, and what has to be asked.

A value is only ever one that was said. What is taken from beside it is its unit: from what it should be, from the
reading before it at the same place, or from the place where that is a rail, a heater or an electrode, which are told in
volts. A reading without a unit or a place asks for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from shop.handbook.spoken.beside import (
    Draft,
    after_what,
    against,
    counts_alone,
    is_unsteady,
    kin,
    limits_of,
    state_of,
    told_short,
    unit_beside,
    with_unit,
)
from shop.handbook.spoken.cues import (
    ABOUT,
    AMENDS,
    ELECTRODES,
    MAY_FOLLOW,
    MEASURED,
    MUST_AMEND,
    OPEN,
    OPENS,
    SHOULD,
    STATES,
    VERBS,
    WANTED,
)
from shop.handbook.spoken.items import Item
from shop.handbook.spoken.places import NOUNS, behind, channel_of, is_place, place_of
from shop.handbook.spoken.proposals import Said
from shop.handbook.spoken.units import TIMES


class Readings:
    """The walk along one sentence. ``before`` is the last reading of the sentence before, which may be corrected."""

    def __init__(self, items: Sequence[Item], before: Draft | None = None) -> None:
        """Nothing is read yet."""
        self.items = items
        self.before = before
        self.drafts: list[Draft] = []
        self.amended: Draft | None = None
        self._heap: list[Item] = []
        self._nominal: Said | None = None
        self._fed = ""
        self._at = 0

    def read(self) -> list[Draft]:
        """Every reading of the sentence, in its order."""
        while self._at < len(self.items):
            item = self.items[self._at]
            self._at += 1
            self._step(item)
        state = state_of(self.items)
        return [replace(one, state=one.state or state) for one in self.drafts]

    def _step(self, item: Item) -> None:
        """One more thing of the sentence."""
        if item.sort == "mark" and item.text in ".;!?":
            self._heap = []
        elif item.sort in {"value", "number"}:
            self._number(item)
        elif item.is_word("open", "short", "shorted") and self._is_state(item):
            self._take(Said(None, OPEN[item.text], item.start, item.end), item)
        elif item.sort == "rating" and self.drafts and not is_place(self._heap):
            self._expect(Said(item.number, item.unit, item.start, item.end))
        elif (item.is_word("same") and self._copy(item)) or (item.sort == "ref" and self._amends_place(item)):
            self._heap = []
        else:
            self._heap.append(item)

    def _is_state(self, item: Item) -> bool:
        """“reads open”, or “ground to the arm open” at the end; a door that is open is none."""
        words = [one.text for one in self._heap]
        if not words:
            return False
        if words[-1] in MEASURED:
            return True
        known = is_place(self._heap) and any(one.sort == "ref" or one.text in OPENS for one in self._heap)
        return (
            known
            and words[-1] != "an"
            and (
                self._at == len(self.items)
                or self.items[self._at].sort == "mark"
                or self._word_at(0) in {"both", "in", "now"}
            )
        )

    def _number(self, item: Item) -> None:
        """A number or a value: a reading, what it should be, or neither."""
        words = [one.text for one in self._heap]
        runs = self._word_at(1 if self._word_at(0) == "it" else 0) in {"runs", "plays"}
        if item.unit in {"", "rpm"} and runs and words in ([], ["at"]):
            self._heap = [Item("ref", f"{item.number:f}", item.start, item.end)]
            return
        if (
            item.unit in TIMES
            or self._is_condition(item, words)
            or words[-2:] == ["no", "not"]
            or words[-1:] == ["not"]
        ):
            return
        said = Said(
            item.number, item.unit, item.start, item.end, bool(ABOUT & set(words[-3:])), item.doubtful
        )
        if self._amends(words):
            self._amend(said)
        elif self._is_expected(words):
            self._expect(said, words)
        elif self._is_marked(item, words):
            self._nominal = said
        else:
            self._take(said, item)
            return
        self._heap = self._heap if self._nominal else []

    def _is_condition(self, item: Item, words: Sequence[str]) -> bool:
        """“into 8 ohms”, “at 10 kHz” behind a reading, “across a hundred ohms”: under what it was measured."""
        last = words[-1] if words else ""
        if last in {"into", "across", "through", "within"} or (last == "was" and self._comes("now")):
            return True
        if last == "at" and self._is_fed_with(item):
            self._fed = f"at {told_short(item)}"
            return True
        if last == "at" and self.drafts and self.drafts[-1].value.unit == "F" and item.unit != "F":
            return True
        return item.unit == "Hz" and last == "at" and bool(self.drafts)

    def _is_fed_with(self, item: Item) -> bool:
        """“line out at 1 kHz left 612 mV”, “speed at 33 33.6 rpm”: the value that was read stands behind, with no other place."""
        rest = self.items[self._at :]
        next_one = next(
            (at for at, one in enumerate(rest) if one.number is not None or one.sort == "mark"), None
        )
        if next_one is None or is_place(rest[:next_one]):
            return False
        unit = rest[next_one].unit
        return (item.unit == "Hz" and unit not in {"", "Hz"}) or (not item.unit and unit == "rpm")

    def _comes(self, text: str) -> bool:
        """Whether a word stands further on."""
        return any(one.text == text for one in self.items[self._at :])

    def _amends(self, words: Sequence[str]) -> bool:
        """Whether nothing but words of a correction stands before."""
        return bool(words) and set(words) <= AMENDS and bool(set(words) & MUST_AMEND)

    def _amend(self, said: Said) -> None:
        """The last value said anew."""
        old = self.drafts[-1] if self.drafts else self.before
        if not old:
            return
        value = with_unit(said, old.value) or said
        asks = tuple(ask for ask in old.asks if ask != "value")
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

    def _is_expected(self, words: Sequence[str]) -> bool:
        """Whether it is told what the value should be."""
        after = self._ahead(1)
        step = 1 if after and after[0].text == "," else 0
        closed = self._at + step + 1 >= len(self.items) or self.items[self._at + step + 1].sort == "mark"
        if self._word_at(step) in WANTED and closed:
            return True
        said = [at for at, word in enumerate(words) if word in SHOULD]
        if said and (self._nominal or MEASURED & set(words[said[-1] :])):
            return False
        if self.drafts and tuple(words[-2:]) in {("at", "most"), ("at", "least")}:
            return True
        return bool(said) or tuple(words[-2:]) in {("label", "says"), ("print", "says")}

    def _is_marked(self, item: Item, words: Sequence[str]) -> bool:
        """Whether a value stands on the part, and another in the sentence is the measured one."""
        rest = [one.text for one in self._ahead(4)]
        if rest[:3] in (
            ["on", "the", "print"],
            ["is", "what", "it"],
            ["on", "the", "label"],
            ["on", "the", "case"],
        ):
            return True
        if self._nominal or item.unit not in {"ohm", "F"} or not self._measured_later():
            return False
        return not (MEASURED & set(words))

    def _is_marking(self, item: Item) -> bool:
        """“C4 and C5 a hundred n”: what stands on a part, told right behind its name and without a verb."""
        texts = [one.text for one in self._heap if not one.is_word("a", "an")]
        return (
            item.unit in {"ohm", "F"}
            and item.sort == "value"
            and texts[-1][:1] in {"R", "C"}
            and texts[-1][1:].isdigit()
        )

    def _measured_later(self) -> bool:
        """Whether a verb of measuring and a value follow."""
        rest = self.items[self._at :]
        verbs = [at for at, one in enumerate(rest) if one.text in MEASURED]
        ends = [at for at, one in enumerate(rest) if one.text in {".", ";"}]
        last = ends[0] if ends else len(rest)
        return any(one.sort in {"value", "number"} for one in rest[verbs[0] : last]) if verbs else False

    def _ahead(self, count: int) -> Sequence[Item]:
        return self.items[self._at : self._at + count]

    def _word_at(self, step: int) -> str:
        at = self._at + step
        return self.items[at].text if at < len(self.items) else ""

    def _expect(self, said: Said, words: Sequence[str] = ()) -> None:
        """What the last reading should be; before any, what the next one should be."""
        last = self.drafts[-1] if self.drafts else None
        least, most, more = limits_of(words, said, self._ahead(2))
        self._at += more
        if least or most:
            self._limit(least, most)
            return
        if not last or last.expected:
            self._nominal = said
            return
        expected = said if said.unit else with_unit(said, last.value) or said
        value = last.value if last.value.unit else with_unit(last.value, said) or last.value
        asks = tuple(ask for ask in last.asks if ask != "unit") if value.unit else last.asks
        self.drafts[-1] = replace(last, expected=expected, value=value, asks=asks, end=said.end)

    def _limit(self, least: Said | None, most: Said | None) -> None:
        """Within what the last reading should be; before any reading it stands in the words alone."""
        if not self.drafts:
            return
        last = self.drafts[-1]
        least, most = ((with_unit(one, last.value) or one) if one else None for one in (least, most))
        end = max(one.end for one in (least, most) if one)
        self.drafts[-1] = replace(last, least=least, most=most, end=end)

    def _take(self, said: Said, item: Item) -> None:
        """A reading, if it has a place or says that it was read."""
        ahead = behind(self.items, self._at)
        told = is_place(self._heap)
        apart = told and is_place(ahead) and any(one.text == "there" for one in self._heap[-3:])
        follow = ahead if apart or not told else ()
        heap = list(follow) if apart else [*self._heap, *follow]
        if told and not self.drafts and self._is_marking(item):
            self._heap = []
            return
        known = is_place(heap)
        place, channel = self._place(heap), self._channel(heap)
        reads = any(one.text in MEASURED for one in self._heap)
        stated = bool(self._heap) and bool(item.unit) and all(one.text in STATES for one in self._heap)
        alone = not stated and (
            not known
            and not (self.drafts and (channel or reads or len(self._heap) < 3 or after_what(self._heap)))
            and not (reads or channel)
        )
        self._at += len(follow)
        if alone or (
            not item.unit
            and item.sort == "number"
            and not (follow and known and not self._heap)
            and not self._may_be_bare(item, known=known, sided=bool(channel))
        ):
            self._heap = [] if item.unit else [*self._heap, item]
            return
        if self._nominal and not self._nominal.unit:
            self._nominal = with_unit(self._nominal, said)
        value, asks = self._settled(said, place)
        if follow and not told:
            self.drafts = [one if one.place else replace(one, place=place) for one in self.drafts]
        draft = Draft(
            place,
            channel,
            value,
            self._nominal,
            against=against(self.items),
            state=after_what(self._heap) or self._fed,
            asks=asks,
            start=self._first(item),
            end=item.end,
        )
        self.drafts.append(draft)
        self._nominal, self._heap = None, []

    def _first(self, item: Item) -> int:
        return self._heap[0].start if self._heap else item.start

    def _may_be_bare(self, item: Item, *, known: bool, sided: bool) -> bool:
        """Whether a number without a unit can be a reading at all: behind a verb or a place, before no thing counted."""
        after = self._ahead(1)
        last = self._heap[-1] if self._heap else None
        if (after and after[0].sort == "word" and after[0].text not in MAY_FOLLOW) and (
            not known or after[0].text not in NOUNS
        ):
            return False
        if last is None:
            return False
        verb = last.text in VERBS | ABOUT | SHOULD | {"and", ","} | ELECTRODES
        named = last.sort in {"ref", "rail"} or last.is_word("left", "right") or last.text in NOUNS
        reads = any(one.text in MEASURED for one in self._heap)
        return (known and (verb or named)) or reads or bool(self.drafts and (named or sided))

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
        while (at < len(self.items) and self.items[at].is_word("on", "the", "in", "at", "both", "sides")) or (
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
                self._at = at + 1
                return self.items[at].text
        return ""

    def _settled(self, said: Said, place: str) -> tuple[Said, tuple[str, ...]]:
        """The value with its unit, and what must be asked."""
        asks: list[str] = ["value"] if said.doubtful or is_unsteady(self.items) else []
        if said.number is not None and not said.unit:
            last = self.drafts[-1] if self.drafts else self.before
            said = unit_beside(said, place, self._nominal, last, self.items[self._at :])
            if not said.unit and not counts_alone(place, self.items):
                asks.append("unit")
        if not place:
            asks.append("place")
        if said.unit == "deg" and not {"azimuth", "phase"} & set(place.split()):
            said = replace(said, unit="degC")
        if said.unit == "dB" and self._heap and any(one.text == "down" for one in self._heap[-2:]):
            said = replace(said, number=-abs(said.number or Decimal()))
        return said, tuple(asks)

    def _copy(self, item: Item) -> bool:
        """“same on the right”: the last reading once more, on the other side."""
        last = self.drafts[-1] if self.drafts else None
        rest = self._ahead(5)
        side = channel_of([one for one in rest if one.sort == "word"]) or channel_of(self._heap)
        if not last or not side or any(one.sort in {"value", "number"} for one in rest):
            return False
        self.drafts.append(
            replace(last, channel=side, start=item.start, end=rest[-1].end if rest else item.end)
        )
        self._at = len(self.items)
        return True
