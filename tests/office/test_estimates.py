"""Estimates: written, put, answered; a change after that is another version with a yes of its own."""

from __future__ import annotations

import datetime as dt

import pytest

from shop.bench import actions as bench
from shop.bench.models import WorkKind
from shop.counter.models import Job
from shop.counter.stages import Outcome, Stage
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.office import actions, pricing, queries
from shop.office.models import Authorisation, Estimate, FlatPrice, LineKind, OfficeRules
from shop.stockroom.actions import fit_part
from tests.factories.office import drafted, issued, item
from tests.office.reading import text_of

pytestmark = pytest.mark.django_db
NOON = dt.datetime(2026, 11, 20, 12, tzinfo=dt.UTC)


def put(job: Job, by: Staff, *prices: str, **more: object) -> Estimate:
    items = [item(price=price, description=f"Work for {price}") for price in prices]
    draft = actions.draft_estimate(job=job, items=items, by=by, **more)  # type: ignore[arg-type]
    return actions.put_estimate(estimate=draft, by=by)


def answer(job: Job, by: Staff, estimate: Estimate | None, kind: str, **more: object) -> Authorisation:
    return actions.record_answer(
        job=job,
        estimate=estimate,
        answer=kind,
        how="in_person",
        given_by="M. Osei",
        by=by,
        **more,  # type: ignore[arg-type]
    )


def worked(
    job: Job, by: Staff, minutes: int, kind: str = WorkKind.REPAIR, *, start: int = 0, **more: object
) -> None:
    begun = NOON + dt.timedelta(minutes=start)
    stint = bench.start_stint(job=job, by=by, kind=kind, at=begun, **more)  # type: ignore[arg-type]
    bench.stop_stint(stint=stint, by=by, at=begun + dt.timedelta(minutes=minutes))


def test_putting_an_estimate_sends_the_job_to_await_word_and_a_yes_brings_it_back(
    job: Job, owner: Staff
) -> None:
    estimate = put(job, owner, "100.00")
    assert (job.stage, estimate.state) == (Stage.AWAITING_WORD, Estimate.State.GIVEN)
    answer(job, owner, estimate, "yes")
    assert job.stage == Stage.ON_THE_BENCH
    assert queries.authorised_for(job).minor == 100_00


def test_a_no_makes_the_unit_ready_to_go_back_as_declined(job: Job, owner: Staff) -> None:
    answer(job, owner, put(job, owner, "100.00"), "no")
    assert (job.stage, job.outcome) == (Stage.READY, Outcome.DECLINED)
    assert queries.authorised_for(job).minor == 0


def test_a_yes_to_part_of_it_authorises_those_lines_alone(job: Job, owner: Staff) -> None:
    estimate = put(job, owner, "100.00", "40.00", "7.00")
    first, _, third = estimate.lines.all()
    answer(job, owner, estimate, "partly", accepted_lines=[first.pk, third.pk])
    assert queries.authorised_for(job).minor == 107_00
    assert [line.accepted for line in estimate.lines.all()] == [True, False, True]
    assert Estimate.objects.get().state == Estimate.State.PARTLY


def test_up_to_a_sum_authorises_that_sum(job: Job, owner: Staff) -> None:
    answer(job, owner, put(job, owner, "100.00"), "up_to", up_to_minor=80_00)
    assert queries.authorised_for(job).minor == 80_00


def test_finding_the_fault_only_authorises_its_fee(job: Job, owner: Staff) -> None:
    Job.objects.update(bench_fee_minor=45_00)
    job.refresh_from_db()
    answer(job, owner, None, "diagnosis")
    assert queries.authorised_for(job).minor == 45_00


def test_a_change_after_the_yes_is_a_new_version_that_needs_its_own_yes(job: Job, owner: Staff) -> None:
    answer(job, owner, put(job, owner, "100.00"), "yes")
    draft = actions.next_version(job=job, by=owner)
    assert draft.version == 2
    assert [line.description for line in draft.lines.all()] == ["Work for 100.00"]
    second = put(job, owner, "150.00")
    assert queries.authorised_for(job).minor == 100_00
    answer(job, owner, second, "yes")
    assert queries.authorised_for(job).minor == 150_00


def test_a_later_version_replaces_one_that_was_not_answered(job: Job, owner: Staff) -> None:
    first = put(job, owner, "100.00")
    put(job, owner, "120.00")
    first.refresh_from_db()
    assert first.state == Estimate.State.REPLACED
    with pytest.raises(Refusal, match="later version"):
        answer(job, owner, first, "yes")


def test_a_given_estimate_is_not_changed(job: Job, owner: Staff) -> None:
    estimate = put(job, owner, "100.00")
    with pytest.raises(Refusal, match="new version"):
        actions.set_lines(estimate=estimate, items=[item()], by=owner)


def test_an_answer_after_the_estimate_has_run_out_is_refused(job: Job, owner: Staff) -> None:
    OfficeRules.objects.update(estimate_days=10)
    draft = actions.draft_estimate(job=job, items=[item()], by=owner, at=NOON)
    estimate = actions.put_estimate(estimate=draft, by=owner, at=NOON)
    assert estimate.valid_until == dt.date(2026, 11, 30)
    with pytest.raises(Refusal, match="stood until 2026-11-30"):
        answer(job, owner, estimate, "yes", at=NOON + dt.timedelta(days=11))


def test_the_paper_of_an_estimate_says_how_long_it_stands_and_names_no_minimum(
    job: Job, owner: Staff
) -> None:
    """16 CCR 2722: not described with a minimum amount."""
    printed = text_of(put(job, owner, "100.00", days_needed=12).paper)
    assert "Valid until" in printed
    assert "Work for 100.00" in printed
    assert "12" in printed
    assert " from $" not in printed


# --- what is recorded, priced -----------------------------------------------------------------------------


def test_an_estimate_begins_with_the_stints_and_the_parts_of_the_job(job: Job, owner: Staff) -> None:
    """50 min in tenths upward are 0.9 h (common practice, no source): 76.50; the part at its price."""
    worked(job, owner, 50)
    fit_part(
        job=job, by=owner, description="Belt", unit_price_ten_thousandths=125_000, state="used", position="M1"
    )
    estimate = actions.draft_estimate(job=job, by=owner)
    lines = [(line.kind, line.description, line.amount_minor) for line in estimate.lines.all()]
    assert lines == [("labour", "Repair", 76_50), ("part", "Belt (M1)", 12_50)]


def test_hours_are_rounded_once_for_the_job_and_not_for_each_stint(job: Job, owner: Staff) -> None:
    """Three stints of 2 minutes are 6 minutes, one tenth of an hour; each by itself would be three tenths."""
    for start in (0, 10, 20):
        worked(job, owner, 2, start=start)
    assert pricing.items_of(job, on=NOON.date())[0].quantity_thousandths == 100


@pytest.mark.parametrize("rounding, thousandths", [("exact", 833), ("tenths", 900), ("quarters", 1000)])
def test_the_shop_chooses_how_hours_are_rounded(
    job: Job, owner: Staff, rounding: str, thousandths: int
) -> None:
    OfficeRules.objects.update(rounding=rounding)
    worked(job, owner, 50)
    assert pricing.items_of(job, on=NOON.date())[0].quantity_thousandths == thousandths


def test_unbilled_time_is_left_out_and_warranty_time_is_shown_at_nothing(job: Job, owner: Staff) -> None:
    """16 CCR 2725(j): labour under warranty is described too."""
    worked(job, owner, 30, WorkKind.UNBILLED)
    worked(job, owner, 30, start=40, under_warranty=True)
    (only,) = pricing.items_of(job, on=NOON.date())
    assert only.under_warranty
    assert only.amount.minor == 0


def test_the_minimum_charge_fills_up_what_little_work_comes_to(job: Job, owner: Staff) -> None:
    OfficeRules.objects.update(minimum_minor=30_00)
    worked(job, owner, 6)
    assert [one.amount.minor for one in pricing.items_of(job, on=NOON.date())] == [8_50, 21_50]


def test_a_flat_price_stands_for_the_hours_of_the_work_that_it_covers(job: Job, owner: Staff) -> None:
    flat = actions.add_flat_price(
        name="Head cleaning", price_ten_thousandths=350_000, covers=[WorkKind.CLEANING], by=owner
    )
    worked(job, owner, 60, WorkKind.CLEANING)
    worked(job, owner, 30, start=70)
    actions.choose_flat_price(job=job, flat=flat, by=owner)
    lines = [(one.description, one.amount.minor) for one in pricing.items_of(job, on=NOON.date())]
    assert lines == [("Head cleaning", 35_00), ("Repair", 42_50)]


def test_a_flat_price_that_changes_later_leaves_written_lines_alone(job: Job, owner: Staff) -> None:
    flat = actions.add_flat_price(name="Belt set", price_ten_thousandths=350_000, by=owner)
    actions.choose_flat_price(job=job, flat=flat, by=owner)
    estimate = actions.draft_estimate(job=job, by=owner)
    actions.change_flat_price(flat=flat, price_ten_thousandths=990_000, by=owner)
    assert estimate.lines.get().amount_minor == 35_00
    assert FlatPrice.objects.get().price_ten_thousandths == 990_000


def test_a_second_invoice_charges_only_what_was_done_since_the_first(job: Job, owner: Staff) -> None:
    worked(job, owner, 60)
    issued(job, pricing.items_of(job, on=NOON.date()), by=owner, at=NOON + dt.timedelta(hours=2))
    worked(job, owner, 30, start=180)
    draft = drafted(job, None, by=owner, at=NOON + dt.timedelta(hours=6))
    assert [line.amount_minor for line in draft.lines.all()] == [42_50]


def test_a_kind_of_work_without_a_rate_is_said_and_not_given_away(job: Job, owner: Staff) -> None:
    from shop.office.models import LabourRate  # noqa: PLC0415

    LabourRate.objects.all().delete()
    worked(job, owner, 60)
    with pytest.raises(Refusal, match="hourly rates"):
        actions.draft_estimate(job=job, by=owner)


def test_a_stint_that_overlaps_or_was_forgotten_is_noticed_and_not_mended(job: Job, owner: Staff) -> None:
    from shop.bench.models import Stint  # noqa: PLC0415

    worked(job, owner, 60)
    overlapping = Stint.objects.create(
        job=job,
        by=owner,
        started_at=NOON + dt.timedelta(minutes=30),
        stopped_at=NOON + dt.timedelta(minutes=90),
    )
    forgotten = Stint.objects.create(job=job, by=owner, started_at=NOON + dt.timedelta(hours=2))
    troubles = queries.stint_troubles_of(job, now=NOON + dt.timedelta(hours=14))
    sentences = [one.sentence for one in troubles]
    assert sentences == [
        "Two stints of one person lie over each other for 30 min.",
        "A stint has been running for 12 h 00 min.",
    ]
    overlapping.refresh_from_db()
    forgotten.refresh_from_db()
    assert not overlapping.mended
    assert forgotten.stopped_at is None


def test_a_clock_that_runs_on_a_unit_that_is_ready_is_noticed_before_it_is_invoiced(
    job: Job, owner: Staff
) -> None:
    from shop.bench.models import Stint  # noqa: PLC0415

    Stint.objects.create(job=job, by=owner, started_at=NOON)
    soon = NOON + dt.timedelta(minutes=5)
    assert queries.stint_troubles_of(job, now=soon) == []
    Job.objects.filter(pk=job.pk).update(stage="ready")
    assert [one.sentence for one in queries.stint_troubles_of(job, now=soon)] == [
        "A stint has been running for 5 min."
    ]


def test_a_long_stint_that_somebody_has_put_right_is_not_asked_about_again(job: Job, owner: Staff) -> None:
    worked(job, owner, 8 * 60)
    (trouble,) = queries.stint_troubles_of(job, now=NOON + dt.timedelta(days=1))
    (stint,) = trouble.stints
    bench.mend_stint(stint=stint, started_at=NOON, stopped_at=NOON + dt.timedelta(hours=7), by=owner)
    assert queries.stint_troubles_of(job, now=NOON + dt.timedelta(days=1)) == []


def test_the_bench_fee_takes_the_place_of_the_hours_of_finding_the_fault(job: Job, owner: Staff) -> None:
    Job.objects.update(bench_fee_minor=45_00)
    job.refresh_from_db()
    worked(job, owner, 60, WorkKind.DIAGNOSIS)
    (fee,) = pricing.items_of(job, on=NOON.date())
    assert (fee.kind, fee.amount.minor) == (LineKind.BENCH_FEE, 45_00)
