"""What laws ask to stand on papers, letter by letter, found in the PDF that was issued.

Sources: California Code of Regulations, title 16, sections 2721, 2722, 2723 and 2725 as read on govt.westlaw.com and
regulations.justia.com (2721(h) and what follows 2725(m) were cut off and are listed as not confirmed); Directive 2006/112/EC
Article 226 (points 1 to 7 as read, the rest from memory); Directive (EU) 2024/1799 Article 4 and Annex I (from memory in part).
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from shop.bench import actions as bench
from shop.counter.models import Customer, HowItCame, Job
from shop.counter.papers import issue_claim_check
from shop.frame.models import ShopProfile, Staff
from shop.frame.refusal import Refusal
from shop.handbook import law
from shop.handbook.law.california import CALIFORNIA, ESTIMATE_STATEMENT
from shop.office import actions, legal
from shop.office.models import Authorisation, Estimate, Invoice, LineKind
from shop.office.queries import above_authorised
from tests.factories.office import agreed, another_job, drafted, issued, item
from tests.office.reading import text_of

pytestmark = pytest.mark.django_db


# --- 16 CCR 2721: the claim check ---------------------------------------------------------------------------


@pytest.fixture
def claim_check(job: Job, owner: Staff) -> str:
    return text_of(issue_claim_check(jobs=[job], by=owner))


CLAIM_CHECK = {
    "2721(a) name": "Halftone Bench",
    "2721(a) registration number": "Registration no. E 00000",
    "2721(a) address of the place of repair": "Repaired at: 14 Quarry Lane, Port Amity, CA 90000",
    "2721(a) telephone": "(555) 555-0142",
    "2721(c) model": "VX-318",
    "2721(c) description": "Receiver",
    "2721(d) the customer's description": "No sound from the left channel",
    "2721(e) address": "3 Tallow Street",
    "2721(f) who accepted it": "Ottoline Brask (",
    "2721(g) the statement": ESTIMATE_STATEMENT,
}


@pytest.mark.parametrize("letter, words", CLAIM_CHECK.items(), ids=CLAIM_CHECK.keys())
def test_the_claim_check_carries_each_letter_of_2721(claim_check: str, letter: str, words: str) -> None:
    assert words in claim_check, letter


def test_the_claim_check_carries_the_date_the_serial_number_and_the_name(job: Job, claim_check: str) -> None:
    """16 CCR 2721(b), (c), (e)."""
    assert job.booked_in_at is not None
    assert (
        job.booked_in_at.strftime("%b %-d, %Y") in claim_check
        or job.booked_in_at.strftime("%B %-d, %Y") in claim_check
    )
    assert job.unit.serial in claim_check
    assert job.customer.name in claim_check


def test_what_could_not_be_read_of_2721_and_2725_is_listed_and_not_filled_in() -> None:
    unconfirmed = CALIFORNIA.unconfirmed
    assert "16 CCR 2721(h)" in unconfirmed
    assert "16 CCR 2725, after (m)" in unconfirmed


# --- 16 CCR 2722: the estimate and the consent --------------------------------------------------------------


def given(job: Job, by: Staff, *prices: str) -> Estimate:
    items = [item(price=price) for price in prices]
    return actions.put_estimate(estimate=actions.draft_estimate(job=job, items=items, by=by), by=by)


def test_an_invoice_above_the_estimate_is_refused_with_the_sentence_why(job: Job, owner: Staff) -> None:
    """16 CCR 2722: no charge in excess of the estimate without prior consent."""
    estimate = given(job, owner, "100.00")
    actions.record_answer(
        job=job, estimate=estimate, answer="yes", how="in_person", given_by="M. Osei", by=owner
    )
    draft = actions.draft_invoice(customer=job.customer, jobs=[job], items=[item(price="100.01")], by=owner)
    with pytest.raises(Refusal, match=r"0\.01 USD above the 100\.00 USD .* further yes"):
        actions.issue_invoice(invoice=draft, by=owner)
    draft.refresh_from_db()
    assert draft.number == ""


def test_taxes_are_no_part_of_the_estimate(job: Job, owner: Staff) -> None:
    """16 CCR 2722(b): compared before tax, an invoice of 108.25 stays within an estimate of 100.00."""
    estimate = actions.draft_estimate(job=job, items=[item(LineKind.PART, "100.00")], by=owner)
    estimate = actions.put_estimate(estimate=estimate, by=owner)
    actions.record_answer(
        job=job, estimate=estimate, answer="yes", how="in_person", given_by="M. Osei", by=owner
    )
    items = [item(LineKind.PART, "100.00")]
    draft = actions.draft_invoice(customer=job.customer, jobs=[job], items=items, by=owner)
    assert actions.issue_invoice(invoice=draft, by=owner).total_minor == 108_25
    assert "Tax, not part of the estimate" in text_of(estimate.paper)


def test_oral_consent_to_more_is_printed_on_the_invoice_with_all_eight_items(job: Job, owner: Staff) -> None:
    """16 CCR 2722(a): date, time, who authorized, telephone called, who received, conditions, additional work, its cost."""
    estimate = given(job, owner, "100.00")
    at = dt.datetime(2026, 11, 25, 15, 4, tzinfo=dt.UTC)
    actions.record_answer(
        job=job,
        estimate=estimate,
        answer="yes",
        how="phone",
        given_by="Marguerite Osei",
        phone_called="555-0117",
        conditions="done by Friday",
        additional_work="a new idler wheel and its fitting",
        additional_minor=35_00,
        by=owner,
        at=at,
    )
    draft = actions.draft_invoice(customer=job.customer, jobs=[job], items=[item(price="135.00")], by=owner)
    printed = text_of(actions.issue_invoice(invoice=draft, by=owner).paper)
    # the sentence itself: names and days stand elsewhere on the paper too
    noted = printed.partition("What was authorized")[2]
    for words in (
        "Nov 25, 2026",
        "3:04 PM",
        "by Marguerite Osei",
        "called at 555-0117",
        f"received by {owner.signature}",
        "conditions: “done by Friday”",
        "additional parts and labor: a new idler wheel and its fitting",
        "$35.00",
    ):
        assert words in noted


@pytest.mark.parametrize(
    "lacking, sentence",
    [
        ({"given_by": " "}, "Name the person"),
        ({"phone_called": ""}, "phone number called"),
        ({"answer": "partly"}, "Check the lines"),
        ({"answer": "up_to"}, "up to which sum"),
    ],
)
def test_an_oral_answer_without_what_2722_asks_is_not_taken(
    job: Job, owner: Staff, lacking: dict[str, Any], sentence: str
) -> None:
    estimate = given(job, owner, "100.00")
    facts = {"answer": "yes", "how": "phone", "given_by": "M. Osei", "phone_called": "555-0117", **lacking}
    with pytest.raises(Refusal, match=sentence):
        actions.record_answer(job=job, estimate=estimate, by=owner, **facts)
    assert not Authorisation.objects.exists()


# --- 16 CCR 2725: the invoice -------------------------------------------------------------------------------


@pytest.fixture
def invoice(owner: Staff, job: Job) -> str:
    Job.objects.filter(pk=job.pk).update(how_it_came=HowItCame.FETCHED)
    job.refresh_from_db()
    items = [
        item(description="Repair of the tape transport", quantity=1500, unit="h"),
        item(description="Alignment", under_warranty=True),
        item(LineKind.PART, "12.00", description="Belt, flat, 54 mm"),
        item(LineKind.PART, "30.00", description="Capstan motor", part_state="used"),
        item(LineKind.PART, "18.00", description="Pinch roller", part_state="exchanged"),
        item(LineKind.PART, "9.00", description="Fuse holder", under_warranty=True),
        item(LineKind.SHIPPING, "14.90", description="Return parcel"),
    ]
    return text_of(issued(job, items, by=owner).paper)


INVOICE = {
    "2725(a) name": "Halftone Bench",
    "2725(a) address": "14 Quarry Lane",
    "2725(a) telephone": "(555) 555-0142",
    "2725(b) registration number, called so": "Registration no. E 00000",
    "2725(d) fetched: where it was repaired": "Picked up; repaired at Halftone Bench, 14 Quarry Lane",
    "2725(e) address": "3 Tallow Street",
    "2725(f) make": "Quillhaven",
    "2725(f) model": "VX-318",
    "2725(g) the customer's description": "No sound from the left channel",
    "2725(h) total charges": "$207.35",
    "2725(i) each part": "Belt, flat, 54 mm",
    "2725(i) charge of a part": "12.00",
    "2725(i) replaced under warranty": "Fuse holder under warranty",
    "2725(j) labour described": "Repair of the tape transport",
    "2725(j) labour under warranty": "Alignment under warranty",
    "2725(k) other charges": "Return parcel",
    "2725(l) used part": "Capstan motor used part",
    "2725(l) charge of the used part": "30.00",
    "2725(l) exchanged part": "Pinch roller exchanged part",
    "2725(l) charge of the exchanged part": "18.00",
    "2725(m) who filled it in": "Ottoline Brask (",
    "2723 the statement": ESTIMATE_STATEMENT,
}


@pytest.mark.parametrize("letter, words", INVOICE.items(), ids=INVOICE.keys())
def test_the_invoice_carries_each_letter_of_2725(invoice: str, letter: str, words: str) -> None:
    assert words in invoice, letter


def test_the_invoice_carries_its_date_the_name_and_the_serial_number(invoice: str, job: Job) -> None:
    """16 CCR 2725(c), (e), (f)."""
    row = Invoice.objects.get()
    assert row.issue_date is not None
    assert row.issue_date.strftime("%b %-d, %Y") in invoice
    assert job.customer.name in invoice
    assert job.unit.serial in invoice


def test_the_customer_gets_an_invoice_even_when_nothing_is_charged(job: Job, owner: Staff) -> None:
    """16 CCR 2723; 2725(b) of a unit that was not fetched, whose invoice says the number in its letterhead alone."""
    draft = actions.draft_invoice(customer=job.customer, jobs=[job], by=owner)
    paper = text_of(actions.issue_invoice(invoice=draft, by=owner).paper)
    assert "Work done, nothing charged" in paper
    assert "$0.00" in paper
    assert "Registration no. E 00000" in paper


def test_a_draft_says_what_the_law_asks_for_and_the_shop_has_not_filled_in(job: Job, owner: Staff) -> None:
    """16 CCR 2725(b), (e)."""
    ShopProfile.objects.update(registration_number="")
    Customer.objects.update(address="")
    job.customer.refresh_from_db()
    draft = drafted(job, [item()], by=owner)
    lacks = legal.invoice_lacks(draft, [job], by=owner.signature, on=dt.date(2026, 11, 25))
    assert "16 CCR 2725(b): registration number is missing." in lacks
    assert "16 CCR 2725(e): customer address is missing." in lacks


def test_nothing_is_lacking_where_all_is_filled_in(job: Job, owner: Staff) -> None:
    draft = drafted(job, [item(), item(LineKind.PART, "9.00", part_state="used")], by=owner)
    assert legal.invoice_lacks(draft, [job], by=owner.signature, on=dt.date(2026, 11, 25)) == []


# --- how long papers are kept -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "profile, years",
    [
        (law.CALIFORNIA.key, 4),
        (law.UNITED_STATES.key, 4),
        (law.EUROPEAN_UNION.key, 10),
    ],
)
def test_an_issued_invoice_knows_until_when_it_must_be_kept(
    job: Job, owner: Staff, profile: str, years: int
) -> None:
    """B&P 9842 (3 years) and IRS Topic 305 (the longer one holds); Directive 2006/112/EC Art. 247."""
    ShopProfile.objects.update(law_profile=profile)
    row = issued(job, [item()], by=owner)
    assert row.paper is not None
    assert row.issue_date is not None
    assert row.paper.keep_until == dt.date(row.issue_date.year + years, 12, 31)


def test_a_shop_without_a_law_profile_is_asked_for_nothing(job: Job, owner: Staff) -> None:
    ShopProfile.objects.update(law_profile=law.NONE.key, registration_number="")
    draft = drafted(job, [item()], by=owner)
    assert legal.invoice_lacks(draft, [job], by=owner.signature, on=dt.date(2026, 11, 25)) == []
    row = actions.issue_invoice(invoice=draft, by=owner)
    assert "Section 9844" not in text_of(row.paper)


def test_each_job_of_a_shared_invoice_is_compared_with_its_own_authorisation(job: Job, owner: Staff) -> None:
    """16 CCR 2722, job by job: 50 too much on one is not made good by 50 too little on the other."""
    other = another_job(job.customer, by=owner)
    agreed(job, 100_00, by=owner)
    agreed(other, 100_00, by=owner)
    items = [item(price="150.00", job=job), item(price="50.00", job=other)]
    draft = actions.draft_invoice(customer=job.customer, jobs=[job, other], items=items, by=owner)
    (sentence,) = above_authorised(draft, [job, other])
    assert sentence.startswith(f"{job.number}: ")
    assert "50.00 USD above" in sentence


def test_replaced_parts_go_back_when_they_were_asked_for_at_intake(job: Job, owner: Staff) -> None:
    """B&P 9843, not confirmed."""
    Job.objects.update(wants_parts_back=True)
    job.refresh_from_db()
    assert "Replaced parts go back" in text_of(issued(job, [item()], by=owner).paper)


def test_the_warranty_on_the_repair_stands_on_the_invoice_of_what_was_repaired(
    job: Job, owner: Staff
) -> None:
    bench.conclude(job=job, failed="belt", mode="worn", remedy="new belt", outcome="repaired", by=owner)
    job.refresh_from_db()
    assert "Warranty on the repair: 90 days" in text_of(issued(job, [item()], by=owner).paper)
