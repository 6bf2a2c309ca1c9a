"""Units that nobody fetches: from which day which step is possible. Days are computed and letters made; nothing is sold.

Sources
    California Civil Code 3066 (california.public.law): household goods left 90 days after completion, or 12 months where
    stored by agreement, may be sold after a registered letter naming time and place; what follows the first sentence of
    (c) was cut off. 3052b (same place): charges of at most $150, written summary signed and sign posted at intake;
    first-class notice on completion; $2 a day for storage once 30 days have passed since the owner received it; not less
    than 30 days after it a sale notice, giving 30 days from its mailing; from (e) on cut off. 3051, 3052: lien of the
    repairer; unpaid 10 days after falling due, public auction after published notice of at least 10 and at most 20 days
    (animallaw.info, lawguru.com).
    California Business and Professions Code 9844.5 (law.justia.com, 2017): no lien where the charges exceed the estimate.
    United Kingdom, Torts (Interference with Goods) Act 1977 section 12 and Schedule 1 (uosb.co.uk; landlordzone.co.uk;
    uksupportedhousing.com): notice to collect; notice of intention to sell by registered or recorded post, a reasonable
    time before, at least three months where money is owed; not while the customer disputes the charges; England, Wales
    and Northern Ireland. Twenty-eight days as reasonable where nothing is owed: justanswer.co.uk, an opinion.
    Which day is the first after a period of n days (the day after its last): our reading, stated with each step.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

from shop.handbook.law.days import months_later
from shop.handbook.money import Money

SMALL_CHARGES = Money(150_00, "USD")
STORAGE_A_DAY = Money(2_00, "USD")
REASONABLE_DAYS = 28


@dataclass(frozen=True, slots=True)
class Left:
    """What is known of a unit that stays uncollected. Days that haven't come yet are None."""

    completed: date
    charges: Money
    due: date | None = None
    within_estimate: bool = True
    stored_by_agreement: bool = False
    summary_signed: bool = False
    sign_posted: bool = False
    notice_sent: date | None = None
    notice_received: date | None = None
    sale_notice_sent: date | None = None
    disputed: bool = False
    reasonable_days: int = REASONABLE_DAYS


@dataclass(frozen=True, slots=True)
class Step:
    """From this day something is possible."""

    key: str
    day: date
    what: str
    paragraph: str


@dataclass(frozen=True, slots=True)
class Timeline:
    """One way that the law offers, with its days, what it presupposes, and what stands against it now."""

    key: str
    name: str
    steps: tuple[Step, ...]
    presupposes: tuple[str, ...]
    obstacles: tuple[str, ...]

    @property
    def open(self) -> bool:
        """Whether nothing known stands against this way."""
        return not self.obstacles

    def day(self, key: str) -> date | None:
        """The day of a step, None where it can't be computed yet."""
        return next((step.day for step in self.steps if step.key == key), None)


_NO_LIEN = "The charges exceed the estimate and its revisions: no right to hold the unit (B&P 9844.5)."


def household_goods(left: Left) -> Timeline:
    """California Civil Code 3066: sale after 90 days, or 12 months where the unit was stored by agreement."""
    if left.stored_by_agreement:
        ripe, paragraph = months_later(left.completed, 12), "Cal. Civ. Code 3066(b)"
    else:
        ripe, paragraph = left.completed + timedelta(days=90), "Cal. Civ. Code 3066(a)"
    return Timeline(
        "ca_3066",
        "Household goods left after a repair",
        (Step("ripe", ripe, "may be sold, after notice of time and place by registered letter", paragraph),),
        (
            "Whether a vintage unit counts as household goods was not confirmed.",
            "The registered letter goes to the address given at intake (3066(c); its end was not read).",
        ),
        () if left.within_estimate else (_NO_LIEN,),
    )


def small_charges(left: Left) -> Timeline:
    """California Civil Code 3052b: notices by first-class mail for charges of at most $150."""
    paragraph = "Cal. Civ. Code 3052b"
    steps = []
    if left.notice_received:
        first = left.notice_received + timedelta(days=31)
        steps.append(
            Step("storage", first, "first day that storage of $2 may be charged for", f"{paragraph}(c)")
        )
    if left.notice_sent:
        first = left.notice_sent + timedelta(days=30)
        steps.append(Step("sale_notice", first, "the sale notice may be mailed", f"{paragraph}(d)"))
    if left.sale_notice_sent:
        first = left.sale_notice_sent + timedelta(days=31)
        steps.append(
            Step("sale", first, "may be sold: 30 days since the mailing have passed", f"{paragraph}(d)")
        )
    obstacles = [] if left.within_estimate else [_NO_LIEN]
    if left.charges.currency != SMALL_CHARGES.currency or left.charges > SMALL_CHARGES:
        obstacles.append("The charges are above $150 (3052b(a)).")
    if not left.summary_signed:
        obstacles.append("The owner did not sign that the summary was read, at intake (3052b(a)(1), (2)).")
    if not left.sign_posted:
        obstacles.append("No sign was posted at intake (3052b(a)(3)).")
    return Timeline(
        "ca_3052b",
        "Small charges, by mail",
        tuple(steps),
        (
            "A notice by first-class mail goes out on completion (3052b(b)).",
            "Storage counts from when the owner actually received it (3052b(c)).",
            "What (e) and later ask for was not read.",
        ),
        tuple(obstacles),
    )


def lien_sale(left: Left) -> Timeline:
    """California Civil Code 3051 and 3052: public auction after published notice."""
    steps = []
    if left.due:
        unpaid = left.due + timedelta(days=11)
        steps = [
            Step("unpaid", unpaid, "ten days after falling due have passed unpaid", "Cal. Civ. Code 3052"),
            Step(
                "auction",
                unpaid + timedelta(days=10),
                "earliest public auction, where its notice is published ten days before",
                "Cal. Civ. Code 3052",
            ),
        ]
    return Timeline(
        "ca_3052",
        "Lien sale by public auction",
        tuple(steps),
        ("Notice is published at least 10 and at most 20 days before the auction.",),
        () if left.within_estimate else (_NO_LIEN,),
    )


def publication_days(auction: date) -> tuple[date, date]:
    """The first and last day to publish the notice of an auction (Cal. Civ. Code 3052)."""
    return auction - timedelta(days=20), auction - timedelta(days=10)


def uncollected_goods(left: Left) -> Timeline:
    """United Kingdom: notice to collect (A), then notice of intention to sell (B)."""
    paragraph = "Torts (Interference with Goods) Act 1977, Sch. 1"
    steps = [Step("notice_a", left.completed, "the notice to collect may be given", f"{paragraph} Part I")]
    if left.sale_notice_sent:
        if left.charges.minor > 0:
            day, why = months_later(left.sale_notice_sent, 3), "not less than three months, as money is owed"
        else:
            day = left.sale_notice_sent + timedelta(days=left.reasonable_days)
            why = f"a reasonable time, here {left.reasonable_days} days, as nothing is owed"
        steps.append(Step("sale", day, f"may be sold: {why}", f"{paragraph} Part II"))
    return Timeline(
        "uk_torts",
        "Uncollected goods",
        tuple(steps),
        (
            "The notice of intention to sell goes by registered or recorded post.",
            "Proceeds less charges and costs of sale belong to the customer.",
            "Not in Scotland.",
        ),
        ("The customer disputes the charges: no notice and no sale until that is settled.",)
        if left.disputed
        else (),
    )


def storage_charge(timeline: Timeline, on: date) -> Money:
    """What storage comes to on a day under 3052b(c), that day included; nothing before it may be charged."""
    first = timeline.day("storage")
    days = (on - first).days + 1 if first else 0
    return STORAGE_A_DAY * max(0, days)


ROUTES: dict[str, Callable[[Left], Timeline]] = {
    "ca_3066": household_goods,
    "ca_3052b": small_charges,
    "ca_3052": lien_sale,
    "uk_torts": uncollected_goods,
}
"""Every way by its key, as a law profile names it."""
