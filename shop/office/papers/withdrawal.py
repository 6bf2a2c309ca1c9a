"""The receipt of a statement that takes a distance contract back, on paper."""

from __future__ import annotations

import datetime as dt

from shop.counter.models import Job
from shop.counter.papers import postal
from shop.frame import spelling
from shop.frame.profile import the_profile
from shop.office.distance import Contract
from shop.office.models import Authorisation
from shop.office.papers.letters import LETTER
from shop.office.papers.sheets import by_our_customs, keep_until, unit_facts
from shop.press.building import Fact, Notice, Signature
from shop.press.issuing import PaperWanted


@by_our_customs
def withdrawal_sheet(
    job: Job, contract: Contract, given: Authorisation, *, number: str, on: dt.date
) -> PaperWanted:
    """What was said, by whom, and on which day and at what time it came in (Directive 2011/83/EU Art. 11a)."""
    noun, law = contract.law.noun, contract.law
    received = (
        f"We have received your statement that you {law.takes_back} the contract of {spelling.day(contract.concluded)} on the "
        f"unit named below. It was given by {given.person} on your page, on {spelling.moment(given.at)}."
    )
    then = (
        f"What you have paid is paid back within {law.days} days, less what is owed for work that you asked us to begin. We "
        "will write to you about the way back of your unit."
    )
    return PaperWanted(
        kind="withdrawal",
        number=number,
        title=f"Receipt of {noun} {number}",
        heading=f"Receipt of {noun}",
        template="papers/office/letter.html",
        keep_until=keep_until(LETTER, on),
        context={
            "to": postal(job.customer),
            "facts": [
                Fact("Received", spelling.moment(given.at), strong=True),
                Fact("Job", job.number, strong=True),
            ],
            "paragraphs": [received, then],
            "unit": unit_facts(job),
            "notices": [Notice(f"By {contract.law.confirmation}.")],
            "signatures": [Signature("For the shop", name=the_profile().name, day=on)],
        },
    )
