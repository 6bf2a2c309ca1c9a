"""Exactly once: a form that is sent twice, or an entry that a tablet sends again after the network came back, is taken once.

Every form that writes carries a hidden `once` key (a UUID made when the form was drawn, or on the device). The action hands
it to `acting`, which claims it inside the action's transaction and settles it when the action is done; a second claim raises
`AlreadyTaken`, which is answered by showing what the first one made.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable
from typing import Any, Literal, TypeVar

from django.db import IntegrityError, transaction

from shop.frame.models import OnceKey

A = TypeVar("A", bound=Callable[..., Any])
Result = tuple[str, int]
"""A row that was made: its model's label and its primary key."""


class AlreadyTaken(Exception):
    """This very form was taken before; `result_id` is what it made."""

    def __init__(self, taken: OnceKey) -> None:
        super().__init__("This was taken already.")
        self.result_type, self.result_id = taken.result_type, taken.result_id


def keyless(why: Literal["joined", "clock", "first", "proved", "read", "stepwise"]) -> Callable[[A], A]:
    """Mark an action that takes no key, with the word why it needs none.

    `joined`: it is done within another act, and that one has the key. `clock`: nobody sends it, the shop's clock does it.
    `first`: it can be done once in the life of a book. `proved`: it asks for a password or a code each time. `read`: it notes
    that something was read or taken out, and so it was, twice. `stepwise`: each time takes up where the last one stopped.
    """

    def mark(action: A) -> A:
        action.keyless = why  # type: ignore[attr-defined]
        return action

    return mark


def claim(key: uuid.UUID) -> None:
    """Claim `key` for the act that has just opened. Raises `AlreadyTaken` where it was claimed before."""
    try:
        with transaction.atomic():
            OnceKey.objects.create(key=key)
    except IntegrityError:
        raise AlreadyTaken(OnceKey.objects.get(key=key)) from None


def settle(key: uuid.UUID, *, verb: str, made: Result | None) -> None:
    """Note what the act that claimed `key` did and made, so that a repeat can be answered with it."""
    result_type, result_id = made or ("", None)
    OnceKey.objects.filter(key=key).update(verb=verb, result_type=result_type, result_id=result_id)


def taken_before(key: str) -> OnceKey | None:
    """The key as it was claimed, where a form with it was taken: for a form that is wrong because it was."""
    try:
        return OnceKey.objects.filter(key=uuid.UUID(key)).first()
    except ValueError:
        return None
