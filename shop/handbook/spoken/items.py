"""Words gathered to what a sentence speaks of: values, designators, rails, type numbers; the other words stay words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from shop.handbook.spoken.lists import listed
from shop.handbook.spoken.numbers import Number, atom_at, number_at
from shop.handbook.spoken.units import PREFIX_WORDS, UNIT_WORDS, UNITS_SAID, scaled
from shop.handbook.spoken.words import Word


@dataclass(frozen=True, slots=True)
class Item:
    """One thing in a sentence: ``sort`` is word, mark, number, value, ref, rail or type."""

    sort: str
    text: str
    start: int
    end: int
    number: Decimal | None = None
    unit: str = ""
    doubtful: bool = False
    power: int = 0

    def is_word(self, *texts: str) -> bool:
        """Whether it is one of these words."""
        return self.sort == "word" and self.text in texts


Step = tuple[Item, int]
THOUSAND = 1000
MOST = Decimal(10) ** 12
"""A larger number is none that is said in thousands."""
_REF_LETTERS = frozenset(
    listed(
        """
        c r q d u v l t ic tr rl vr zd tp
    """
    )
)
_NAMED = frozenset({"pin", "voice", "grid", "channel", "terminal", "lug", "tap", "stage", "oscillator"})
_REF_TYPED = re.compile(r"(?!t\d+a$)(?:c|r|q|d|u|v|l|t|ic|tr|rl|vr|zd|rv|tp|cn|j|f|k|sw|x|y)\d{1,4}[a-z]?")
_FAMILIES = (
    "tip|bdx|bd|bcx|bc|bf|mje|mjl|mj|lm|ne|tl|tda|cem|cd|uc|ua|irf|d|el|ecc|kt|njm|upc|stk|sn|op|mn|ta|la|ba"
    "|hd|cr|ef|ez|gz"
)
_TYPED_TYPE = re.compile(
    rf"2s[a-dkj]\d{{2,4}}[a-z]?|[1-6]n\d{{2,4}}[a-z]?|(?:{_FAMILIES}|an|ha|mc|lf|ca|upd|hef)\d{{2,5}}[a-z]?|[tf]\d+(?:\.\d+)?a|12a[xutyz]7\w?|6[a-z]{{1,2}}\d\w*|[ds]\d{{2}}h\d+"
)
_RKM = re.compile(r"(\d+)([kmrunpv\u00b5])(\d+)")
_WITH_UNIT = re.compile(r"(\d+(?:,\d{3})*(?:\.\d+)?|\.\d+)([a-z\u00b5\u03bc\u03c9\u2126%]+)")
_SUPPLIES = frozenset(listed("digital analog servo logic standby audio switched regulated"))
_RAIL_WORDS = frozenset({"rail", "rails", "supply", "line"})
_READ_BEHIND = frozenset({"reads", "read", "measures", "measured", "got", "gives"})
_RATING_OF = frozenset(
    {
        "zener",
        "bulb",
        "lamp",
        "receiver",
        "type",
        "model",
        "version",
        "part",
        "unit",
        "amplifier",
        "amp",
        "fuse",
        "relay",
        "regulator",
        "battery",
        "resistor",
        "slow",
        "fast",
    }
)
_POINTERS = frozenset(
    listed(
        "left right the this that other odd good bad old new first second each which no same next last any every"
    )
)
_LETTERS = re.compile(r"[a-z]")


def items_of(words: Sequence[Word]) -> list[Item]:
    """The things of a sentence in their order."""
    found: list[Item] = []
    at = 0
    while at < len(words):
        item, at = _next(words, at)
        found.append(item)
    return _spanned(found)


def _spanned(items: list[Item]) -> list[Item]:
    """“pin 3 to 4 reads …” as one place: the second number is a pin, because what is read stands behind."""
    for at in range(len(items) - 3):
        ref, to, number, verb = items[at : at + 4]
        if (
            (ref.sort, number.sort) == ("ref", "number")
            and to.is_word("to")
            and verb.is_word(*_READ_BEHIND)
            and ref.text.startswith("pin ")
        ):
            both = Item("ref", f"{ref.text} to {number.number:f}", ref.start, number.end)
            return [*items[:at], both, *_spanned(items[at + 3 :])]
    return items


def _next(words: Sequence[Word], at: int) -> Step:
    """The thing that begins at a word: the longest reading first."""
    for reader in (_type, _ref, _signed_or_value):
        if step := reader(words, at):
            return step
    word = words[at]
    sort = "word" if word.text[0].isalnum() else "mark"
    return Item(sort, word.text, word.start, word.end), at + 1


def _text(words: Sequence[Word], at: int) -> str:
    return words[at].text if 0 <= at < len(words) else ""


def _item(words: Sequence[Word], at: int, end: int, sort: str, text: str) -> Step:
    return Item(sort, text, words[at].start, words[end - 1].end), end


def _type(words: Sequence[Word], at: int) -> Step | None:
    """A type number, typed (2SC5200) or spelled: “two S A ten fifteen”, “t i p thirty five”."""
    text = _text(words, at)
    if _TYPED_TYPE.fullmatch(text) and not _REF_TYPED.fullmatch(text):
        return _item(words, at, at + 1, "type", text.upper())
    end, letters = at, ""
    lead = atom_at(words, at)
    if (lead and lead.value in range(1, 7) and lead.end == at + 1) or text in {"1", "2"}:
        end, letters = at + 1, str(lead.value if lead else text)
    first = end
    while _LETTERS.fullmatch(_text(words, end)) or (
        end == first and _text(words, end) in {"sa", "sb", "sc", "sd", "tip", *_FAMILIES.split("|")}
    ):
        letters, end = letters + _text(words, end), end + 1
    number = number_at(words, end) if end > first else None
    spelled = number and _TYPED_TYPE.fullmatch(letters + str(number.value))
    if not number or not spelled or _REF_TYPED.fullmatch(letters + str(number.value)):
        return None
    return _item(words, at, number.end, "type", (letters + str(number.value)).upper())


def _ref(words: Sequence[Word], at: int) -> Step | None:
    """A designator or a numbered place: R12, “C five oh two”, “pin three”."""
    text = _text(words, at)
    if _REF_TYPED.fullmatch(text):
        return _item(words, at, at + 1, "ref", text.upper())
    if text not in _REF_LETTERS | _NAMED:
        return None
    number = _ref_number(words, at + 1)
    if not number or number.value != int(number.value) or (text in _NAMED and _unit(words, number.end)):
        return None
    name = f"{text} {number.value}" if text in _NAMED else f"{text.upper()}{number.value}"
    return _item(words, at, number.end, "ref", name)


def _ref_number(words: Sequence[Word], at: int) -> Number | None:
    """The number of a designator: its first atom where the words behind it are a value of their own."""
    whole, first = number_at(words, at), atom_at(words, at)
    if not whole or not first or whole.end == first.end:
        return whole
    another = number_at(words, first.end)
    split = another and (_unit(words, another.end) or whole.value != int(whole.value))
    apart = whole.doubtful or first.value * 100 == whole.value
    return Number(Decimal(first.value), first.end) if split or apart else whole


def _signed_or_value(words: Sequence[Word], at: int) -> Step | None:
    """A number, a value with its unit, or a rail named by its voltage."""
    signed = _text(words, at) in {"plus", "minus", "negative", "positive"}
    sign = -1 if _text(words, at) in {"minus", "negative"} else 1
    begin = at + signed
    found = _value(words, begin)
    if not found:
        return None
    item, end = found
    number = (item.number or Decimal()) * sign
    if _names_rail(words, end, item):
        shown = f"{'-' if sign < 0 else '+' if signed else ''}{item.number:f} rail"
        return Item("rail", shown, words[at].start, words[end].end, number, "V"), end + 1
    if signed and item.unit == "V" and (last := _names_what_is_read(words, end)):
        which = f"{_text(words, end)} " if last > end else ""
        shown = f"{'-' if sign < 0 else '+'}{item.number:f} {which}rail"
        return Item("rail", shown, words[at].start, words[last - 1].end, number, "V"), last
    if signed and item.unit in {"", "V"} and _is_read_behind(words, at, end):
        shown = f"{'-' if sign < 0 else '+'}{item.number:f} rail"
        return Item("rail", shown, words[at].start, words[end - 1].end, number, "V"), end
    if item.unit in {"V", "A", "W"} and _is_rating(words, end):
        return Item(
            "rating", f"{number:f} {item.unit}", words[at].start, words[end - 1].end, number, item.unit
        ), end
    return Item(
        item.sort,
        item.text,
        words[at].start,
        words[end - 1].end,
        number,
        item.unit,
        item.doubtful,
        item.power,
    ), end


def _names_what_is_read(words: Sequence[Word], end: int) -> int:
    """“minus 15 V 86 millivolts”, “plus 5 volts 5.02 volts”: another value right behind, so the first is a name; its end."""
    if _text(words, end).isalpha() and _text(words, end) in _SUPPLIES:
        end += 1  # “plus 5 volts digital 5.02 volts”
    begin = end + (_text(words, end) in {"plus", "minus"})
    another = _value(words, begin) if begin < len(words) else None
    if another and (another[0].sort == "value" or _text(words, another[1]) in {"", ",", ".", "should"}):
        return end
    return 0


def _is_read_behind(words: Sequence[Word], at: int, end: int) -> bool:
    """“plus fifteen reads 14.8”, “rail +24, got 21.3”: what is read stands behind, so this is the name."""
    if _text(words, at - 1) in _RAIL_WORDS and _text(words, end) == ",":
        end += 1
    return _text(words, end) in _READ_BEHIND


def _is_rating(words: Sequence[Word], end: int) -> bool:
    """“6.3 volt bulb”, “2 A slow”, “6.3 volt 250 milliamp type”: what it is made for, no reading."""
    if _text(words, end) in _RATING_OF:
        return True
    second = _value(words, end) if end < len(words) else None
    return bool(second and second[0].unit in {"A", "W", "V"} and _text(words, second[1]) in _RATING_OF)


def _names_rail(words: Sequence[Word], end: int, item: Item) -> bool:
    """“plus twelve rail”, “five volt rail”: a name, no reading."""
    return item.unit in {"", "V"} and _text(words, end) in _RAIL_WORDS and _text(words, end - 1) != "volts"


def _value(words: Sequence[Word], at: int) -> Step | None:
    """A number with what it is in, if that is said."""
    text = _text(words, at)
    if typed := _typed_value(text):
        number, unit, sort, power = typed
        end = at + 1
        if unit == "ohm" and _text(words, end) in {"ohm", "ohms"}:
            end += 1
        return Item(sort, text, words[at].start, words[end - 1].end, number, unit, power=power), end
    if text == "half" and _text(words, at + 1) in {"a", "an"} and _text(words, at + 2) in UNITS_SAID:
        power, unit = UNITS_SAID[_text(words, at + 2)]
        half = scaled(Decimal("0.5"), power)
        return Item("value", "half", words[at].start, words[at + 2].end, half, unit, power=power), at + 3
    number_said = number_at(words, at)
    if not number_said or _stands_for_a_thing(words, at, number_said.end):
        return None
    middle = _k_in_the_middle(words, number_said)
    if middle:
        return Item(
            "value",
            "k",
            words[at].start,
            words[middle.end - 1].end,
            middle.value,
            "ohm",
            power=3 if _text(words, number_said.end) == "k" else 6,
        ), middle.end
    unit_said = _unit(words, number_said.end)
    power, base, end = unit_said or (0, "", number_said.end)
    value = scaled(number_said.value, power)
    if base and not power and THOUSAND <= abs(value) < MOST and not value % THOUSAND:
        power = 3  # “330 thousand ohms”: what follows it bare is in thousands as well
    sort = "value" if base else "number"
    return Item(sort, "", words[at].start, words[end - 1].end, value, base, number_said.doubtful, power), end


def _stands_for_a_thing(words: Sequence[Word], at: int, end: int) -> bool:
    """“the left one”, “this one”: no number."""
    lone = _text(words, at) == "one" and end == at + 1 and not _unit(words, end)
    return lone and (_text(words, at - 1) in _POINTERS or _text(words, end) in {"of", "is", "reads"})


def _typed_value(text: str) -> tuple[Decimal, str, str, int] | None:
    """``22mV``, ``4k7``, ``2.9u``: the value, its unit, its sort, and the power of ten of its prefix."""
    if rkm := _RKM.fullmatch(text):
        whole, letter, rest = rkm.groups()
        power, unit = {"m": (6, "ohm"), "v": (0, "V")}.get(letter) or UNITS_SAID[letter]
        return scaled(Decimal(f"{whole}.{rest}"), power), unit, "value", power
    if (tail := _WITH_UNIT.fullmatch(text)) and tail[2] in UNITS_SAID:
        power, unit = UNITS_SAID[tail[2]]
        return scaled(Decimal(tail[1].replace(",", "")), power), unit, "value", power
    return None


def _k_in_the_middle(words: Sequence[Word], first: Number) -> Number | None:
    """“four k seven” is 4.7 k\u03a9, “four u seven” is read as a value in farads elsewhere."""
    rest = atom_at(words, first.end + 1) if _text(words, first.end) in {"k", "meg"} else None
    typed = _text(words, first.end + 1)
    if rest is None and _text(words, first.end) == "k" and re.fullmatch(r"\d", typed):
        rest = atom_at(words, first.end + 1) or None
        return Number(scaled(Decimal(f"{first.value}.{typed}"), 3), first.end + 2)
    if rest is None or _unit(words, rest.end):
        return None
    power = 3 if _text(words, first.end) == "k" else 6
    return Number(scaled(Decimal(f"{first.value}.{rest.value}"), power), rest.end)


def _unit(words: Sequence[Word], at: int) -> tuple[int, str, int] | None:
    """Power of ten, base unit, and the index behind a unit in one or two words."""
    text, after = _text(words, at), _text(words, at + 1)
    if text in {"gram", "g"} and after in {"centimeters", "centimeter", "cm"}:
        return 0, "g\u00b7cm", at + 2
    if text in PREFIX_WORDS and after in UNIT_WORDS:
        return PREFIX_WORDS[text], UNIT_WORDS[after], at + 2
    if text in {"degrees", "degree"} and after in {"c", "celsius"}:
        return 0, "degC", at + 2
    if text in {"r", "a"} and words[at].raw != "A":
        return None
    if text in UNITS_SAID:
        power, base = UNITS_SAID[text]
        return power, base, at + 1
    return None
