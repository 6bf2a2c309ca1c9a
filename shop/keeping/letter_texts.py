"""What letters say: the program's own words, or the shop's, with fields that are filled in when a letter is written.

A room hangs up its kinds of letter in its `apps.py`, and has them written through `texts`:

    subject, body = texts().write(PARCEL_LEFT, customer=customer.name, tracking=parcel.tracking)
"""

from __future__ import annotations

import datetime as dt
import re
import uuid
from collections.abc import Mapping
from dataclasses import dataclass

from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.keeping.models import LetterText

FIELD = re.compile(r"\{([a-z_]+)\}")
THE_SHOP = {
    "shop": "the shop’s name",
    "owner": "the owner’s name",
    "shop_address": "the shop’s address",
    "shop_phone": "the shop’s telephone",
}
"""The fields that every letter has."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterKind:
    """One kind of letter: when it is written, the program's words for it, and what each field of its own stands for."""

    key: str
    title: str
    when: str
    subject: str
    body: str
    fields: Mapping[str, str]

    @property
    def all_fields(self) -> dict[str, str]:
        """The fields of its own, then those of every letter."""
        return {**self.fields, **THE_SHOP}


_kinds: dict[str, LetterKind] = {}


def hang_up(*kinds: LetterKind) -> None:
    """Let the shop have words of its own for these letters; a room calls this in its `apps.py`."""
    _kinds.update((kind.key, kind) for kind in kinds)


def all_kinds() -> list[LetterKind]:
    """The kinds of letter that may have words of the shop's own, by their titles."""
    return sorted(_kinds.values(), key=lambda kind: kind.title)


def kind_named(key: str) -> LetterKind | None:
    """The kind of letter of that key; None where there is none."""
    return _kinds.get(key)


@dataclass(frozen=True, slots=True)
class Texts:
    """The shop's own words, by kind of letter."""

    own: Mapping[str, tuple[str, str]]

    def of(self, kind: LetterKind) -> tuple[str, str]:
        """Subject and letter with their fields still open: the shop's own, else the program's."""
        return self.own.get(kind.key, (kind.subject, kind.body))

    def write(self, kind: LetterKind, **values: str) -> tuple[str, str]:
        """Subject and letter, filled in."""
        shop = the_profile()
        known = {
            "shop": shop.name,
            "owner": shop.owner_name,
            "shop_address": shop.address,
            "shop_phone": shop.phone,
            **dict.fromkeys(kind.fields, ""),
            **values,
        }
        subject, body = self.of(kind)
        return filled_in(subject, known), filled_in(body, known)


def texts() -> Texts:
    """The shop's own words of this moment. One query."""
    return Texts(
        {one.kind: (one.subject, one.body) for one in LetterText.objects.only("kind", "subject", "body")}
    )


def filled_in(text: str, values: Mapping[str, str]) -> str:
    """A text with its fields filled in. A line of fields that are all empty is left out, and no two empty lines follow."""
    lines = []
    for line in text.splitlines():
        asked = FIELD.findall(line)
        if asked and not any(values.get(name, "").strip() for name in asked):
            continue
        lines.append(FIELD.sub(lambda found: values.get(found[1], found[0]), line).rstrip())
    return re.sub(r"\n{3,}", "\n\n", "\n".join(lines)).strip()


def wrong_fields(kind: LetterKind, text: str) -> str:
    """A sentence on a field that this letter doesn't have, or a brace that belongs to none; empty where all is right."""
    unknown = next((name for name in FIELD.findall(text) if name not in kind.all_fields), None)
    if unknown is not None:
        return f"This letter has no field {{{unknown}}}; those that it has stand beside it."
    if re.search(r"[{}]", FIELD.sub("", text)):
        return "A brace stands alone: a field is a name between two of them, such as {shop}."
    return ""


def write_text(
    *,
    kind: LetterKind,
    subject: str,
    body: str,
    by: Staff,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> LetterText:
    """Have the shop's own words stand in letters of a kind from now on. Raises Refusal for a field that it doesn't have."""
    for field, text in (("subject", subject), ("body", body)):
        if wrong := wrong_fields(kind, text):
            raise Refusal(wrong, field=field)
    with acting(by=by, at=at, once=once_key) as act:
        text_, _ = LetterText.objects.update_or_create(
            kind=kind.key,
            defaults={"subject": " ".join(subject.split()), "body": body.strip(), "changed_at": act.at},
        )
        act.record("letter_text.written", subject=text_, kind=kind.key)
    return text_


def drop_text(
    *, kind: LetterKind, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> None:
    """Go back to the program's words for a kind of letter."""
    with acting(by=by, at=at, once=once_key) as act:
        if LetterText.objects.filter(kind=kind.key).delete()[0]:
            act.record("letter_text.dropped", kind=kind.key)
