"""Stories in which things happen in another order than they should: what one room knows, the next one uses all the same.

No source: what a shop would expect to be told.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.urls import reverse

from shop.bench import actions as bench
from shop.counter import actions as counter
from shop.counter.actions import Intake, UnitDescribed
from shop.counter.models import Job
from shop.counter.stages import Outcome, Stage
from shop.dispatch import actions as dispatch
from shop.frame import clock, news
from shop.frame.models import Staff
from shop.office import actions as office
from shop.office.models import Authorisation
from shop.office.queries import holds_back, since_invoiced
from shop.records.next_step import next_step
from shop.stockroom.actions import fit_part, note_came, strike_part, want_part
from tests.factories.counter import CustomerFactory
from tests.factories.dispatch import ready
from tests.factories.office import agreed, shop_at_work
from tests.factories.stockroom import on_the_bench

pytestmark = pytest.mark.django_db
Answer = Authorisation.Answer


@pytest.fixture
def by() -> Staff:
    return shop_at_work()


def fresh(job: Job) -> Job:
    return Job.objects.get(pk=job.pk)


def next_of(job: Job) -> str:
    step = next_step(fresh(job))
    assert step is not None
    return step.title


def told(staff: Staff, job: Job) -> list[news.Piece]:
    """What is news to somebody of a job."""
    return [piece for piece in news.unseen(Staff.objects.get(pk=staff.pk)) if job.number in piece.title]


def said(job: Job, answer: str, **more: Any) -> None:
    """The customer says so on their own page."""
    office.record_answer(
        job=fresh(job), answer=answer, how="window", given_by=job.customer.name, by=None, **more
    )


def test_a_no_after_the_part_has_come_and_a_yes_after_it_was_ready(by: Staff, client: Any) -> None:
    client.force_login(by)
    job = on_the_bench(by, bench_fee_minor=6_000)
    assert told(by, job) == [], "a bench fee asks for nothing"
    said(job, Answer.UP_TO, up_to_minor=30_000)
    note_came(wanted=want_part(job=job, description="Idler", by=by), by=by)
    assert next_of(job) == "A part that it waited for is here: fit it."
    said(job, Answer.NO)
    assert next_of(job) == "The customer said no: write down how it ended."
    titles = {piece.title for piece in told(by, job)}
    assert titles == {
        f"{job.number}: No repair: takes back what was agreed",
        f"A part came for {job.number}",
    }
    assert "The customer said no" in client.get(reverse("bench:job", args=[job.number])).content.decode()
    bench.conclude(
        job=fresh(job), failed="idler", mode="worn", remedy="none", outcome=Outcome.DECLINED, by=by
    )
    bench.call_ready(job=fresh(job), by=by)
    assert next_of(job) == "The safety check is owed, before it goes home."
    said(job, Answer.UP_TO, up_to_minor=20_000)
    assert next_of(job) == "The customer said yes since: it goes back on the bench."


def test_a_part_fitted_after_the_invoice_does_not_leave_unasked(by: Staff) -> None:
    job = ready(by, owner=CustomerFactory(regular=True))
    agreed(job, 50_000, by=by)
    fit_part(job=job, description="Belt", unit_price_ten_thousandths=120_000, by=by)
    row = office.issue_invoice(invoice=office.draft_invoice(customer=job.customer, jobs=[job], by=by), by=by)
    office.take_payment(customer=job.customer, amount_minor=row.total_minor, how="cash", invoice=row, by=by)
    assert holds_back(fresh(job)) is None
    bench.take_to_bench(job=fresh(job), by=by)
    fit_part(job=job, description="Better belt", unit_price_ten_thousandths=150_000, by=by)
    bench.call_ready(job=fresh(job), by=by)
    assert "charged on none: Better belt" in (holds_back(fresh(job)) or "")
    assert next_of(job) == "More was done since the invoice: draft another."
    office.issue_invoice(invoice=office.draft_invoice(customer=job.customer, jobs=[fresh(job)], by=by), by=by)
    assert not since_invoiced(Job.objects.filter(pk=job.pk)).told()


def test_a_part_fitted_after_the_customers_no_is_questioned_at_the_bench(by: Staff, client: Any) -> None:
    client.force_login(by)
    job = on_the_bench(by)
    said(job, Answer.UP_TO, up_to_minor=30_000)
    fit_part(job=fresh(job), description="Idler", unit_price_ten_thousandths=90_000, by=by)
    said(job, Answer.NO)
    page = reverse("bench:job", args=[job.number])
    assert "although the customer said no" not in client.get(page).content.decode()
    belt = fit_part(job=fresh(job), description="Belt", unit_price_ten_thousandths=90_000, by=by)
    assert "although the customer said no:</strong>\n      Belt. Nobody" in client.get(page).content.decode()
    strike_part(fitted=belt, reason="Taken out again", by=by)
    assert "although the customer said no" not in client.get(page).content.decode()


def test_hours_worked_after_the_invoice_do_not_leave_unasked(by: Staff) -> None:
    """What is not billed asks for nothing; a clock that still runs counts when it is stopped."""
    job = ready(by, owner=CustomerFactory(regular=True))
    agreed(job, 50_000, by=by)
    row = office.issue_invoice(invoice=office.draft_invoice(customer=job.customer, jobs=[job], by=by), by=by)
    if row.total_minor:
        office.take_payment(
            customer=job.customer, amount_minor=row.total_minor, how="cash", invoice=row, by=by
        )
    bench.take_to_bench(job=fresh(job), by=by)
    for kind, back in (("unbilled", 9), ("repair", 6)):
        began = clock.now() - dt.timedelta(hours=back)
        bench.add_stint(
            job=fresh(job),
            kind=kind,
            started_at=began,
            stopped_at=began + dt.timedelta(minutes=90),
            by=by,
        )
        bench.call_ready(job=fresh(job), by=by)
        asked = kind == "repair"
        assert ("charged on none: 1 h 30 min of work" in (holds_back(fresh(job)) or "")) is asked
        assert (next_of(job) == "More was done since the invoice: draft another.") is asked
        if not asked:
            bench.take_to_bench(job=fresh(job), by=by)
    office.issue_invoice(invoice=office.draft_invoice(customer=job.customer, jobs=[fresh(job)], by=by), by=by)
    assert not since_invoiced(Job.objects.filter(pk=job.pk)).told()


def test_two_were_announced_and_one_was_not_in_the_box(by: Staff) -> None:
    deck, tuner = counter.announce(
        customer=CustomerFactory(regular=True),
        intakes=[
            Intake(unit=UnitDescribed(maker="Vessling", model=name), complaint="Hums.")
            for name in ("CT-730", "FM-2")
        ],
        by=by,
    )
    assert next_of(tuner) == "It is on its way."
    assert deck.inbound is not None
    dispatch.note_arrived(inbound=deck.inbound, by=by)
    assert next_of(tuner) == "Its parcel is here."
    counter.receive_expected(job=fresh(deck), by=by, packing_state="intact")
    assert next_of(tuner) == "Its parcel was opened: book it in, or call it off if it was not in it."
    (piece,) = told(by, tuner)
    assert "though its parcel was opened" in piece.words
    counter.call_off(job=fresh(tuner), by=by)
    assert (fresh(tuner).stage, told(by, tuner)) == (Stage.CALLED_OFF, [])
