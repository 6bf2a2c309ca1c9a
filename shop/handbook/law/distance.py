"""Contracts concluded at a distance with a consumer: what is told, how it is ordered, and how the consumer takes it back.

An aid: whether a contract is one at all, and what a member state adds, is for the shop and its adviser. What a rule says stands
in our words; the form and the labels of buttons are those that the laws prescribe.

Sources
    Directive 2011/83/EU as on digitalfairnessact.com (consolidated 28 May 2022) and guidance 2021/C 525/01: Article 9(2)(a),
    fourteen days from the conclusion of a contract for services; Articles 8(8) and 14(3) as quoted on 1library.net.
    Articles 6(1)(h), (j), (k), 8(2), 8(7), 10, 16(a) and Annex I from memory.
    Article 11a, inserted by Directive (EU) 2023/2673, applied from 19 June 2026: mondaq.com (2026), ecija.com, and its wording
    in the Italian Codice del Consumo, Art. 54-bis. Weekends: Regulation (EEC, Euratom) 1182/71 Article 3(4), from memory.
    United Kingdom: Consumer Contracts (Information, Cancellation and Additional Charges) Regulations 2013 (SI 2013/3134) on
    legislation.gov.uk, table of contents; the form of Schedule 3 Part B as on discover.bmw.co.uk; regulations 13, 14, 16, 29,
    30, 31 and 36 from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from shop.handbook.law.days import months_later
from shop.handbook.law.terms import Duty

SATURDAY = 5


@dataclass(frozen=True, slots=True)
class DistanceLaw:
    """The rules of one place. ``takes_back`` is its verb: withdraw or cancel; ``weekends`` move the last day onward."""

    key: str
    days: int
    weekends: bool
    takes_back: str
    noun: str
    order_button: str
    function_label: str
    confirm_label: str
    request: str
    confirmation: str
    rules: tuple[Duty, ...]

    def last_day(self, concluded: date, informed: date | None) -> date:
        """The last day on which the consumer, told of it on a day or never, may take a contract for services back.

        Who wasn't told has twelve months more (Art. 10(1), reg. 31(3)); who is told within them has the period from that day
        (Art. 10(2), reg. 31(2)); from memory.
        """
        last = concluded + timedelta(days=self.days)
        if informed is None or informed > concluded:
            longest = months_later(last, 12)
            last = longest if informed is None else min(longest, informed + timedelta(days=self.days))
        if self.weekends and last.weekday() >= SATURDAY:
            last += timedelta(days=7 - last.weekday())
        return last

    def information(self, shop: str) -> str:
        """What the consumer is told about it, with the shop's name and address put in (Annex I(A), Schedule 3 Part A)."""
        verb, noun, days = self.takes_back, self.noun, self.days
        of = "withdraw from" if verb == "withdraw" else "cancel"
        return (
            f"You have the right to {of} this contract within {days} days without giving any reason.\n"
            f"The {noun} period will expire after {days} days from the day of the conclusion of the contract.\n"
            f"To exercise the right, tell us ({shop}) by a clear statement, such as a letter or an e-mail. You may use the form "
            "below, or the function on your page, but need not. It is enough to send it before the period has expired.\n"
            f"If you {verb}, we pay back all that you have paid us, without undue delay and not later than {days} days from the "
            "day on which we hear of it, by the means of payment that you used, and without a fee.\n"
            "If you asked us to begin during the period, you pay what is in proportion to the work done until you told us."
        )

    def form(self, shop: str) -> list[str]:
        """The lines of the model form."""
        withdraws = self.takes_back == "withdraw"
        of = "withdraw from" if withdraws else "cancel"
        service = "for the provision of" if withdraws else "for the supply of"
        return [
            f"(Complete and return this form only if you wish to {of} the contract)",
            f"To {shop}:",
            f"I/We [*] hereby give notice that I/We [*] {of} my/our [*] contract {service} the following service:",
            "Ordered on [*]/received on [*]:",
            "Name of consumer(s):",
            "Address of consumer(s):",
            "Signature of consumer(s) (only if this form is notified on paper):",
            "Date:",
            "[*] Delete as appropriate.",
        ]


CRD = "Directive 2011/83/EU Art."
EUROPEAN_UNION = DistanceLaw(
    key="eu",
    days=14,
    weekends=True,
    takes_back="withdraw",
    noun="withdrawal",
    order_button="Order with obligation to pay",
    function_label="Withdraw from contract here",
    confirm_label="Confirm withdrawal",
    request="Please begin before the 14 days are over. I know that I pay for what is done until I withdraw, and that I can no "
    "longer withdraw once the repair is done entirely.",
    confirmation=f"{CRD} 11a",
    rules=(
        Duty(
            "informed",
            f"{CRD} 6(1)(h), (j), (k), Annex I",
            "The estimate tells of the right to withdraw, its 14 days, what is owed for work begun on request, and brings the "
            "model form; without that the period grows by twelve months (Art. 10).",
            confirmed=False,
        ),
        Duty("button", f"{CRD} 8(2)", "The button says that ordering binds to pay.", confirmed=False),
        Duty(
            "request", f"{CRD} 8(8)", "Work begins within the 14 days only at the consumer's express request."
        ),
        Duty(
            "proportion",
            f"{CRD} 14(3)",
            "Who withdraws after that request pays in proportion to what was done.",
        ),
        Duty(
            "lost",
            f"{CRD} 16(a)",
            "The right ends when the service is performed in full, where the consumer asked and knew so.",
            confirmed=False,
        ),
        Duty(
            "function",
            f"{CRD} 11a",
            "The page on which it was ordered has a function to withdraw, in sight for the whole period, in two steps, and its "
            "receipt is confirmed with day and time in a form that lasts. Since 19 June 2026.",
        ),
        Duty("when", f"{CRD} 9(2)(a)", "The 14 days count from the day on which the contract is concluded."),
    ),
)

CCR = "CCR 2013 (SI 2013/3134) reg."
UNITED_KINGDOM = DistanceLaw(
    key="uk",
    days=14,
    weekends=False,
    takes_back="cancel",
    noun="cancellation",
    order_button="Order with obligation to pay",
    function_label="Cancel the contract here",
    confirm_label="Confirm cancellation",
    request="Please begin before the 14 days are over. I know that I pay for what is done until I cancel, and that I can no "
    "longer cancel once the repair is done entirely.",
    confirmation=f"{CCR} 32",
    rules=(
        Duty(
            "informed",
            f"{CCR} 13, Sch. 2, Sch. 3",
            "The estimate tells of the right to cancel, its 14 days and what is owed for work begun on request, and brings the "
            "model form, which was read; without that the period grows by up to twelve months (reg. 31).",
            confirmed=False,
        ),
        Duty("button", f"{CCR} 14(4)", "The button says that ordering binds to pay.", confirmed=False),
        Duty(
            "request",
            f"{CCR} 36(1)",
            "Work begins within the 14 days only at the consumer's express request, on a durable medium.",
            confirmed=False,
        ),
        Duty(
            "proportion",
            f"{CCR} 36(4)",
            "Who cancels after it pays in proportion to what was done.",
            confirmed=False,
        ),
        Duty(
            "lost",
            f"{CCR} 36(2)",
            "The right ends when the service is fully performed, where the consumer asked and knew so.",
            confirmed=False,
        ),
        Duty(
            "function",
            f"{CCR} 32",
            "A cancellation by the shop's page is acknowledged without delay on a durable medium.",
            confirmed=False,
        ),
    ),
)

BY_PROFILE = {law.key: law for law in (EUROPEAN_UNION, UNITED_KINGDOM)}
"""The law on distance contracts of each law profile that has one."""
