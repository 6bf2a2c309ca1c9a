"""What a sentence tells besides readings: done, missing, found at earlier hands, concluded, to be done, to be asked.

Each kind has its cue, a phrase that is said for nothing else on a bench. Source of the phrases: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from shop.handbook.spoken.deeds.done import part, temporary, work
from shop.handbook.spoken.deeds.left_behind import condition, device, missing, trace
from shop.handbook.spoken.deeds.verdicts import conclusion, question, test, time, todo
from shop.handbook.spoken.items import Item
from shop.handbook.spoken.proposals import Proposal
from shop.handbook.spoken.words import Word

Deed = Callable[[str, Sequence[Word], Sequence[Item]], Proposal | None]


def deed_in(sentence: str, words: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
    """The first kind whose cue the sentence has; None if it has none."""
    for deed in _DEEDS:
        if found := deed(sentence, words, items):
            return found
    return None


_DEEDS: tuple[Deed, ...] = (
    question,
    todo,
    conclusion,
    test,
    time,
    trace,
    temporary,
    missing,
    condition,
    part,
    work,
    device,
)
