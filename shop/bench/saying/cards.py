"""The cards of what was said: each a proposal in the form of its kind, with what a person chose to do with it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.forms import BoundField
from django.http import QueryDict

from shop.bench.actions.saying import Choice, Decided, SpokenBy
from shop.bench.forms import BenchForm
from shop.bench.models import Heard
from shop.bench.page import BenchPage
from shop.bench.saying.filling import part_words
from shop.bench.saying.kinds import KINDS, HeardTraceForm, KindOfCard
from shop.frame.refusal import Refusal
from shop.handbook.in_words import listed
from shop.handbook.spoken import Kind, Proposal, Said, moment

ASKED = {
    "date": "the date",
    "unit": "the unit",
    "value": "the value",
    "place": "where",
    "number": "which number",
    "words": "whether these were the words",
}


@dataclass(frozen=True, slots=True)
class Numbered:
    """A proposal with its number among those of what was said, and the moment of it in a recording."""

    number: int
    proposal: Proposal
    seconds: Decimal | None = None
    by_ear: bool = False
    """Whether a machine heard it: then it waits for a touch of its own."""
    talked: bool = False
    """Whether it was said to a recording, in which much is talk."""

    @property
    def is_mere_talk(self) -> bool:
        """Whether it may be talk and no more: then it waits for a touch of its own, as well."""
        return self.talked and self.proposal.kind == Kind.FINDING


@dataclass(slots=True)
class Card:
    """One thing that was heard, as its form shows it."""

    heard: Numbered
    of: KindOfCard
    form: BenchForm
    choice: Choice
    asked: str = ""
    """What has to be asked, or why it is never taken along; empty where it is sure."""
    says: str = field(default="")

    @property
    def number(self) -> int:
        """Its number among what was heard."""
        return self.heard.number

    @property
    def is_mere_talk(self) -> bool:
        """Whether it may be talk and no more."""
        return self.heard.is_mere_talk

    @property
    def words(self) -> str:
        """The words that it rests on."""
        return self.heard.proposal.words

    @property
    def moment(self) -> str:
        """Where in the recording it was said; empty where there is none."""
        return moment(self.heard.seconds) if self.heard.seconds is not None else ""

    @property
    def name(self) -> str:
        """What its fields are called by."""
        return f"h{self.number}"

    @property
    def choices(self) -> list[tuple[str, str, bool]]:
        """What may be done with it: value, words, and whether that is chosen."""
        offered = [
            (Choice.TAKE, "Take"),
            (Choice.FINDING, "As a finding"),
            (Choice.LATER, "Later"),
            (Choice.DROP, "Drop"),
        ]
        plain = self.heard.proposal.kind == Kind.FINDING
        return [
            (one.value, words, one == self.choice)
            for one, words in offered
            if not (plain and one == Choice.FINDING)
        ]

    @property
    def fields(self) -> list[BoundField]:
        """The fields that can be changed."""
        shown = [self.form[name] for name in self.of.fields]
        return [one for one in shown if not self._is_idle(one)]

    def _is_idle(self, bound: BoundField) -> bool:
        """A choice with nothing to choose from."""
        if bound.name == "chosen":
            return not (isinstance(self.form, HeardTraceForm) and self.form.is_doubtful)
        choices = getattr(bound.field, "choices", ())
        return bound.name in {"part", "meter", "test_point"} and len(choices) < 2

    @property
    def is_wrong(self) -> bool:
        """Whether it was taken and can't be, as it stands."""
        return self.choice == Choice.TAKE and self.form.is_bound and not self.form.is_valid()

    def decided(self) -> Decided:
        """What becomes of it, with the action that writes it down."""
        proposal = self.heard.proposal
        return Decided(
            number=self.number,
            kind=proposal.kind.value,
            words=proposal.words,
            choice=self.choice,
            facts=kept_as(proposal),
            line_kind=self.of.line_kind,
            writes=self._write if self.choice == Choice.TAKE else None,
            seconds=self.heard.seconds,
        )

    def _write(self, by: SpokenBy) -> Any:
        """Write it down; a refusal is told at its field."""
        try:
            return self.of.write(self.form, by)
        except Refusal as refusal:
            self.form.refuse(refusal)
            raise Refusal(f"{self.of.label}: {refusal.sentence}") from refusal


def cards_of(page: BenchPage, heard: Iterable[Numbered], data: QueryDict | None = None) -> list[Card]:
    """The cards of these proposals; `data` is what a person sent with them, if they did."""
    heard = list(heard)
    page.drawers.look_for(_parts_told(heard, data))
    return [_card(page, one, data) for one in heard]


def _parts_told(heard: Iterable[Numbered], data: QueryDict | None) -> Iterator[str]:
    """The words under which parts are looked for: as they were heard, and as a person changed them."""
    for one in heard:
        if one.proposal.kind == Kind.PART:
            yield part_words(one.proposal)
            yield data.get(f"h{one.number}-drawer", "") if data is not None else ""


def _card(page: BenchPage, heard: Numbered, data: QueryDict | None) -> Card:
    of = KINDS[heard.proposal.kind]
    name = f"h{heard.number}"
    filled = {key: value for key, value in of.fill(page, heard.proposal).items() if value != ""}
    given: dict[str, Any] = {"job": page.job, "prefix": name, "auto_id": "card-%s"}
    if of.with_points:
        given |= {"points": page.points, "meters": page.meters}
    if of.with_drawers:
        given |= {"drawers": page.drawers}
    as_filled = of.form({f"{name}-{key}": value for key, value in filled.items()}, **given)
    asked = _asked(heard.proposal, of, as_filled)
    along = heard.proposal.with_all and not asked and not heard.by_ear and not heard.is_mere_talk
    choice = Choice.TAKE if along else Choice.LATER
    form = of.form(initial=filled, **given)
    if data is not None:
        sent = data.get(f"{name}-choice", "")
        choice = Choice(sent) if sent in set(Choice) else Choice.LATER
        if choice == Choice.TAKE:
            form = of.form(data, **given)
    card = Card(heard, of, form, choice, asked)
    card.says = " · ".join(_said(card))
    return card


def _asked(proposal: Proposal, of: KindOfCard, filled: BenchForm) -> str:
    """Why this is not taken along with all that is sure; empty where it is."""
    if of.why_alone:
        return of.why_alone
    if proposal.asks == ("value",) and proposal.value is not None:
        return "Check the value against the words."
    if proposal.asks:
        return f"Say {listed([ASKED.get(one, one) for one in proposal.asks])}."
    if filled.is_valid():
        return ""
    return " ".join(str(one) for errors in filled.errors.values() for one in errors)


def _said(card: Card) -> Iterator[str]:
    """What the card's line says, by the values that stand in its form."""
    for name in card.of.fields[: card.of.said_in]:
        bound = card.form[name]
        value = bound.value()
        if value in {None, "", False} or (name, value) == ("quantity", "1"):
            continue
        words = dict(getattr(bound.field, "choices", ())).get(str(value), str(value))
        yield _TOLD.get(name, "{}").format(words)


_TOLD = {"expected": "should be {}", "minutes": "{} min", "against": "against {}"}
"""How a value is told that does not speak for itself."""


# --- as it is kept ------------------------------------------------------------------------------------------------


def kept_as(proposal: Proposal) -> str:
    """A proposal as JSON."""
    kept = {
        "facts": dict(proposal.facts),
        "asks": list(proposal.asks),
        "span": [proposal.start, proposal.end],
        "value": _value_as(proposal.value),
        "expected": _value_as(proposal.expected),
    }
    return json.dumps(kept, ensure_ascii=False, sort_keys=True)


def _value_as(said: Said | None) -> list[Any] | None:
    if said is None:
        return None
    number = None if said.number is None else str(said.number)
    return [number, said.unit, said.start, said.end, said.about, said.doubtful]


def proposal_of(heard: Heard) -> Proposal:
    """The proposal that was kept."""
    kept: dict[str, Any] = json.loads(heard.facts)
    start, end = kept["span"]
    return Proposal(
        Kind(heard.kind),
        heard.words,
        start,
        end,
        kept["facts"],
        _value_of(kept["value"]),
        _value_of(kept["expected"]),
        tuple(kept["asks"]),
    )


def _value_of(kept: Sequence[Any] | None) -> Said | None:
    if kept is None:
        return None
    number, unit, start, end, about, doubtful = kept
    return Said(None if number is None else Decimal(number), unit, start, end, about, doubtful)


def digest_of(proposals: Iterable[Proposal]) -> str:
    """A short digest of what was heard: cards that were drawn by an older program are not taken for others."""
    text = json.dumps([[one.kind, one.words, kept_as(one)] for one in proposals], sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:16]
