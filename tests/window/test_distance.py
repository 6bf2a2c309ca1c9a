"""A unit mailed in by a consumer in the EU or the United Kingdom: the contract is ordered, begun and taken back by its rules.

Sources: Directive 2011/83/EU Art. 8(2) (label of the button, from memory), 8(8), 9(2)(a), 11a (labels and receipt, as on
mondaq.com and in Codice del Consumo Art. 54-bis), Annex I(B); CCR 2013 (SI 2013/3134) Sch. 3 Part B, as on discover.bmw.co.uk;
Regulation 1182/71 Art. 3(4). Dates reckoned with a calendar.
"""

from __future__ import annotations

import datetime as dt
import io

import pypdfium2
import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from shop.bench import actions as bench
from shop.counter.models import HowItCame, Job
from shop.frame import clock
from shop.frame.models import ShopProfile, Staff
from shop.frame.refusal import Refusal
from shop.handbook.law.distance import EUROPEAN_UNION, UNITED_KINGDOM
from shop.keeping.models import IssuedPaper, Message
from shop.keeping.papers import stored_bytes
from shop.office import actions, queries
from shop.office.distance import contract_of
from shop.office.models import Authorisation, Estimate, OfficeRules
from shop.window.actions import open_window
from tests.factories.counter import booked_in
from tests.factories.office import european_shop, item, rates, rules, tax
from tests.factories.premises import StaffFactory
from tests.office.reading import words

pytestmark = pytest.mark.django_db
MONDAY = dt.datetime(2026, 8, 3, 9, tzinfo=dt.UTC)


@pytest.fixture
def owner() -> Staff:
    return StaffFactory()


@pytest.fixture
def mailed(owner: Staff) -> Job:
    european_shop()
    rules()
    tax("19")
    job = booked_in(by=owner)
    Job.objects.filter(pk=job.pk).update(how_it_came=HowItCame.PARCEL)
    job.refresh_from_db()
    return job


def put(job: Job, by: Staff) -> Estimate:
    draft = actions.draft_estimate(job=job, items=[item(price="100.00", currency="EUR")], by=by)
    return actions.put_estimate(estimate=draft, by=by)


def ordered(client: Client, secret: str, estimate: Estimate, **more: str) -> None:
    typed = {"estimate": str(estimate.pk), "answer": "yes", "given_by": "M. Osei", "meant": "on", **more}
    assert client.post(reverse("window:answer", args=[secret]), typed).status_code == 303


@pytest.mark.parametrize(
    "concluded, eu, uk",
    [
        (dt.date(2026, 8, 3), dt.date(2026, 8, 17), dt.date(2026, 8, 17)),  # Monday to Monday
        (dt.date(2026, 8, 1), dt.date(2026, 8, 17), dt.date(2026, 8, 15)),  # ends on a Saturday
        (dt.date(2026, 8, 2), dt.date(2026, 8, 17), dt.date(2026, 8, 16)),  # ends on a Sunday
    ],
)
def test_the_period_ends_after_fourteen_days(concluded: dt.date, eu: dt.date, uk: dt.date) -> None:
    assert EUROPEAN_UNION.last_day(concluded, concluded) == eu
    assert UNITED_KINGDOM.last_day(concluded, concluded) == uk


def test_who_was_not_told_of_the_right_has_it_for_twelve_months_more() -> None:
    """Art. 10 and reg. 31, from memory. Told on 20 August of a contract of the 3rd: fourteen days from there."""
    concluded = dt.date(2026, 8, 3)
    assert UNITED_KINGDOM.last_day(concluded, None) == dt.date(2027, 8, 17)
    assert EUROPEAN_UNION.last_day(concluded, dt.date(2026, 8, 20)) == dt.date(2026, 9, 3)
    assert EUROPEAN_UNION.last_day(concluded, dt.date(2026, 8, 1)) == dt.date(2026, 8, 17)
    assert UNITED_KINGDOM.last_day(concluded, dt.date(2027, 8, 16)) == dt.date(2027, 8, 17)


@pytest.mark.parametrize("profile, verb", [("eu", "withdraw from my/our"), ("uk", "cancel my/our")])
def test_the_estimate_brings_the_information_and_the_model_form(
    mailed: Job, owner: Staff, profile: str, verb: str
) -> None:
    ShopProfile.objects.update(law_profile=profile)
    said = words(stored_bytes(put(mailed, owner).paper))  # type: ignore[arg-type]
    assert "within 14 days without giving any reason" in said
    assert f"hereby give notice that I/We [*] {verb} [*] contract" in said
    assert "Signature of consumer(s) (only if this form is notified on paper)" in said


@pytest.mark.parametrize("count", [1, 9])
def test_lines_sum_and_signature_stand_on_the_first_page_and_the_form_with_its_information(
    mailed: Job, owner: Staff, count: int
) -> None:
    items = [item(price="10.00", currency="EUR", description=f"Work {at}") for at in range(count)]
    draft = actions.draft_estimate(job=mailed, items=items, by=owner)
    paper = actions.put_estimate(estimate=draft, by=owner).paper
    pages = [
        page.get_textpage().get_text_range()
        for page in pypdfium2.PdfDocument(io.BytesIO(stored_bytes(paper)))  # type: ignore[arg-type]
    ]
    assert [
        one for one in (f"Work {count - 1}", "Total with tax", "For the shop") if one not in pages[0]
    ] == []
    assert [one for one in ("Your right to withdraw", "Model form") if one not in pages[-1]] == []


def test_the_window_orders_by_a_button_that_binds_to_pay_and_takes_it_back_in_two_steps(
    mailed: Job, owner: Staff, client: Client
) -> None:
    with time_machine.travel(MONDAY, tick=False):
        estimate, secret = put(mailed, owner), open_window(job=mailed, by=owner)
        door = reverse("window:open", args=[secret])
        page = client.get(door).content.decode()
        assert "Order with obligation to pay" in page
        assert "Send this answer" not in page
        assert "Withdraw from contract here" not in page
        ordered(client, secret, estimate)
        contract = contract_of(mailed)
        assert contract is not None
        assert (contract.last_day, contract.begins_early) == (dt.date(2026, 8, 17), False)
        assert contract.must_wait(dt.date(2026, 8, 17))
        assert "Withdraw from contract here" in client.get(door).content.decode()
    with time_machine.travel(dt.datetime(2026, 8, 17, 20, tzinfo=dt.UTC), tick=False):
        way = reverse("window:withdraw_contract", args=[secret])
        assert "Confirm withdrawal" in client.get(way).content.decode()
        typed = {"given_by": "M. Osei", "email": "osei@example.com"}
        assert client.post(way, typed).status_code == 303
    given = Authorisation.objects.get(answer="withdrawn")
    assert (given.how, given.given_by, given.authorised_minor) == ("window", "M. Osei", 0)
    receipt = IssuedPaper.objects.get(kind="withdrawal")
    said = words(stored_bytes(receipt))
    assert "17 Aug" in said
    assert "8:00" in said or "20:00" in said
    assert Message.objects.get().paper == receipt
    assert receipt.title in client.get(door).content.decode()
    assert "Withdraw from contract here" not in client.get(door).content.decode()


def test_what_was_done_at_the_customers_request_may_still_be_charged(
    mailed: Job, owner: Staff, client: Client
) -> None:
    """Art. 14(3): in proportion to what was done; never above what was agreed."""
    estimate, secret = put(mailed, owner), open_window(job=mailed, by=owner)
    ordered(client, secret, estimate, begins_early="on")
    contract = contract_of(mailed)
    assert contract is not None
    assert contract.begins_early
    Job.objects.filter(pk=mailed.pk).update(bench_fee_minor=40_00)
    mailed.refresh_from_db()
    actions.withdraw_contract(job=mailed, given_by="M. Osei")
    assert queries.authorised_for(mailed).minor == 40_00


def test_an_addition_by_telephone_leaves_the_request_to_begin_as_it_was(mailed: Job, owner: Staff) -> None:
    """Art. 14(3): 100.00 were asked to begin with; the 50.00 that came on top were not, and aren't owed."""
    say = {"job": mailed, "given_by": "M. Osei"}
    actions.record_answer(
        answer="yes", estimate=put(mailed, owner), how="window", begins_early=True, by=None, **say
    )
    actions.record_answer(
        answer="more", how="phone", phone_called="+49 555 0100", additional_work="Belt", additional_minor=50_00,
        by=owner, **say,
    )  # fmt: skip
    contract = contract_of(mailed)
    assert contract is not None
    assert contract.must_wait(clock.today())
    rates()
    begun = clock.now() - dt.timedelta(hours=4)
    stint = bench.start_stint(job=mailed, kind="repair", by=owner, at=begun)
    bench.stop_stint(stint=stint, by=owner, at=begun + dt.timedelta(hours=1))
    actions.withdraw_contract(**say)
    assert queries.authorised_for(mailed).minor == 85_00  # an hour


@pytest.mark.parametrize("asked, ended", [(True, True), (False, False)])
def test_the_right_ends_with_the_repair_where_it_was_begun_on_request(
    mailed: Job, owner: Staff, client: Client, asked: bool, ended: bool
) -> None:
    """Art. 16(a) and reg. 36(2): performed in full, with the consumer's request and knowledge; from memory."""
    estimate, secret = put(mailed, owner), open_window(job=mailed, by=owner)
    ordered(client, secret, estimate, **({"begins_early": "on"} if asked else {}))
    Job.objects.filter(pk=mailed.pk).update(outcome="repaired", ready_at=clock.now())
    mailed.refresh_from_db()
    page = client.get(reverse("window:open", args=[secret])).content.decode()
    assert ("Withdraw from contract here" not in page) is ended
    client.force_login(owner)
    page = client.get(reverse("office:job", args=[mailed.number])).content.decode()
    assert ("the right to take it back has ended" in page) is ended
    if ended:
        with pytest.raises(Refusal, match="done entirely"):
            actions.withdraw_contract(job=mailed, given_by="M. Osei")


def test_what_was_refused_afterwards_is_no_contract(mailed: Job, owner: Staff) -> None:
    estimate = put(mailed, owner)
    for answer in ("yes", "no"):
        actions.record_answer(
            job=mailed, answer=answer, estimate=estimate, how="written", given_by="M. Osei", by=owner
        )
    assert contract_of(mailed) is None


def test_an_agreement_by_telephone_alone_told_nobody_of_the_right(
    mailed: Job, owner: Staff, client: Client
) -> None:
    actions.record_answer(
        job=mailed, answer="up_to", how="phone", phone_called="+49 555 0100", up_to_minor=90_00,
        given_by="M. Osei", by=owner,
    )  # fmt: skip
    client.force_login(owner)
    address = reverse("office:job", args=[mailed.number])
    assert "Nobody was told of the right" in client.get(address).content.decode()
    put(mailed, owner)
    contract = contract_of(mailed)
    assert contract is not None
    assert contract.informed
    assert "Nobody was told of the right" not in client.get(address).content.decode()


def test_after_the_period_nothing_is_taken_back_at_the_window(
    mailed: Job, owner: Staff, client: Client
) -> None:
    with time_machine.travel(MONDAY, tick=False):
        estimate, secret = put(mailed, owner), open_window(job=mailed, by=owner)
        ordered(client, secret, estimate)
    with time_machine.travel(dt.datetime(2026, 8, 18, 9, tzinfo=dt.UTC), tick=False):
        assert client.get(reverse("window:withdraw_contract", args=[secret])).status_code == 302
        with pytest.raises(Refusal, match="could be taken back until"):
            actions.withdraw_contract(job=mailed, given_by="M. Osei")


def test_a_no_at_the_window_orders_nothing(mailed: Job, owner: Staff, client: Client) -> None:
    estimate, secret = put(mailed, owner), open_window(job=mailed, by=owner)
    typed = {"estimate": str(estimate.pk), "no": "no", "given_by": "M. Osei", "meant": "on"}
    assert client.post(reverse("window:answer", args=[secret]), typed).status_code == 303
    assert Authorisation.objects.get().answer == "no"
    assert contract_of(mailed) is None


@pytest.mark.parametrize("what", ["carried in", "a business", "switched off", "elsewhere"])
def test_other_contracts_have_no_such_right(mailed: Job, owner: Staff, client: Client, what: str) -> None:
    match what:
        case "carried in":
            Job.objects.update(how_it_came=HowItCame.CARRIED_IN)
        case "a business":
            mailed.customer.organisation = "Lantern Room Studio"
            mailed.customer.save()
        case "switched off":
            OfficeRules.objects.update(distance_aids=False)
        case _:
            ShopProfile.objects.update(law_profile="general", country="CH")
    job = Job.objects.get(pk=mailed.pk)
    estimate = put(job, owner)
    assert "without giving any reason" not in words(stored_bytes(estimate.paper))  # type: ignore[arg-type]
    page = client.get(reverse("window:open", args=[open_window(job=job, by=owner)])).content.decode()
    assert "Send this answer" in page


def test_the_office_and_the_bench_are_told_to_wait(mailed: Job, owner: Staff, client: Client) -> None:
    estimate = put(mailed, owner)
    client.force_login(owner)
    address = reverse("office:job", args=[mailed.number])
    page = client.get(address).content.decode()
    assert "a contract at a distance" in page
    assert "Directive 2011/83/EU Art. 11a (read)" in " ".join(page.split())
    assert "Directive 2011/83/EU Art. 8(2) (from memory)" in " ".join(page.split())
    actions.record_answer(
        job=mailed, estimate=estimate, answer="yes", how="written", given_by="M. Osei", by=owner
    )
    assert "waits until the day after" in " ".join(client.get(address).content.decode().split())
    bench = client.get(reverse("bench:job", args=[mailed.number])).content.decode()
    assert "nobody asked for work to begin before" in " ".join(bench.split())
