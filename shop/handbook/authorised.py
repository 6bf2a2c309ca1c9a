"""What the customer said yes to, and whether an invoice stays within it. Both sides are reckoned before tax.

Sources
    California Code of Regulations, title 16, section 2722 (current through 20 September 2024): no charge above the
    written estimate without the customer's prior oral or written consent; (a) what the invoice notes when the consent
    was oral; (b) sales tax and other taxes are no part of the estimate.
    California Business and Professions Code section 9844.5: no lien and no right to keep the unit where the total
    charges exceed the higher of the written estimate and its documented revision.
    Elsewhere the same comparison is a good habit (common practice, no source). An aid: the shop checks its local rules.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from shop.handbook.money import Money

SOURCE = "16 CCR 2722"


class Answer(StrEnum):
    """The customer's answer, as it changes what may be charged."""

    YES = "yes"
    PARTLY = "partly"
    UP_TO = "up_to"
    DIAGNOSIS = "diagnosis"
    MORE = "more"
    NO = "no"


@dataclass(frozen=True, slots=True)
class Consent:
    """One answer and its sum before tax: the whole that may be charged, or with MORE what comes on top of it.

    YES, PARTLY and UP_TO set the whole anew; DIAGNOSIS allows a fee for finding the fault; NO takes everything back but
    that fee, whatever its own sum.
    """

    answer: Answer
    amount: Money


@dataclass(frozen=True, slots=True)
class OralItem:
    """One thing that the invoice notes about an oral consent."""

    key: str
    what: str
    where_known: bool = False


ORAL_ITEMS = (
    OralItem("date", "the date"),
    OralItem("time", "the time"),
    OralItem("authorised_by", "the name of the person who authorised the additional repairs"),
    OralItem("phone_called", "the telephone number called, if any", where_known=True),
    OralItem("received_by", "the name of the person who received the consent"),
    OralItem("conditions", "the conditions of the consent, if any", where_known=True),
    OralItem("additional_work", "the additional parts and labour"),
    OralItem("additional_cost", "the total additional cost"),
)
"""16 CCR 2722(a), in its order; ``where_known``: only "if any"."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """How an invoice stands to what was authorised, both before tax. ``above`` is zero where it stays within."""

    authorised: Money
    charged: Money
    above: Money
    sentence: str
    source: str = SOURCE

    @property
    def within(self) -> bool:
        """Whether the invoice may be issued on what was authorised."""
        return not self.above


def authorised_sum(consents: Sequence[Consent], currency: str) -> Money:
    """What may be charged in all, before tax, after the customer's answers in the order they were given."""
    whole = fee = Money.zero(currency)
    for consent in consents:
        match consent.answer:
            case Answer.MORE:
                whole = whole + consent.amount
            case Answer.DIAGNOSIS:
                fee = Money.sum([consent.amount], currency)
                whole = max(whole, fee)
            case Answer.NO:
                whole = fee
            case _:
                whole = Money.sum([consent.amount], currency)
    return whole


def compare(charged: Money, consents: Sequence[Consent]) -> Comparison:
    """Compare the charges of an invoice before tax with what was authorised.

    Every charge to the customer counts, return parcel included, once it was part of the estimate or not. A credit note
    (negative charges) is always within.
    """
    authorised = authorised_sum(consents, charged.currency)
    zero = Money.zero(charged.currency)
    above = max(charged - authorised, zero) if charged > zero else zero
    if not above:
        sentence = (
            f"The charges of {charged} before tax stay within the {authorised} that the customer authorised."
        )
        return Comparison(authorised, charged, zero, sentence)
    if any(consent.answer is not Answer.NO for consent in consents):
        sentence = (
            f"The charges of {charged} before tax are {above} above the {authorised} that the customer authorised: "
            "record a further yes before the invoice is issued (16 CCR 2722(a))."
        )
    else:
        sentence = (
            f"Nothing was authorised, and the charges come to {charged} before tax: "
            "record the customer's yes before the invoice is issued (16 CCR 2722)."
        )
    return Comparison(authorised, charged, above, sentence)


def missing_oral_items(noted: Sequence[str]) -> tuple[OralItem, ...]:
    """The items of 16 CCR 2722(a) that an oral consent still lacks; ``noted`` holds the keys that are filled in."""
    return tuple(item for item in ORAL_ITEMS if not item.where_known and item.key not in noted)


def may_be_held_for_payment(
    charged_in_all: Money, written_estimate: Money, revision: Money | None = None
) -> bool:
    """California: whether a right to keep the unit until payment can stand (B&P 9844.5).

    It can't where the total charges exceed the higher of the written estimate and its signed or fully documented
    revision. Hand in all three with the same reading of tax; the section itself speaks of total charges.
    """
    limit = written_estimate if revision is None else max(written_estimate, revision)
    return charged_in_all <= limit
