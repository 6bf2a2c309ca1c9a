"""What a reading should be: a value, how far off it may be, a limit to one side or to both, what stands on the part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shop.handbook.spoken.beside import (
    limits_of,
    tolerance_at,
    with_unit,
)
from shop.handbook.spoken.cues import (
    FROM_NOTHING,
    MEASURED,
    PLAINLY,
    SHOULD,
    WANTED,
)
from shop.handbook.spoken.items import Item
from shop.handbook.spoken.proposals import Said
from shop.handbook.spoken.readings.walking import Walk


class Expectations(Walk):
    """A walk that knows what should be."""

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
        told = any(tuple(words[-len(one) :]) == one for one in PLAINLY)
        if told and (self.drafts or self._word_at(0) in {"must", "should"}):
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
        if words[-1:] == ["says"] and self._measured_later() and not self._nominal:
            return True  # “the battery says 3 volts but measures 2.4”
        if self._nominal or item.unit not in {"ohm", "F"} or not self._measured_later():
            return False
        return not (MEASURED & set(words))

    def _is_marking(self, item: Item) -> bool:
        """“C4 and C5 a hundred n”: what stands on a part, told right behind its name and without a verb."""
        texts = [one.text for one in self._heap if not one.is_word("a", "an")]
        if SHOULD & {one.text for one in self.items[self._at :]}:
            return False
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

    def _expect(self, said: Said, words: Sequence[str] = ()) -> None:
        """What the last reading should be; before any, what the next one should be."""
        last = self.drafts[-1] if self.drafts else None
        least, most, more = limits_of(words, said, self._ahead(2))
        self._at += more
        if least or most:
            self._limit(least, most)
            return
        off, self._at = tolerance_at(self.items, self._at)
        if not last or last.expected:
            self._nominal, self._limits = said, (None, None, off)
            return
        expected = said if said.unit else with_unit(said, last.value) or said
        value = last.value if last.value.unit else with_unit(last.value, said) or last.value
        asks = tuple(ask for ask in last.asks if ask != "unit") if value.unit else last.asks
        off = of_its_size(off, expected)
        end = off.end if off else said.end
        self.drafts[-1] = replace(last, expected=expected, value=value, asks=asks, end=end, off=off)
        self._of_both_sides()

    def _expect_around(self, said: Said, off: Said) -> None:
        """What the last reading should be, and how far off; one that is told already stays."""
        last, self._heap = self.drafts[-1], []
        if not last.expected:
            expected = with_unit(said, last.value) or said
            self.drafts[-1] = replace(last, expected=expected, off=of_its_size(off, expected), end=said.end)

    def _allow(self, off: Said) -> None:
        """“offset 4 mV, should be within 10”: so far from nothing, where nothing is what one wants."""
        last = self.drafts[-1]
        width = with_unit(off, last.value) or off
        if FROM_NOTHING & set(last.place.split()) and width.unit == last.value.unit and not last.expected:
            self.drafts[-1] = replace(last, off=width, end=off.end)

    def _limit(self, least: Said | None, most: Said | None) -> None:
        """Within what the last reading should be; before any reading, the next one."""
        if not self.drafts:
            self._limits = (least, most, None)
            self._heap = []
            return
        last = self.drafts[-1]
        least, most = ((with_unit(one, last.value) or one) if one else None for one in (least, most))
        end = max(one.end for one in (least, most) if one)
        least, most = least or last.least, most or last.most
        self.drafts[-1] = replace(last, least=least, most=most, end=end)
        self._of_both_sides()

    def _of_both_sides(self) -> None:
        """“left 3.4, right 3.5 mV, should be 3.5 ± 10 percent”: what one place should be, it should be on both sides."""
        *_, last = self.drafts
        other = self.drafts[-2] if len(self.drafts) > 1 else None
        if not other or {other.channel, last.channel} != {"left", "right"} or other.place != last.place:
            return
        if not (other.expected or other.least or other.most or other.off):
            self.drafts[-2] = replace(
                other, expected=last.expected, least=last.least, most=last.most, off=last.off
            )


def of_its_size(off: Said | None, expected: Said | None) -> Said | None:
    """How far off it may be, where that is told of a value that should be: in percent, in its unit, or in none."""
    if off is None or expected is None or expected.number is None:
        return None
    if not off.unit and off.number is not None:
        off = replace(off, number=off.number.scaleb(expected.power), unit=expected.unit, power=expected.power)
    return off if off.unit in {"%", expected.unit} else None
