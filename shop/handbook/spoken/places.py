"""Where a value was measured: the words of the bench that may stand for a place, and their channel.

A place is told from its words alone; which row of a model's sheet it is, the reader of points says
(``shop.handbook.isolation.points``). Source of the words: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence

from shop.handbook.spoken.items import Item
from shop.handbook.spoken.lists import listed

_MORE_NOUNS = frozenset(
    listed(
        """
        tweeter woofer midrange wall spot crossover bridge leak positive negative preamp subwoofer voice
        platter rotor stator photocell sensor led deflection envelope vco vcf vca arm
    """
    )
)
NOUNS = _MORE_NOUNS | frozenset(
    listed(
        """
        rail rails coil relay offset bias base emitter collector gate drain source plate anode grid screen
        cathode heater filament heaters ripple output input speed flutter wow line mains primary secondary
        winding windings force esr cap caps capacitor capacitors resistor resistance zener diode rectifier
        bridge transistor driver regulator transformer motor battery voltage current capacitance cable torque
        azimuth level cartridge treble bass gain noise distortion heatsink temperature lamp bulb crystal clock
        supply fuse idle draw tape pin b+ pot trimmer trim choke inductor coupling thermistor contact contacts
        laser tracking focus spindle capstan wiper headphone speaker terminal terminals jack chassis ground
        node junction leakage impedance inductance frequency oscillator tuner power consumption pulley reel
        tension height weight standby hfe beta channel stylus test lead electrolytic filter bulk preamp phono
        tone volume opamp tube tubes valve socket connector resonator reservoir dropper ballast thermal
        overall total wattage scale roller skating wire tracking pattern
    """
    )
)
_SILENT = frozenset(
    listed(
        """
        a an the is are was at on of in to i i'm get gets got have has read reads reading measure measures
        measured measuring it its it's and so okay ok well now there there's that that's this these what with
        for from by here see me my let gives give shows show says say sits sit runs run comes up out about
        around roughly only still just good fine yeah right-hand left right both side one ones also too then
        same thing where should be across into over under against hot cold warm no not all some than but or if
        as which who they them he she you we do does did okay, uh um er like down back even little bit low
        high normal correct nice marked rated label print meter steady stays settles measures, after before
        been seems off
        drawing draws cleaning replacing repair cooling warming
        now schematic manual datasheet marked
        put sitting channel's
        bloody damn damned stupid darn value
        checks
    """
    )
)
_CHANNELS = {"left": "left", "right": "right", "both": "both"}
_STOPS = frozenset({".", ";", "!", "?"})


def place_of(items: Sequence[Item]) -> str:
    """The words of a place in their order, without the small words between."""
    texts = [one.text for one in items]
    stretches: list[list[Item]] = [[]]
    for at, one in enumerate(items):
        if _counts(one) or _binds(texts, at):
            stretches[-1].append(one)
        elif stretches[-1]:
            stretches.append([])
    known = [some for some in stretches if any(_is_known(one) for one in some)]
    return " ".join(one.text for some in known or stretches for one in some)


def _is_known(item: Item) -> bool:
    """Whether it names a place by itself; what stands apart from all such words is talk."""
    return item.sort in {"ref", "rail"} or (item.sort == "word" and item.text in NOUNS)


def _binds(texts: Sequence[str], at: int) -> bool:
    """“wow and flutter”, “take up torque”: a small word that belongs to the name."""
    around = (texts[at - 1] if at else "", texts[at + 1] if at + 1 < len(texts) else "")
    if (texts[at] == "out" and around[0] in NOUNS) or (texts[at] == "hot" and around[1] == "spot"):
        return True
    return around == ("wow", "flutter") or (texts[at] == "up" and around[0] == "take")


def _counts(item: Item) -> bool:
    """Whether a thing belongs to the name of a place."""
    return item.sort in {"ref", "rail", "rating"} or (item.sort == "word" and item.text not in _SILENT)


def is_place(items: Sequence[Item]) -> bool:
    """Whether something that can be measured is among them."""
    return any(one.sort in {"ref", "rail"} or (one.sort == "word" and one.text in NOUNS) for one in items)


def channel_of(items: Sequence[Item]) -> str:
    """left, right or both; empty where none is said, the last said counts."""
    said = [_CHANNELS[one.text] for one in items if one.sort == "word" and one.text in _CHANNELS]
    sides = [one for one in said if one != "both"]
    return (sides or said)[-1] if said else ""


def named_behind(items: Sequence[Item], at: int) -> int:
    """Where what was measured ends, told right behind its value: “14 millivolts offset”; `at` where nothing is."""
    end = at + 1 if at < len(items) and items[at].is_word("of") else at
    first = end
    while end < len(items) and items[end].sort == "word" and items[end].text in NOUNS - {"channel"}:
        end += 1
    closed = end == len(items) or items[end].sort == "mark" or items[end].is_word("and", "on", "at", "but")
    return end if end > first and closed else at


def behind(items: Sequence[Item], at: int) -> Sequence[Item]:
    """The place that follows a value: “across R20”, “at both ends of the relay coil”, “on the left”."""
    if at >= len(items) or not items[at].is_word("across", "at", "on", "over", "of", "between", "through"):
        return ()
    end = at
    while (
        end < len(items)
        and items[end].sort in {"word", "ref", "rail"}
        and not items[end].is_word("and", "that", "so", "but")
    ):
        if items[end].is_word("is", "reads", "should", "after", "against", "to", "where", "with"):
            break
        end += 1
    return items[at:end]
