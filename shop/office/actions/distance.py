"""A consumer takes back a contract that was concluded at a distance."""

from __future__ import annotations

import datetime as dt
import uuid
from contextlib import suppress

from shop.counter.actions import file_paper
from shop.counter.models import Job
from shop.frame import numbers, spelling
from shop.frame.journal import acting
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.keeping.outbox import write_message
from shop.office import pricing, queries
from shop.office.actions.answers import record_answer
from shop.office.distance import Contract, contract_of
from shop.office.models import Authorisation
from shop.office.papers import issue, withdrawal_sheet
from shop.press.drawing import warm_up


def withdraw_contract(
    *,
    job: Job,
    given_by: str,
    email: str = "",
    address_seen: str | None = None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Authorisation:
    """The customer takes the contract back within its period; the receipt is a paper of the job, and goes out by e-mail.

    Where work was begun at the customer's express request, what is recorded by then may still be charged, up to what was
    agreed; otherwise nothing but a bench fee that was agreed.
    """
    warm_up()
    with acting(by=None, at=at, once=once_key) as act:
        contract = contract_of(job)
        if contract is None:
            raise Refusal("There is no contract to take back here.")
        if contract.performed:
            raise Refusal(
                f"The repair was begun at your request and is done entirely: the right to {contract.law.takes_back} has ended. "
                "Please call the shop."
            )
        if not contract.stands_open(act.day):
            raise Refusal(
                f"It could be taken back until {spelling.day(contract.last_day)}. Please call the shop."
            )
        given = record_answer(
            job=job,
            answer=Authorisation.Answer.WITHDRAWN,
            how=Authorisation.How.WINDOW,
            given_by=given_by,
            by=None,
            up_to_minor=_done_by_request(contract, job, act.day),
            conditions=f"Takes back the contract of {spelling.day(contract.concluded)} ({contract.law.confirmation})",
            address_seen=address_seen,
        )
        number = f"L{act.day.year}-{numbers.take('letter', act.day.year):04d}"
        paper = issue(withdrawal_sheet(job, contract, given, number=number, on=act.day), by=None)
        file_paper(act=act, paper=paper, jobs=[job])
        if email:
            shop = the_profile()
            write_message(
                to=email,
                subject=f"{paper.title}, {shop.name}",
                body=f"Hello {given_by},\n\nwe have received your statement; its receipt is attached.\n\n{shop.name}",
                paper=paper,
                by=None,
            )
        act.record("contract.taken_back", subject=given, jobs=[job.pk])
    return given


def _done_by_request(contract: Contract, job: Job, day: dt.date) -> int:
    """What is recorded so far, before tax, in minor units, up to what the customer asked to begin with; else nothing."""
    if not contract.requested_minor:
        return 0
    done = 0
    with suppress(Refusal):  # no rate for that work yet: nothing can be charged
        done = pricing.total(pricing.items_of(job, on=day), job.currency).minor
    most = min(contract.requested_minor, queries.agreed_on(job).whole.minor)
    return max(0, min(done + queries.charged_before(job).minor, most))
