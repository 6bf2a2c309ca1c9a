"""What is agreed, as a ledger: each answer of the customer does one thing, and one function adds them up. Before tax.

Sources
    California Code of Regulations, title 16, section 2722 (current through 20 September 2024): no charge above the
    written estimate without the customer's prior oral or written consent; (a) what the invoice notes when the consent
    was oral; (b) sales tax and other taxes are no part of the estimate.
    California Business and Professions Code section 9844: the estimate is written (its text from memory); section
    9844.5: no lien and no right to keep the unit where the total charges exceed the higher of the written estimate and
    its documented revision.
    How answers follow each other, and elsewhere the comparison itself: a good habit (common practice, no source).
    An aid: the shop checks its local rules.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from shop.handbook.money import Money


class Answer(StrEnum):
    """What an answer of the customer does to what is agreed."""

    YES = "yes"
    PARTLY = "partly"
    MORE = "more"
    UP_TO = "up_to"
    DIAGNOSIS = "diagnosis"
    NO = "no"
    WITHDRAWN = "withdrawn"


@dataclass(frozen=True, slots=True)
class Consent:
    """One line of the ledger: what the answer does, and the sum before tax that it speaks of.

    YES and PARTLY agree to a version of the estimate, which names the whole. MORE comes on top of what stood. UP_TO is a
    limit instead of what stood. DIAGNOSIS allows a fee for finding the fault. NO refuses its version and nothing else; a
    NO to no version in particular, and WITHDRAWN, take everything back but the fee and the sum that they name.

    ``version`` and ``estimate``: the version that is meant, and its sum on paper. ``in_writing``: a written sum stood
    under it when it was agreed. ``documented``: in writing, or oral with all items of 16 CCR 2722(a) noted.
    """

    answer: Answer
    amount: Money
    version: int | None = None
    estimate: Money | None = None
    in_writing: bool = True
    documented: bool = True


@dataclass(frozen=True, slots=True)
class Agreed:
    """Where the answers have led. ``whole`` may be charged in all, before tax; ``fee`` of it for finding the fault.

    ``in_writing``: a written sum stands under what goes beyond the fee. ``may_be_held_for``: up to these charges a right
    to keep the unit until payment can stand in California (B&P 9844.5).
    """

    whole: Money
    fee: Money
    in_writing: bool
    may_be_held_for: Money


@dataclass(frozen=True, slots=True)
class OralItem:
    """One thing that the invoice notes about an oral consent."""

    key: str
    what: str
    where_known: bool = False


ORAL_ITEMS = (
    OralItem("date", "the date"),
    OralItem("time", "the time"),
    OralItem("authorised_by", "the name of the person who authorized the additional repairs"),
    OralItem("phone_called", "the telephone number called, if any", where_known=True),
    OralItem("received_by", "the name of the person who received the consent"),
    OralItem("conditions", "the conditions of the consent, if any", where_known=True),
    OralItem("additional_work", "the additional parts and labor"),
    OralItem("additional_cost", "the total additional cost"),
)
"""16 CCR 2722(a), in its order; ``where_known``: only "if any"."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """How charges stand to what is agreed, both before tax. ``above`` is zero where they stay within.

    ``unwritten``: nothing written stands under what is agreed, in a place that wants an estimate in writing.
    """

    authorised: Money
    charged: Money
    above: Money
    sentence: str
    unwritten: bool = False

    @property
    def within(self) -> bool:
        """Whether the invoice may be issued on what was agreed."""
        return not self.above and not self.unwritten


def add_up(consents: Sequence[Consent], currency: str) -> Agreed:
    """Add the ledger up, its lines in the order in which they were given."""
    standing = _standing(consents)
    whole, fee = _sums(standing, currency)
    documented, _fee = _sums([one for one in standing if one.documented], currency)
    estimates = [one.estimate for one in standing if one.estimate is not None]
    return Agreed(
        whole,
        fee,
        any(one.in_writing for one in standing if one.answer not in _NO_ESTIMATE),
        max([documented, *estimates]),
    )


_NO_ESTIMATE = frozenset({Answer.DIAGNOSIS, Answer.WITHDRAWN})


def _standing(consents: Sequence[Consent]) -> list[Consent]:
    """The lines that still count: a version that was refused later never was agreed, what was withdrawn is gone."""
    standing: list[Consent] = []
    for one in consents:
        if one.answer is Answer.WITHDRAWN or (one.answer is Answer.NO and one.version is None):
            standing = [kept for kept in standing if kept.answer is Answer.DIAGNOSIS]
            standing.append(one)
        elif one.answer is Answer.NO:
            standing = [kept for kept in standing if kept.version != one.version]
        else:
            standing.append(one)
    return standing


def _sums(standing: Sequence[Consent], currency: str) -> tuple[Money, Money]:
    """The whole and the fee within it."""
    whole = fee = Money.zero(currency)
    for one in standing:
        amount = Money.sum([one.amount], currency)
        match one.answer:
            case Answer.MORE:
                whole = whole + amount
            case Answer.DIAGNOSIS:
                fee = amount
                whole = max(whole, fee)
            case Answer.WITHDRAWN | Answer.NO:
                whole = max(fee, amount)
            case _:
                whole = amount
    return whole, fee


def compare(
    charged: Money, agreed: Agreed, *, estimate_paragraph: str = "", consent_paragraph: str = ""
) -> Comparison:
    """Compare the charges of an invoice before tax with what is agreed.

    Every charge to the customer counts, return parcel included, once it was part of the estimate or not. A credit note
    (negative charges) is always within. ``estimate_paragraph`` is that of a law that wants the estimate in writing, empty
    where none does; ``consent_paragraph`` that of a law on consent, for the sentence.
    """
    zero = Money.zero(charged.currency)
    above = max(charged - agreed.whole, zero) if charged > zero else zero
    unwritten = (
        not above and bool(estimate_paragraph) and charged > max(agreed.fee, zero) and not agreed.in_writing
    )
    by_law = f" ({consent_paragraph})" if consent_paragraph else ""
    if above and agreed.whole:
        sentence = (
            f"The charges of {charged} before tax are {above} above the {agreed.whole} that the customer authorized: "
            f"record a further yes before the invoice is issued{by_law}."
        )
    elif above:
        sentence = (
            f"Nothing was authorized, and the charges come to {charged} before tax: "
            f"record the customer’s yes before the invoice is issued{by_law}."
        )
    elif unwritten:
        sentence = (
            f"The {agreed.whole} were agreed by word of mouth alone, and no estimate was given in writing "
            f"({estimate_paragraph}): put a written estimate to the customer and record the answer."
        )
    else:
        sentence = f"The charges of {charged} before tax stay within the {agreed.whole} that the customer authorized."
    return Comparison(agreed.whole, charged, above, sentence, unwritten)


def missing_oral_items(noted: Sequence[str]) -> tuple[OralItem, ...]:
    """The items of 16 CCR 2722(a) that an oral consent still lacks; ``noted`` holds the keys that are filled in."""
    return tuple(item for item in ORAL_ITEMS if not item.where_known and item.key not in noted)
