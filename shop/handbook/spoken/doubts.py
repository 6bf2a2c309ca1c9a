"""The last look at a reading before it counts as sure: every number and every word about it must have been understood.

A sentence that nobody has heard yet says mostly what the walk knows, and one thing that it doesn't: a second number, a
“below the plate”, a verb of change. So a reading is sure only where each number of its stretch has a role, and each word
between its place and its value, and right behind the value, is one of a closed list. Whatever else is said is left to the
technician: the value stays on the card and is asked for. A word more in these lists makes a reading surer, never another
value. Source of the words: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shop.handbook.spoken.beside import Draft
from shop.handbook.spoken.cues import (
    ABOUT,
    AMENDS,
    ELECTRODES,
    HESITATIONS,
    MAY_FOLLOW,
    MEASURED,
    MUST_AMEND,
    SHOULD,
    STATES,
    VERBS,
)
from shop.handbook.spoken.items import Item
from shop.handbook.spoken.lists import listed
from shop.handbook.spoken.places import NOUNS, behind
from shop.handbook.spoken.units import TIMES

_LINKS = frozenset(
    listed(
        """
        , : a an the is are was be at on of in to i i'm i've we gets got have it its it's and so okay ok well now there
        there's that that's this these what with for from by here me my let still just only left right both side one ones
        but comes coming came out lies draws carries puts put getting sees showing measure volts meter second try oughta
        want alright shoot across through
        """
    )
)
_BETWEEN = (VERBS | MEASURED | ABOUT | AMENDS | SHOULD | STATES | ELECTRODES | HESITATIONS | _LINKS) - {
    "down"
}
"""What may stand between a place and its value."""
_BEHIND = (
    (MAY_FOLLOW - {"volts"})
    | STATES
    | ELECTRODES
    | SHOULD
    | MEASURED
    | frozenset(listed("ac dc rms peak pp across to of into label it both each running there here no oh now"))
)
"""What may stand right behind a value."""
_TURNS = frozenset(
    listed(
        "until unless except without if while before since till per according list like nothing none than versus compared"
    )
)
"""What makes another clause of the words before a place, so that they are no part of its name."""
_SHARES = frozenset(
    listed(
        "up higher lower below above less more than too fast slow flat sharp times twice low high off short"
    )
)
"""Behind a value: it is a difference or a share, and not what the meter showed."""
MOST_OF_A_NAME = 2
"""Words that may stand before a place as part of its name without being known: “big yellow cap”."""
_SPEEDS = frozenset({16, 33, 45, 78})


def with_doubts(items: Sequence[Item], drafts: Sequence[Draft]) -> list[Draft]:
    """The readings of a sentence; one about which something was said that has no role asks for its value."""
    roles = [
        (said.start, said.end)
        for one in drafts
        for said in (one.value, one.expected, one.least, one.most, one.off)
        if said
    ]
    found = []
    for at, draft in enumerate(drafts):
        first = drafts[at - 1].end if at else 0
        last = drafts[at + 1].start if at + 1 < len(drafts) else items[-1].end
        stretch = [one for one in items if first <= one.start < max(last, draft.end)]
        until = drafts[at + 1].value.start if at + 1 < len(drafts) else items[-1].end
        after = [one for one in items if draft.value.end <= one.start < until]
        doubted = (
            _has_a_number_over(stretch, draft, roles)
            or _is_told_otherwise([one for one in stretch if one.end <= draft.value.start], draft)
            or _is_a_difference(after)
            or _is_elsewhere([one for one in after if one in stretch], draft)
            or _is_told_again(draft, drafts)
        )
        asks = ("value", *draft.asks) if doubted and "value" not in draft.asks else draft.asks
        found.append(replace(draft, asks=asks))
    return found


def _has_a_number_over(stretch: Sequence[Item], draft: Draft, roles: Sequence[tuple[int, int]]) -> bool:
    """Whether a number stands there that is no value, nothing that should be, no state, and nothing taken back."""
    for at, one in enumerate(stretch):
        if one.sort not in {"value", "number"} or any(
            start < one.end and one.start < end for start, end in roles
        ):
            continue
        before = stretch[at - 1].text if at else ""
        state = one.unit in TIMES and before in {"after", "for", "about"}
        fed = before in {"into", "across", "through"} or (one.unit == "Hz" and before in {"at", "with"})
        speed = one.number in _SPEEDS and before in {"at", ""} and draft.value.unit in {"rpm", ""}
        between = {other.text for other in stretch[at + 1 :] if other.end <= draft.value.start}
        back = one.end <= draft.value.start and between & (MUST_AMEND | HESITATIONS)
        if not (state or fed or speed or back):
            return True
    return False


def _is_told_otherwise(before: Sequence[Item], draft: Draft) -> bool:
    """“heatsink went up 3 degrees”, “resistor is a 270 ohm”: between place and value stands what tells of no meter."""
    before = [one for at, one in enumerate(before) if not (at and before[at - 1].is_word("after"))]
    if not any(_names(one) and one.text in draft.place for one in before):
        marks = [at for at, one in enumerate(before) if one.sort == "mark"]
        before = before[marks[-1] :] if marks else before  # its place stands behind it
    named = [at for at, one in enumerate(before) if _names(one)]
    gap = before[named[-1] + 1 :] if named else before
    back = next((at for at, one in enumerate(gap) if one.number is not None), len(gap))
    falls = {"down"} if draft.value.unit == "dB" else set()
    return (
        any(one.sort == "word" and one.text not in _BETWEEN | falls for one in gap[:back])
        or any(one.sort == "word" and one.text not in _BETWEEN | _BEHIND for one in gap[back:])
        or _leads_elsewhere(before)
        or bool(before and before[-1].is_word("a", "an"))
        or any(one.is_word(*_TURNS) for one in before)
    )


def _leads_elsewhere(before: Sequence[Item]) -> bool:
    """“the thing next to the big cap”: words before a place that are no part of its name; two may be, right before it."""
    named = max((at for at, one in enumerate(before) if _names(one)), default=0)
    aside = max((at for at, one in enumerate(before[:named]) if one.sort == "mark"), default=0)
    unknown = 0
    for one in before[aside:]:
        if _names(one):
            unknown = 0
        elif one.sort == "word" and one.text not in _BETWEEN:
            unknown += 1
        elif unknown:
            return True
        if unknown > MOST_OF_A_NAME:
            return True
    return False


def _is_a_difference(after: Sequence[Item]) -> bool:
    """“20 volts below the plate”, “3 percent fast”, “40 ohm volts”: what stands right behind the value makes it another."""
    for at, one in enumerate(after):
        if one.sort == "mark":
            return False
        known = one.sort != "word" or one.text in _BEHIND or one.text in NOUNS
        if one.is_word(*_SHARES) or (not at and not known):
            return True
    return False


def _is_elsewhere(after: Sequence[Item], draft: Draft) -> bool:
    """“pin 6 … five volts at pin 7”: whether another place stands right behind the value than the one it was given."""
    told = behind(after, 0)
    return any(one.sort in {"ref", "rail"} and one.text not in draft.place for one in told)


def _is_told_again(draft: Draft, drafts: Sequence[Draft]) -> bool:
    """Whether one place is given two values in one breath; an open coil with its voltage across it is not."""
    where = (draft.place, draft.channel, draft.against, draft.state)
    here = [one for one in drafts if (one.place, one.channel, one.against, one.state) == where]
    units = {one.value.unit for one in here}
    return len(here) > 1 and not (len(here) == len(units) == 2 and "V" in units and units & {"open", "short"})


def _names(one: Item) -> bool:
    """Whether it names a place by itself."""
    return one.sort in {"ref", "rail", "type", "rating"} or (one.sort == "word" and one.text in NOUNS)
