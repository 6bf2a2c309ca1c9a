"""The values of a sentence, one by one: which are readings, and what of each has to be asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from shop.handbook.spoken.beside import (
    Draft,
    after_what,
    against,
    counts_alone,
    is_bound,
    is_unsteady,
    past_it,
    said_of,
    state_of,
    told_short,
    unit_beside,
    with_unit,
    within_of,
)
from shop.handbook.spoken.cues import (
    ABOUT,
    DENIED,
    ELECTRODES,
    MAY_FOLLOW,
    MEASURED,
    MUST_AMEND,
    NO_READING,
    OPEN,
    OPENS,
    PARTS_CALLED,
    SHOULD,
    STATES,
    VERBS,
)
from shop.handbook.spoken.doubts import with_doubts
from shop.handbook.spoken.items import Item
from shop.handbook.spoken.places import NOUNS, behind, channel_of, is_place, named_behind
from shop.handbook.spoken.proposals import Said
from shop.handbook.spoken.readings.correcting import Corrections
from shop.handbook.spoken.readings.expecting import Expectations, of_its_size
from shop.handbook.spoken.units import TIMES


class Readings(Corrections, Expectations):
    """Every reading of a sentence."""

    def read(self) -> list[Draft]:
        """Every reading of the sentence, in its order."""
        while self._at < len(self.items):
            item = self.items[self._at]
            self._at += 1
            self._step(item)
        state = state_of(self.items)
        return with_doubts(self.items, [replace(one, state=one.state or state) for one in self.drafts])

    def _step(self, item: Item) -> None:
        """One more thing of the sentence."""
        if (
            (item.number is not None and self._word_at(0) in NO_READING)
            or self._names_a_part(item)
            or (item.sort == "mark" and item.text in ".;!?")
        ):
            self._heap = []
        elif item.is_word("wrong") and self._takes_back():
            self.drafts.pop()
            self._heap = []
        elif item.is_word("within") and self.drafts and (both := within_of(self.items, self._at)):
            self._at += 3
            self._expect_around(*both)
        elif item.sort in {"value", "number"}:
            self._number(item)
        elif item.is_word("open", "short", "shorted") and self._is_state(item):
            self._take(Said(None, OPEN[item.text], item.start, item.end), item)
        elif item.sort == "rating" and self.drafts and not is_place(self._heap):
            self._expect(said_of(item))
        elif (item.is_word("same") and self._copy(item)) or (item.sort == "ref" and self._amends_place(item)):
            self._heap = []
        else:
            self._heap.append(item)

    def _names_a_part(self, item: Item) -> bool:
        """“the 220 ohm resistor”: what it is called, told in front of it."""
        return item.unit in {"ohm", "F", "H"} and self._word_at(0) in PARTS_CALLED

    def _is_denied(self) -> bool:
        """“C5 isn't 10 ohms”: between the last comma and the value it is denied."""
        near: list[str] = []
        for one in self._heap:
            near = [] if one.text == "," else [*near, one.text]
        return bool(DENIED & set(near)) and not (MUST_AMEND & set(near))

    def _is_state(self, item: Item) -> bool:
        """“reads open”, or “ground to the arm open” at the end; a door that is open is none."""
        words = [one.text for one in self._heap]
        if not words:
            return False
        if words[-1] in MEASURED:
            return True
        if self.drafts and set(words) <= {"left", "right", "and", ","} and self._at == len(self.items):
            return True  # “left 540 ohms, right open”
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
        allowed = bool(self.drafts) and words[-1:] == ["within"] and bool(SHOULD & set(words))
        if not allowed and (
            item.unit in TIMES
            or self._is_condition(item, words)
            or words[-2:] == ["no", "not"]
            or words[-1:] == ["not"]
            or self._is_denied()
        ):
            return
        said = said_of(item, about=bool(ABOUT & set(words[-3:])))
        if allowed:
            self._allow(said)
        elif self._amends(words) and not self._side_follows():
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

    def _is_rating(self, item: Item, *, told: bool) -> bool:
        """“470 microfarad 35 volt”: a value of another unit right behind one, without a place and a verb of its own."""
        last = self.drafts[-1] if self.drafts else None
        if not last or told or not item.unit or item.unit == last.value.unit or not last.value.unit:
            return False
        return not self._heap

    def _is_told_twice(self, item: Item) -> bool:
        """“900 nano, 0.9 nano”: two values of one unit for one place, and not a word between them."""
        last = self.drafts[-1] if self.drafts else None
        if not last or not item.unit or item.unit != last.value.unit or self._side_follows():
            return False
        return (
            bool(self._heap)
            and all(one.text == "," for one in self._heap)
            and not is_place(behind(self.items, self._at))
        )

    def _take(self, said: Said, item: Item) -> None:
        """A reading, if it has a place or says that it was read."""
        shown = self._shown_as(item.end)
        ahead = behind(self.items, self._at)
        told = is_place(self._heap)
        if not is_place([one for one in self._heap if not one.is_word("channel")]) and item.unit:
            named = named_behind(self.items, self._at)
            self._heap += self.items[self._at : named]
            self._at, told = named, told or named > self._at
        apart = told and is_place(ahead) and self._is_told_apart(ahead)
        follow = ahead if apart or not told else ()
        heap = list(follow) if apart else [*self._heap, *follow]
        if self._is_rating(item, told=told):
            return
        if self._is_told_twice(item):
            self.drafts[-1] = replace(self.drafts[-1], loose=True)
            return
        called = bool(self._heap) and self._heap[-1].is_word("a", "an") and item.unit in {"ohm", "F", "H"}
        if told and not self.drafts and (called or self._is_marking(item)):
            self._heap = []  # “the resistor is a 270 ohm”: what it is called
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
            self._nominal = with_unit(self._nominal, said) or self._nominal
        value, asks = self._settled(said, place)
        if self._nominal and not self._nominal.unit:
            self._nominal = with_unit(self._nominal, value)  # “grid of V6 should be minus 40, reads minus 12”
        if follow and not told:
            self.drafts = [one if one.place else replace(one, place=place) for one in self.drafts]
        least, most, off = self._limits
        least, most = ((with_unit(one, value) or one) if one else None for one in (least, most))
        draft = Draft(
            place,
            channel,
            value,
            self._nominal,
            least,
            most,
            of_its_size(off, self._nominal),
            against=against(self.items),
            state=after_what(self._heap) or self._fed or past_it([one.text for one in self._heap]),
            asks=asks,
            start=self._first(item),
            end=shown,
            loose=self._is_loose() or is_bound([one.text for one in self._heap]),
        )
        self.drafts.append(draft)
        self._nominal, self._limits, self._heap = None, (None, None, None), []

    def _is_told_apart(self, ahead: Sequence[Item]) -> bool:
        """“… there 5 volts at pin 7”, “nothing at pin 6, 5 volts at pin 7”: the place behind is meant, not the one before."""
        commas = [one.text for one in self._heap[-1:]] == [","] and any(one.sort == "ref" for one in ahead)
        return commas or any(one.text == "there" for one in self._heap[-3:])

    def _shown_as(self, end: int) -> int:
        """Where “volts AC”, “peak to peak” end: those words tell what was measured, and belong to the reading."""
        while self._word_at(0) in {"ac", "dc", "rms", "peak", "pp"} or (
            self._word_at(0) == "to" and self._word_at(1) == "peak"
        ):
            end = self.items[self._at].end
            self._at += 1
        return end

    def _is_loose(self) -> bool:
        """Whether another number, of which nothing was understood, stands right before this one."""
        near: list[Item] = []
        for one in self._heap:
            near = [] if one.text in {",", "and"} and near and near[-1].sort != "number" else [*near, one]
        loose = next((at for at, one in enumerate(near) if one.sort == "number"), len(near))
        return len(near) - 3 <= loose < len(near) and not MUST_AMEND & {one.text for one in near[loose:]}

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
        named = last.sort in {"ref", "rail"} or last.is_word("left", "right", "volts") or last.text in NOUNS
        reads = any(one.text in MEASURED for one in self._heap)
        return (known and (verb or named)) or reads or bool(self.drafts and (named or sided))

    def _settled(self, said: Said, place: str) -> tuple[Said, tuple[str, ...]]:
        """The value with its unit, and what must be asked."""
        asks: list[str] = ["value"] if said.doubtful or is_unsteady(self.items) else []
        if said.number is not None and not said.unit:
            last = self.drafts[-1] if self.drafts else self.before
            wanted = self._nominal or self._limits[0] or self._limits[1]
            said = unit_beside(said, place, wanted, last, self.items[self._at :])
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
