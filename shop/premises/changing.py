"""What rooms above have to say before the shop's money is changed: a sentence of theirs refuses it.

Sums that stand in the book keep the currency that they were written in, so two of them in one account can't be added up.
"""

from __future__ import annotations

from collections.abc import Callable

Guard = Callable[[str, str], str | None]
_guards: list[Guard] = []


def before_another_currency(guard: Guard) -> None:
    """Have `guard(old, new)` asked, inside the act, before the shop reckons in another currency."""
    if guard not in _guards:
        _guards.append(guard)


def held_to_currency(old: str, new: str) -> list[str]:
    """The sentences of all guards that hold the shop to its currency; empty when it may change."""
    return [sentence for guard in _guards if (sentence := guard(old, new))]
