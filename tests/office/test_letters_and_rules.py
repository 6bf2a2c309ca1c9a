"""Reminders, notices about units left here, the rules with their days, figures for the books.

Sources: California Civil Code 3066, 3052b, 3051 and 3052 (california.public.law; animallaw.info, lawguru.com); Torts
(Interference with Goods) Act 1977 section 12 and Schedule 1 (uosb.co.uk). Dates reckoned with Python's calendar.
"""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from shop.bench import actions as bench
from shop.bench.models import WorkKind
from shop.counter.models import Job
from shop.counter.stages import Stage
from shop.frame.models import ShopProfile, Staff
from shop.frame.refusal import Refusal
from shop.handbook import law
from shop.handbook import tax as handbook_tax
from shop.keeping.models import Message
from shop.office import actions, queries, taxing
from shop.office.models import TAXED_KINDS, Invoice, LabourRate, Letter, LineKind, OfficeRules, TaxRule
from shop.office.queries.figures import Period, figures
from shop.office.unclaimed import left_unit
from shop.stockroom.actions import fit_part
from tests.factories.office import issued, item
from tests.office.reading import text_of

pytestmark = pytest.mark.django_db


def noon(day: str) -> dt.datetime:
    return dt.datetime.fromisoformat(f"{day}T20:00:00+00:00")


def ready(job: Job, day: str) -> Job:
    """A unit that has been ready to go back since a day."""
    Job.objects.filter(pk=job.pk).update(stage=Stage.READY, ready_at=noon(day), outcome="repaired")
    job.refresh_from_db()
    return job


# --- reminders --------------------------------------------------------------------------------------------


def test_reminders_follow_each_other_and_none_comes_before_the_invoice_is_due(job: Job, owner: Staff) -> None:
    row = issued(job, [item()], by=owner, at=noon("2026-03-01"))
    with pytest.raises(Refusal, match="due on March 15, 2026"):
        actions.remind(invoice=row, by=owner, at=noon("2026-03-15"))
    first = actions.remind(invoice=row, by=owner, at=noon("2026-03-23"))
    second = actions.remind(invoice=row, by=owner, at=noon("2026-04-10"))
    assert (first.level, second.level) == (1, 2)
    printed = text_of(second.paper)
    assert "Second reminder" in printed
    assert row.number in printed
    assert "$85.00" in printed


def test_a_reminder_is_offered_a_week_past_due_and_again_a_week_after_the_last(
    job: Job, owner: Staff
) -> None:
    row = issued(job, [item()], by=owner, at=noon("2026-03-01"))

    def due_on(day: str) -> bool:
        return queries.reminders_due(dt.date.fromisoformat(day)).filter(pk=row.pk).exists()

    assert not due_on("2026-03-21")
    assert due_on("2026-03-22")
    actions.remind(invoice=row, by=owner, at=noon("2026-03-22"))
    assert not due_on("2026-03-28")
    assert due_on("2026-03-29")


def test_nobody_is_reminded_of_what_is_paid(job: Job, owner: Staff) -> None:
    row = issued(job, [item()], by=owner, at=noon("2026-03-01"))
    actions.take_payment(customer=job.customer, invoice=row, amount_minor=85_00, how="cash", by=owner)
    with pytest.raises(Refusal, match="Nothing is open"):
        actions.remind(invoice=row, by=owner)


def test_a_paper_goes_into_the_outbox_only_where_there_is_an_address(job: Job, owner: Staff) -> None:
    row = issued(job, [item()], by=owner)
    assert row.paper is not None
    with pytest.raises(Refusal, match="no e-mail address"):
        actions.email_paper(paper=row.paper, customer=job.customer, jobs=[job], by=owner)
    job.customer.email = "marguerite@example.com"
    actions.email_paper(paper=row.paper, customer=job.customer, jobs=[job], by=owner)
    message = Message.objects.get()
    assert (message.to, message.paper_id) == ("marguerite@example.com", row.paper_id)


# --- units left here -------------------------------------------------------------------------------------------


def test_household_goods_are_ripe_after_ninety_days(job: Job, owner: Staff) -> None:
    """Cal. Civ. Code 3066: completed 2026-03-01, ripe from 2026-05-30; stored by agreement, after twelve months."""
    ready(job, "2026-03-01")
    way = left_unit(job, on=dt.date(2026, 6, 1)).timelines[0]
    assert way.day("ripe") == dt.date(2026, 5, 30)
    actions.note_left_here(job=job, stored_by_agreement=True, by=owner)
    way = left_unit(job, on=dt.date(2026, 6, 1)).timelines[0]
    assert way.day("ripe") == dt.date(2027, 3, 1)


def test_small_charges_count_from_when_the_letter_went_and_when_it_came(job: Job, owner: Staff) -> None:
    """Cal. Civ. Code 3052b: received 2026-06-01, storage from 2026-07-02 at $2 a day; sale notice 30 days after mailing."""
    issued(job, [item()], by=owner, at=noon("2026-03-01"))
    ready(job, "2026-03-01")
    actions.note_left_here(job=job, summary_signed=True, sign_posted=True, by=owner)
    letter = actions.make_left_notice(job=job, kind=Letter.Kind.COLLECT, by=owner, at=noon("2026-05-28"))
    actions.note_sent(
        letter=letter,
        sent_on=dt.date(2026, 5, 29),
        sent_how=Letter.Sent.FIRST_CLASS,
        received_on=dt.date(2026, 6, 1),
        by=owner,
        at=noon("2026-06-05"),
    )
    unit = left_unit(job, on=dt.date(2026, 7, 6))
    way = next(one for one in unit.timelines if one.key == "ca_3052b")
    assert way.open
    assert way.day("storage") == dt.date(2026, 7, 2)
    assert way.day("sale_notice") == dt.date(2026, 6, 28)
    assert unit.storage is not None
    assert unit.storage.minor == 5 * 2_00


def test_charges_above_the_estimate_leave_no_right_to_hold_the_unit(job: Job, owner: Staff) -> None:
    """B&P 9844.5: within the higher of the estimate and its documented revision, or no lien."""
    estimate = actions.put_estimate(
        estimate=actions.draft_estimate(job=job, items=[item(price="50.00")], by=owner), by=owner
    )
    actions.record_answer(
        job=job,
        estimate=estimate,
        answer="up_to",
        up_to_minor=90_00,
        how="in_person",
        given_by="M. Osei",
        by=owner,
    )
    draft = actions.draft_invoice(customer=job.customer, jobs=[job], items=[item()], by=owner)
    actions.issue_invoice(invoice=draft, by=owner)
    ready(job, "2026-03-01")
    assert all("9844.5" in way.obstacles[0] for way in left_unit(job, on=dt.date(2026, 6, 1)).timelines)


def test_the_united_kingdoms_notice_of_sale_gives_three_months_where_money_is_owed(
    job: Job, owner: Staff
) -> None:
    """Torts Act 1977 Sch. 1: notice sent 2026-11-30, earliest sale 2027-02-28."""
    ShopProfile.objects.update(law_profile=law.UNITED_KINGDOM.key)
    issued(job, [item()], by=owner, at=noon("2026-08-01"))
    ready(job, "2026-08-01")
    actions.note_left_here(
        job=job, sale_day=dt.date(2027, 3, 15), sale_place="on the premises, 10 am", by=owner
    )
    letter = actions.make_left_notice(job=job, kind=Letter.Kind.SALE, by=owner, at=noon("2026-11-29"))
    actions.note_sent(
        letter=letter,
        sent_on=dt.date(2026, 11, 30),
        sent_how=Letter.Sent.RECORDED,
        by=owner,
        at=noon("2026-12-01"),
    )
    (way,) = left_unit(job, on=dt.date(2026, 12, 1)).timelines
    assert way.day("sale") == dt.date(2027, 2, 28)
    printed = text_of(letter.paper)
    for words in (
        "Halftone Bench",
        "14 Quarry Lane",
        "Quillhaven",
        "VX-318",
        job.unit.serial,
        "Held at",
        "Ready since",
        "$85.00",
        "March 15, 2027",
        "on the premises, 10 am",
    ):
        assert words in printed


def test_no_notice_of_sale_without_a_day_nor_against_a_dispute(job: Job, owner: Staff) -> None:
    """Torts Act 1977 Sch. 1: not while the customer disputes the charges."""
    ready(job, "2026-03-01")
    with pytest.raises(Refusal, match="Set the day"):
        actions.make_left_notice(job=job, kind=Letter.Kind.SALE, by=owner, at=noon("2026-06-01"))
    actions.note_left_here(job=job, sale_day=dt.date(2027, 1, 4), disputed=True, by=owner)
    with pytest.raises(Refusal, match="disputes"):
        actions.make_left_notice(job=job, kind=Letter.Kind.SALE, by=owner, at=noon("2026-06-01"))
    assert not Letter.objects.exists()


def test_making_letters_moves_and_sells_nothing(job: Job, owner: Staff) -> None:
    ready(job, "2026-03-01")
    actions.make_left_notice(job=job, kind=Letter.Kind.COLLECT, by=owner)
    job.refresh_from_db()
    assert job.stage == Stage.READY


# --- rules with their days -----------------------------------------------------------------------------------------


def test_a_rate_set_from_a_day_leaves_the_days_before_alone(job: Job, owner: Staff) -> None:
    actions.set_rates(from_date=dt.date(2027, 1, 1), rates={WorkKind.REPAIR: 950_000}, by=owner)
    from shop.office.pricing import rates_on  # noqa: PLC0415

    assert rates_on(dt.date(2026, 12, 31), "USD")["repair"].ten_thousandths == 850_000
    assert rates_on(dt.date(2027, 1, 1), "USD")["repair"].ten_thousandths == 950_000


def test_rules_cant_be_written_into_days_that_have_been_invoiced(job: Job, owner: Staff) -> None:
    issued(job, [item()], by=owner, at=noon("2026-11-20"))
    with pytest.raises(Refusal, match="later day"):
        actions.set_rates(from_date=dt.date(2026, 11, 1), rates={WorkKind.REPAIR: 1}, by=owner)
    with pytest.raises(Refusal, match="later day"):
        actions.set_rules(from_date=dt.date(2026, 11, 20), rounding="exact", by=owner)
    assert LabourRate.objects.filter(hourly_ten_thousandths=1).count() == 0


def test_two_tax_rules_for_the_same_line_on_one_day_are_refused(job: Job, owner: Staff) -> None:
    with pytest.raises(Refusal, match="same line on the same day"):
        actions.add_tax_rule(
            name="Other",
            kinds=[LineKind.PART],
            rate_percent=Decimal(9),
            category="S",
            from_date=dt.date(2026, 1, 1),
            source="invented",
            by=owner,
        )
    assert TaxRule.objects.count() == 1


def test_a_rate_that_changes_is_ended_and_followed_by_another(job: Job, owner: Staff) -> None:
    actions.end_tax_rules(rules=list(TaxRule.objects.all()), to_date=dt.date(2026, 12, 31), by=owner)
    actions.add_tax_rule(
        name="Sales tax",
        kinds=[LineKind.PART],
        rate_percent=Decimal(9),
        category="S",
        from_date=dt.date(2027, 1, 1),
        source="invented",
        by=owner,
    )
    rules = taxing.tax_rules(dt.date(2027, 1, 1))
    part = handbook_tax.LineKind.PART
    assert str(rules.rule_for(part, "standard", dt.date(2026, 12, 31)).percent) == "8.25 %"
    assert str(rules.rule_for(part, "standard", dt.date(2027, 1, 1)).percent) == "9 %"


def test_a_ready_made_set_takes_the_place_of_what_holds(job: Job, owner: Staff) -> None:
    starts = dt.date(2027, 1, 1)
    percent = handbook_tax.Percent.parse("19")
    ready_made = handbook_tax.value_added_tax(percent, starts, "invented", inclusive=True)
    actions.start_with(ready_made=ready_made, by=owner)
    assert TaxRule.objects.filter(from_date=starts).count() == len(TAXED_KINDS)
    assert TaxRule.objects.get(name="Sales tax").to_date == dt.date(2026, 12, 31)
    assert OfficeRules.objects.get(from_date=starts).prices_include_tax
    assert not OfficeRules.objects.get(from_date__lt=starts).prices_include_tax


# --- figures ----------------------------------------------------------------------------------------------------------


def test_the_figures_of_a_period_come_from_its_invoices_less_its_credit_notes(job: Job, owner: Staff) -> None:
    """Two hours at 85.00 and a part of 40.00 that cost 25.00: margin 15.00, tax 3.30, 85.00 an hour."""
    begun = noon("2026-03-01")
    stint = bench.start_stint(job=job, by=owner, at=begun)
    bench.stop_stint(stint=stint, by=owner, at=begun + dt.timedelta(hours=2))
    fitted = fit_part(job=job, by=owner, description="Motor", unit_price_ten_thousandths=400_000)
    type(fitted).objects.filter(pk=fitted.pk).update(unit_cost_ten_thousandths=250_000)
    lines = [item(quantity=2000, unit="h"), item(LineKind.PART, "40.00")]
    row = issued(job, lines, by=owner, at=noon("2026-03-02"))
    actions.take_payment(
        customer=job.customer, invoice=row, amount_minor=100_00, how="cash", by=owner, at=noon("2026-04-02")
    )
    year = Period(dt.date(2026, 1, 1), dt.date(2026, 12, 31))
    found = figures(year, currency="USD", today=dt.date(2026, 6, 1))
    assert (found.net.minor, found.tax.minor, found.came_in.minor) == (210_00, 3_30, 100_00)
    assert (found.outstanding.minor, found.overdue.minor) == (113_30, 113_30)
    assert (found.parts_sold.minor, found.parts_cost.minor, found.margin.minor) == (40_00, 25_00, 15_00)
    assert found.hour is not None
    assert found.hour.minor == 85_00
    march, april = found.months[2], found.months[3]
    assert (march.net.minor, march.came_in.minor) == (210_00, 0)
    assert (april.net.minor, april.came_in.minor) == (0, 100_00)
    assert len(found.months) == 12
    actions.credit(invoice=row, note="Wrong unit", by=owner, at=noon("2026-05-01"))
    after = figures(year, currency="USD", today=dt.date(2026, 6, 1))
    assert (after.net.minor, after.tax.minor, after.outstanding.minor) == (0, 0, 0)
    assert Invoice.objects.count() == 2
