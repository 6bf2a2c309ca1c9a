"""Which texts may name a customer, and what leaves a customer out of a text.

A word of the name that the trade uses as well (Ray Short's amplifier with a short) goes only where the whole name stands.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from functools import cache
from typing import Any

from django.db.models import Model, QuerySet

from shop.bench.models import (
    Conclusion,
    Evidence,
    FailureMode,
    Finding,
    FittedList,
    Heard,
    LeftOff,
    Overruled,
    Reading,
    SafetyCheck,
    SafetyWaiver,
    Said,
    SoakCheck,
    SoakTest,
    Stint,
    Taking,
    Temporary,
    Ticked,
)
from shop.counter.keys import phone_key
from shop.counter.models import Accessory, Customer, InboundParcel, Job, JobPicture, Kind, ModelNote, Unit
from shop.dispatch.models import DamageReport, GoingBack
from shop.handbook.openrepair import LEFT_OUT, without_words, words_of_name
from shop.handbook.words import TRADE_ROWS, stored_tokens
from shop.records.models import BroughtRow
from shop.stockroom.models import PartFitted, PartSentBack, PartWanted

SHORTEST_PHONE = 5
LOCAL_PHONE = 7
"""So many digits at the end of a number mean its owner without the country's and the town's."""

TEXTS: dict[type[Model], tuple[str, ...]] = {
    Unit: ("marks",),
    Job: ("complaint", "condition"),
    Accessory: ("name", "stands_at"),
    JobPicture: ("caption",),
    ModelNote: ("text",),
    InboundParcel: ("packing_note", "packing_kept_at", "locks_found"),
    PartFitted: ("description", "position", "struck_reason"),
    PartWanted: ("description",),
    PartSentBack: ("note",),
    Finding: ("text", "struck_reason"),
    Evidence: ("where", "marking", "note", "struck_reason"),
    Conclusion: ("failed", "position", "remedy", "watch", "struck_reason"),
    Reading: ("typed", "where", "against", "condition", "why", "struck_reason"),
    Temporary: ("what", "where", "struck_reason"),
    LeftOff: ("text", "struck_reason"),
    Ticked: ("left_out", "struck_reason"),
    FittedList: ("text", "struck_reason"),
    Said: ("text", "clip", "struck_reason"),
    Heard: ("words", "facts"),
    Taking: ("struck_reason",),
    SoakTest: ("note", "struck_reason"),
    SoakCheck: ("note",),
    SafetyCheck: ("struck_reason",),
    SafetyWaiver: ("reason", "struck_reason"),
    Overruled: ("reason", "struck_reason"),
    Stint: ("struck_reason",),
    GoingBack: ("explanation",),
    DamageReport: ("found",),
    BroughtRow: ("provider", "their_number", "barrier"),
}
"""Texts that somebody typed and that may name the customer, by table."""

THEIR_OWN_WORDS = {Job}
"""Tables whose texts are the customer's own words: any number to ring goes there, not theirs alone."""


def without_person(mine: Iterable[Customer], *, words: bool = True) -> Callable[[str], str]:
    """What leaves these customers out of a text: whole names, lines of the address, e-mail, phone, and `words` of the name."""
    whole, single = [], []
    for one in mine:
        lines = [one.name, one.organisation, *one.address.splitlines(), one.email]
        whole += [_as_written(line) for line in lines if len(line.strip()) > SHORTEST_PHONE]
        whole += [_as_dialled(number) for number in (phone_key(one.phone), one.phone_digits)]
        single += words_of_name(one.name)
    pattern = re.compile("|".join(filter(None, whole)) or r"(?!)", re.IGNORECASE)
    telling = [word for word in single if words and not is_of_the_trade(word)]
    return lambda text: without_words(pattern.sub(LEFT_OUT, text), telling) if text else text


def _as_written(line: str) -> str:
    return r"(?<!\w)" + r"\s+".join(re.escape(word) for word in line.split()) + r"(?!\w)"


def _as_dialled(digits: str) -> str:
    """A phone number however it is spaced; nothing for one that is too short to be told from a value."""
    if len(digits) < SHORTEST_PHONE:
        return ""
    between = r"[\s().\-/]{0,2}"
    may_be_left_out = "".join(f"(?:{digit}{between})?" for digit in digits[:-LOCAL_PHONE])
    return rf"(?<!\d)\+?\(?{may_be_left_out}{between.join(digits[-LOCAL_PHONE:])}(?!\d)"


@cache
def _words_of_the_trade() -> frozenset[str]:
    said = (*(" ".join(row) for row in TRADE_ROWS), *FailureMode.labels, *Kind.labels)
    return frozenset(word for text in said for word in stored_tokens(str(text)))


def is_of_the_trade(word: str) -> bool:
    """Whether a word of a name is one of the trade's own as well."""
    return any(token in _words_of_the_trade() for token in stored_tokens(word))


def rewritten(rows: QuerySet[Any], columns: Sequence[str], without: Callable[[str], str]) -> list[Any]:
    """Keep these columns of the rows as `without` leaves them; the rows that had something left out."""
    changed = []
    for row in rows:
        said = {column: getattr(row, column) for column in columns}
        new = {column: _fitting(row, column, without(text)) for column, text in said.items()}
        if new != said:
            for column, text in new.items():
                setattr(row, column, text)
            changed.append(row)
    if changed:
        rows.model._default_manager.bulk_update(changed, list(columns))
    return changed


def _fitting(row: Model, column: str, text: str) -> str:
    """A short name may make room for the longer words that stand in its place."""
    return text[: getattr(row._meta.get_field(column), "max_length", None)]
