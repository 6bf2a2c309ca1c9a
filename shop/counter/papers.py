"""What the counter prints: the claim check for the customer, and the tag that is tied to the unit."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Mapping, Sequence

from shop.counter import promising
from shop.counter.actions import file_paper
from shop.counter.models import Customer, Job, Promise, ProtectionClass, Unit
from shop.frame import clock, spelling
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.handbook.jobnumber import JobNumber
from shop.handbook.law.terms import Fact as LawFact
from shop.handbook.law.terms import Paper as LawPaper
from shop.handbook.money import Money
from shop.keeping.models import IssuedPaper
from shop.premises.models import Terms
from shop.premises.queries import promise_rules
from shop.press.building import Address, Fact, Notice, Signature
from shop.press.drawing import render_pdf
from shop.press.issuing import issue_paper
from shop.press.sheets import label

CLAIM_CHECK = "claim_check"
TAG_SHEET = label(89, 36)
TAG_NAME_LETTERS = 24
"""So many letters of a unit's name stand in one line of its tag; a longer name takes a line from the accessories."""


def issue_claim_check(
    *, jobs: Sequence[Job], by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> IssuedPaper:
    """Issue the receipt for one or several units of one customer, with every line the shop's law profile asks for."""
    first = jobs[0]
    numbers = ", ".join(job.number for job in jobs)
    with acting(by=by, at=at, once=once_key) as act:
        on = act.day
        paper = issue_paper(
            kind=CLAIM_CHECK,
            number=numbers[:60],
            title=f"Claim check {numbers}"[:200],
            heading="Claim check",
            template="papers/counter/claim_check.html",
            context=claim_check_context(jobs, on=on, accepted_by=first.accepted_by or by),
            keep_until=the_profile().law.keep_until(LawPaper.CLAIM_CHECK, on),
            by=by,
        )
        file_paper(act=act, paper=paper, jobs=jobs)
    return paper


def claim_check_context(jobs: Sequence[Job], *, on: dt.date, accepted_by: Staff) -> dict[str, object]:
    """Everything a claim check says."""
    customer = jobs[0].customer
    terms = Terms.objects.filter(from_date__lte=on).first()
    given = promising.standing([job.pk for job in jobs]) if promise_rules().on_papers else {}
    return {
        "to": postal(customer),
        "facts": [
            Fact("Taken in", spelling.day(jobs[0].booked_in_at), strong=True),
            Fact("Accepted by", accepted_by.signature),
            Fact("Customer", str(customer)),
            Fact("Phone", customer.phone or "—"),
        ],
        "jobs": [
            {
                "job": job,
                "facts": [*_unit_facts(job), *promised_facts(given.get(job.pk, {}))],
                "accessories": _accessories(job),
            }
            for job in jobs
        ],
        "notices": law_notices(LawPaper.CLAIM_CHECK, on=on),
        "lacks": claim_check_lacks(jobs, on=on, accepted_by=accepted_by),
        "signatures": [
            Signature("For the shop", name=accepted_by.signature, day=on),
            Signature(f"Customer: {customer}"),
        ],
        "terms": terms.text if terms is not None else "",
        "code": JobNumber.parse(jobs[0].number).compact if len(jobs) == 1 else "",
        "repaired_at": the_profile().address.replace("\n", ", "),
    }


def promised_facts(given: Mapping[str, Promise]) -> list[Fact]:
    """The dates that a paper carries: those the shop gave, and no odds."""
    word, ready = given.get(Promise.What.WORD), given.get(Promise.What.READY)
    facts = [Fact("You hear from us by", spelling.day(word.day))] if word and not ready else []
    return [*facts, Fact("Ready by", spelling.day(ready.day))] if ready else facts


def claim_check_lacks(jobs: Sequence[Job], *, on: dt.date, accepted_by: Staff) -> list[str]:
    """What the law profile asks for and this claim check does not carry, a sentence each."""
    profile = the_profile()
    sentences: dict[str, None] = {}
    for job in jobs:
        given = {
            LawFact.SHOP_NAME: profile.name,
            LawFact.SHOP_ADDRESS: profile.address,
            LawFact.SHOP_PHONE: profile.phone,
            LawFact.REGISTRATION_NUMBER: profile.registration_number,
            LawFact.REPAIR_ADDRESS: profile.address,
            LawFact.RECEIVED_ON: str(job.booked_in_at or ""),
            LawFact.UNIT_DESCRIPTION: job.unit.model.kind_in_words or str(job.unit.model),
            LawFact.UNIT_MAKE: job.unit.model.maker.name,
            LawFact.UNIT_MODEL: job.unit.model.name,
            LawFact.UNIT_SERIAL: job.unit.serial or "none found",
            LawFact.COMPLAINT: job.complaint,
            LawFact.CUSTOMER_NAME: job.customer.name,
            LawFact.CUSTOMER_ADDRESS: job.customer.address,
            LawFact.ACCEPTED_BY: accepted_by.signature,
            LawFact.NOTICE: "printed",
        }
        rules = profile.law
        sentences |= {lack.sentence: None for lack in rules.lacks(LawPaper.CLAIM_CHECK, given, on)}
    return list(sentences)


def law_notices(paper: LawPaper, *, on: dt.date) -> list[Notice]:
    """The wording that the shop's law profile prescribes for a paper, each with its paragraph.

    That the shop must check its local rules is said on its own screens, not to the customer.
    """
    rules = the_profile().law
    return [Notice(line.text, citation=line.standing) for line in rules.lines_for(paper, on) if line.text]


def postal(customer: Customer) -> Address:
    """The customer's address block as typed, the name first."""
    lines = [customer.organisation, customer.name] if customer.organisation else [customer.name]
    return Address((*lines, *(line.strip() for line in customer.address.splitlines() if line.strip())))


def tag_pdf(job: Job, *, reached_at: str = "") -> bytes:
    """The label that is tied to the unit: job number, unit, Code 128 and a QR code that opens the job at the bench.

    Where neither the profile nor `reached_at` names an address that another device can open, the QR code holds the job
    number: a camera shows it, and a hand scanner types it.
    """
    address = tag_address(job, reached_at=reached_at)
    name = f"{job.unit.model.maker.name} {job.unit.model.name}"
    context = {
        "job": job,
        "name": name,
        "long_name": len(name) > TAG_NAME_LETTERS,
        "code": JobNumber.parse(job.number).compact,
        "qr": job.number if address.startswith("/") else address,
        "accessories": [one.name for one in job.accessories.all() if one.missing_at is None],
    }
    title = f"Tag {job.number}"
    return render_pdf(
        "papers/counter/tag.html",
        context,
        size=TAG_SHEET,
        title=title,
        number=job.number,
        issued_on=clock.today(),
    )


def tag_address(job: Job, *, reached_at: str = "") -> str:
    """The shop's own address, from its profile, else `reached_at`, ending in the job number; a path where there is neither."""
    return f"{(the_profile().web_address or reached_at).rstrip('/')}/t/{job.number}"


def _unit_facts(job: Job) -> list[Fact]:
    unit = job.unit
    facts = [
        Fact("Job number", job.number, strong=True),
        Fact("Unit", f"{unit.model.maker.name} {unit.model.name}", strong=True),
        *([Fact("Kind", unit.model.kind_in_words)] if unit.model.kind_in_words else []),
        Fact("Serial number", unit.serial or "none found"),
        Fact("Supply", _supply(unit)),
        Fact("How it came", job.get_how_it_came_display()),
    ]
    sums = (
        ("Agreed value", job.agreed_value_minor),
        ("Agreed limit, before tax", job.limit_minor),
        ("Bench fee for finding the fault", job.bench_fee_minor),
    )
    facts += [
        Fact(name, spelling.money(Money(minor, job.currency))) for name, minor in sums if minor is not None
    ]
    facts.append(
        Fact("Replaced parts", "go back to the customer" if job.wants_parts_back else "not asked for")
    )
    return facts


def _supply(unit: Unit) -> str:
    if not unit.mains:
        return "not on AC power"
    volts = f"{unit.line_voltage} V" if unit.line_voltage else "mains"
    known = unit.protection_class != ProtectionClass.UNKNOWN
    return f"{volts}, class {unit.protection_class}" if known else volts


def _accessories(job: Job) -> str:
    return (
        ", ".join(accessory.name for accessory in job.accessories.all() if accessory.missing_at is None)
        or "nothing else"
    )
