"""Lists of words, written as running text so that they can be read."""

from __future__ import annotations


def listed(text: str) -> tuple[str, ...]:
    """The words of a text in their order."""
    return tuple(text.split())
