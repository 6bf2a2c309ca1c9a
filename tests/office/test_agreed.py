"""What is agreed is a ledger: each answer does one thing, and whoever asks gets the same sum.

Sources: 16 CCR 2722 (no charge above the written estimate without prior consent; how oral consent is noted); B&P 9844 (the
estimate is written; from memory) and 9844.5 (no right to hold the unit above the estimate and its documented revision).
How one answer follows another was worked by hand.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from shop.bench import actions as bench
from shop.counter import actions as counter
from shop.counter.actions.intake import UnitDescribed
from shop.counter.models import Job
from shop.counter.stages import Outcome, Stage
from shop.frame.models import ShopProfile, Staff
from shop.frame.refusal import Refusal
from shop.office import actions, queries
from shop.office.models import Authorisation, Estimate
from shop.office.unclaimed import left_unit
from shop.window.actions import open_window
from tests.factories.counter import booked_in
from tests.factories.office import item

pytestmark = pytest.mark.django_db
MORE: dict[str, Any] = {
    "how": "phone",
    "phone_called": "555-0117",
    "additional_work": "a motor and its fitting",
}


def put(job: Job, by: Staff, *prices: str) -> Estimate:
    items = [item(price=price, description=f"Work for {price}") for price in prices]
    return actions.put_estimate(estimate=actions.draft_estimate(job=job, items=items, by=by), by=by)


def said(job: Job, by: Staff, answer: str, estimate: Estimate | None = None, **more: Any) -> Authorisation:
    facts = {"how": "in_person", "given_by": "M. Osei", **more}
    return actions.record_answer(job=job, estimate=estimate, answer=answer, by=by, **facts)


def agreed(job: Job) -> int:
    return queries.authorised_for(job).minor


@pytest.mark.parametrize("word", ["more", "yes"])
def test_an_addition_comes_on_top_of_what_stood_and_so_does_the_next(
    job: Job, owner: Staff, word: str
) -> None:
    said(job, owner, "yes", put(job, owner, "200.00"))
    assert said(job, owner, word, additional_minor=50_00, **MORE).authorised_minor == 250_00
    assert said(job, owner, word, additional_minor=10_00, **MORE).authorised_minor == 260_00
    assert agreed(job) == 260_00


def test_a_no_to_a_second_version_leaves_the_yes_to_the_first(job: Job, owner: Staff) -> None:
    said(job, owner, "yes", put(job, owner, "200.00"))
    said(job, owner, "no", put(job, owner, "350.00"))
    assert agreed(job) == 200_00
    assert (job.stage, job.outcome) == (Stage.ON_THE_BENCH, "")
    assert [one.state for one in Estimate.objects.order_by("version")] == ["accepted", "declined"]


def test_who_says_yes_to_a_version_and_later_no_to_it_is_back_where_they_were(job: Job, owner: Staff) -> None:
    said(job, owner, "yes", put(job, owner, "200.00"))
    said(job, owner, "more", additional_minor=50_00, **MORE)
    second = put(job, owner, "400.00")
    said(job, owner, "yes", second)
    assert agreed(job) == 400_00
    said(job, owner, "no", second)
    assert agreed(job) == 250_00


def test_lines_of_a_second_version_are_added_to_what_stood(job: Job, owner: Staff) -> None:
    said(job, owner, "yes", put(job, owner, "200.00"))
    second = put(job, owner, "200.00", "60.00")
    extra = second.lines.last()
    assert extra is not None
    said(job, owner, "more", second, accepted_lines=[extra.pk])
    assert agreed(job) == 260_00
    second.refresh_from_db()
    assert second.state == Estimate.State.PARTLY


def test_a_limit_stands_instead_of_what_stood(job: Job, owner: Staff) -> None:
    said(job, owner, "yes", put(job, owner, "200.00"))
    said(job, owner, "up_to", up_to_minor=120_00)
    assert agreed(job) == 120_00


def test_a_withdrawal_takes_everything_back_but_the_bench_fee(job: Job, owner: Staff) -> None:
    Job.objects.update(bench_fee_minor=45_00)
    job.refresh_from_db()
    said(job, owner, "yes", put(job, owner, "200.00"))
    put(job, owner, "350.00")
    said(job, owner, "withdrawn")
    assert agreed(job) == 45_00
    assert (job.stage, job.outcome) == (Stage.READY, Outcome.DECLINED)
    assert {one.state for one in Estimate.objects.all()} == {"declined"}


def test_what_was_done_before_a_withdrawal_may_be_charged_where_the_customer_says_so(
    job: Job, owner: Staff
) -> None:
    said(job, owner, "yes", put(job, owner, "200.00"))
    assert said(job, owner, "withdrawn", up_to_minor=85_00).authorised_minor == 85_00


def test_a_no_where_no_estimate_is_asked_about_takes_everything_back(job: Job, owner: Staff) -> None:
    said(job, owner, "yes", put(job, owner, "200.00"))
    assert said(job, owner, "no").answer == "withdrawn"
    assert agreed(job) == 0


def test_a_yes_to_nothing_in_particular_is_asked_what_it_means(job: Job, owner: Staff) -> None:
    said(job, owner, "yes", put(job, owner, "200.00"))
    for answer in ("yes", "partly"):
        with pytest.raises(Refusal, match="No estimate is with the customer"):
            said(job, owner, answer)
    with pytest.raises(Refusal, match="what the additional work costs"):
        said(job, owner, "more")
    assert agreed(job) == 200_00


def test_an_addition_while_an_estimate_waits_leaves_that_unanswered(job: Job, owner: Staff) -> None:
    said(job, owner, "yes", put(job, owner, "200.00"))
    second = put(job, owner, "350.00")
    said(job, owner, "more", second, additional_minor=20_00, **MORE)
    second.refresh_from_db()
    assert (agreed(job), second.state, job.stage) == (220_00, "given", Stage.AWAITING_WORD)
    assert Job.objects.get(pk=job.pk).answer_owed_since is not None


def test_screen_bench_paper_and_invoice_say_the_same_sum(job: Job, owner: Staff, client: Client) -> None:
    client.force_login(owner)
    said(job, owner, "yes", put(job, owner, "200.00"))
    said(job, owner, "more", additional_minor=50_00, **MORE)
    assert queries.money_of(job).authorised.minor == 250_00
    for address in (reverse("office:job", args=[job.number]), reverse("bench:job", args=[job.number])):
        assert "$250.00" in client.get(address).content.decode()
    draft = actions.draft_invoice(customer=job.customer, jobs=[job], items=[item(price="250.01")], by=owner)
    with pytest.raises(Refusal, match=r"0\.01 USD above the 250\.00 USD"):
        actions.issue_invoice(invoice=draft, by=owner)


# --- what only some places ask ------------------------------------------------------------------------------


def oral_limit(job: Job, by: Staff) -> None:
    said(job, by, "up_to", up_to_minor=500_00, how="phone", phone_called="555-0117")


def issue(job: Job, by: Staff, price: str = "85.00") -> Any:
    draft = actions.draft_invoice(customer=job.customer, jobs=[job], items=[item(price=price)], by=by)
    return actions.issue_invoice(invoice=draft, by=by)


def test_an_oral_up_to_without_a_written_estimate_is_not_enough_in_california(job: Job, owner: Staff) -> None:
    """B&P 9844 (from memory): the estimate is given in writing."""
    oral_limit(job, owner)
    with pytest.raises(Refusal, match=r"word of mouth alone.*B&P 9844"):
        issue(job, owner)


@pytest.mark.parametrize("law", ["us", "uk", "eu", "none"])
def test_elsewhere_an_oral_up_to_is_enough_and_nobody_reads_of_california(
    job: Job, owner: Staff, law: str
) -> None:
    ShopProfile.objects.update(law_profile=law)
    oral_limit(job, owner)
    issue(job, owner)
    with pytest.raises(Refusal) as refused:
        issue(job, owner, "600.00")
    assert "further yes" in refused.value.sentence
    assert "CCR" not in refused.value.sentence


def test_the_limit_on_the_claim_check_is_a_written_one(job: Job, owner: Staff) -> None:
    Job.objects.update(limit_minor=100_00)
    job.refresh_from_db()
    issue(job, owner)


def ready(job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(
        stage=Stage.READY, outcome="repaired", ready_at=dt.datetime(2026, 3, 1, 12, tzinfo=dt.UTC)
    )
    job.refresh_from_db()


@pytest.mark.parametrize("documented", [True, False])
def test_a_documented_oral_addition_counts_for_the_right_to_hold_the_unit(
    job: Job, owner: Staff, documented: bool
) -> None:
    """B&P 9844.5: charges within the written estimate and its documented revision leave that right."""
    said(job, owner, "yes", put(job, owner, "200.00"))
    if documented:
        said(job, owner, "more", additional_minor=50_00, **MORE)
    else:  # the limit is told, what is done for it is not
        said(job, owner, "up_to", up_to_minor=250_00)
    issue(job, owner, "250.00")
    ready(job)
    ways = left_unit(job, on=dt.date(2026, 6, 1)).timelines
    assert any("9844.5" in obstacle for way in ways for obstacle in way.obstacles) is not documented


def test_an_estimate_that_was_refused_gives_no_right_to_hold_the_unit(job: Job, owner: Staff) -> None:
    said(job, owner, "yes", put(job, owner, "200.00"))
    said(job, owner, "no", put(job, owner, "900.00"))
    assert queries.agreed_on(job).may_be_held_for.minor == 200_00


# --- the counter's sums -------------------------------------------------------------------------------------


def lifted(job: Job, by: Staff) -> None:
    unit = job.unit
    described = UnitDescribed(
        maker=unit.model.maker.name,
        model=unit.model.name,
        kind=unit.model.kind,
        serial=unit.serial,
        mains=unit.mains,
        line_voltage=unit.line_voltage,
        protection_class=unit.protection_class,
    )
    counter.put_right(job=job, described=described, facts={"limit_minor": 5_000_00}, by=by)


def test_an_agreed_limit_is_not_lifted_by_hand_once_the_bench_has_worked(job: Job, owner: Staff) -> None:
    fresh = booked_in(by=owner)
    lifted(fresh, owner)
    assert fresh.limit_minor == 5_000_00
    bench.put_back_on_shelf(job=job, by=owner)
    assert job.stage == Stage.BOOKED_IN
    with pytest.raises(Refusal, match="recorded in the office"):
        lifted(job, owner)


def test_an_agreed_limit_is_not_lifted_by_hand_once_an_answer_rests_on_it(owner: Staff, job: Job) -> None:
    fresh = booked_in(by=owner)
    said(fresh, owner, "more", additional_minor=50_00, **MORE)
    with pytest.raises(Refusal, match="recorded in the office"):
        lifted(fresh, owner)


# --- the window ---------------------------------------------------------------------------------------------


def test_at_the_window_a_no_to_more_is_told_apart_from_no_repair_at_all(
    job: Job, owner: Staff, client: Client
) -> None:
    said(job, owner, "yes", put(job, owner, "200.00"))
    second = put(job, owner, "350.00")
    secret = open_window(job=job, by=owner)
    page = client.get(reverse("window:open", args=[secret])).content.decode()
    assert "what I agreed to before stands" in page
    typed = {"answer": "no", "given_by": "M. Osei", "meant": "on", "estimate": second.pk}
    client.post(reverse("window:answer", args=[secret]), typed)
    job.refresh_from_db()
    assert (job.stage, agreed(job)) == (Stage.ON_THE_BENCH, 200_00)
