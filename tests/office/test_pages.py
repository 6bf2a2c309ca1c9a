"""The office in the browser's eyes: each page and each form, taken, refused, and sent twice."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from shop.counter.models import Customer, Job
from shop.counter.stages import Stage
from shop.frame.models import Role, Staff
from shop.office import actions
from shop.office.models import (
    Authorisation,
    Estimate,
    EstimateLine,
    Invoice,
    LabourRate,
    Payment,
    ReleaseUnpaid,
    TaxRule,
)
from tests.factories.office import another_job, issued, item
from tests.factories.premises import StaffFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(owner: Staff) -> Client:
    client = Client()
    client.force_login(owner)
    return client


def sheet(*rows: dict[str, str], **more: str) -> dict[str, str]:
    """The fields of a sheet of lines as a browser sends them."""
    data = {"count": str(len(rows)), "once": str(uuid.uuid4()), **more}
    for at, row in enumerate(rows):
        data |= {f"l{at}-{name}": value for name, value in {"unit": "pc", **row}.items()}
    return data


LABOUR = {"kind": "labour", "description": "Repair", "quantity": "1.5", "unit": "h", "unit_price": "85"}
PART = {"kind": "part", "description": "Belt", "quantity": "1", "unit_price": "12.50", "part_state": "used"}


def post(desk: Client, job: Job, act: str, data: dict[str, Any] | None = None) -> Any:
    return desk.post(f"/office/jobs/{job.number}/{act}/", data or {"once": str(uuid.uuid4())})


def test_a_job_goes_from_its_estimate_to_the_paid_invoice_by_forms_alone(desk: Client, job: Job) -> None:
    assert desk.get("/office/").status_code == 200
    assert post(desk, job, "estimate").status_code == 303
    answer = post(desk, job, "estimate/lines", sheet(LABOUR, PART, days_needed="10"))
    assert answer.status_code == 303, answer.content.decode()
    assert desk.get(f"/office/jobs/{job.number}/estimate/preview/")["Content-Type"] == "application/pdf"
    assert post(desk, job, "estimate/put").status_code == 303
    estimate = Estimate.objects.get()
    assert (estimate.state, estimate.total_minor, estimate.tax_minor) == ("given", 140_00, 1_03)
    page = desk.get(f"/office/jobs/{job.number}/")
    assert b"Record the answer" in page.content
    given = {
        "answer": "yes",
        "how": "phone",
        "given_by": "Marguerite Osei",
        "phone_called": "555-0117",
        "once": str(uuid.uuid4()),
    }
    assert post(desk, job, "answer", given).status_code == 303
    job.refresh_from_db()
    assert job.stage == Stage.ON_THE_BENCH
    deposit = {"deposit-amount": "40", "deposit-how": "cash", "deposit-once": str(uuid.uuid4())}
    assert post(desk, job, "deposit", deposit).status_code == 303
    assert post(desk, job, "invoice").status_code == 303
    draft = Invoice.objects.get()
    assert desk.post(f"/office/invoices/{draft.pk}/lines/", sheet(LABOUR, PART)).status_code == 303
    assert desk.get(f"/office/invoices/{draft.pk}/preview/").content.startswith(b"%PDF")
    assert desk.post(f"/office/invoices/{draft.pk}/issue/", {"once": str(uuid.uuid4())}).status_code == 303
    draft.refresh_from_db()
    assert (draft.total_minor, draft.prepaid_minor) == (141_03, 40_00)
    paid = {"payment-amount": "101.03", "payment-how": "card", "payment-once": str(uuid.uuid4())}
    assert desk.post(f"/office/invoices/{draft.pk}/payment/", paid).status_code == 303
    assert Payment.objects.count() == 2
    assert Authorisation.objects.get().phone_called == "555-0117"
    assert b"Every invoice is paid" in desk.get("/office/").content


# --- wrong forms ------------------------------------------------------------------------------------------

WRONG_LINES = {
    "a negative quantity": ({"quantity": "-2"}, "quantity"),
    "no number": ({"unit_price": "4k7"}, "4k7"),
    "far beyond any price": ({"unit_price": "1e309"}, "1e309"),
    "five decimals": ({"unit_price": "1.00001"}, "too many decimals"),
    "a price without words": ({"description": ""}, "Say what this line is for."),
    "words without a price": ({"unit_price": ""}, "Say the price of one"),
    "a minimum amount": ({"description": "Repair from $80"}, "16 CCR 2722"),
    "a kind that there isn’t": ({"kind": "magic"}, "Choose one of"),
    "ten thousand letters": ({"description": "x" * 10_000}, "300"),
}


@pytest.mark.parametrize("wrong, sentence", WRONG_LINES.values(), ids=WRONG_LINES.keys())
def test_a_wrong_line_gets_a_sentence_keeps_what_was_typed_and_saves_nothing(
    desk: Client, job: Job, wrong: dict[str, str], sentence: str
) -> None:
    post(desk, job, "estimate")
    before = list(EstimateLine.objects.values_list("description", "amount_minor"))
    answer = post(desk, job, "estimate/lines", sheet({**LABOUR, **wrong}, PART))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page
    assert page.count("field-error") >= 1
    assert 'value="12.50"' in page, "the other line is kept too"
    assert list(EstimateLine.objects.values_list("description", "amount_minor")) == before


WRONG_FORMS: dict[str, tuple[str, dict[str, str], str]] = {
    "an answer by nobody": ("answer", {"answer": "yes", "how": "in_person", "given_by": ""}, "is missing"),
    "a phone call without its number": (
        "answer",
        {"answer": "yes", "how": "phone", "given_by": "M. Osei"},
        "Note the phone number called",
    ),
    "up to nothing said": (
        "answer",
        {"answer": "up_to", "how": "in_person", "given_by": "M. Osei"},
        "Say up to which sum.",
    ),
    "a typed name that nobody ticked": (
        "answer",
        {"answer": "yes", "how": "signed", "given_by": "M. Osei"},
        "Let the person check the box",
    ),
    "more work without its cost": (
        "answer",
        {"answer": "yes", "how": "in_person", "given_by": "M. Osei", "additional_work": "a motor"},
        "Say what the additional work costs",
    ),
    "a deposit of nothing": ("deposit", {"deposit-amount": "0", "deposit-how": "cash"}, "too little"),
    "a deposit below nothing": ("deposit", {"deposit-amount": "-5", "deposit-how": "cash"}, "too little"),
    "a deposit in letters": ("deposit", {"deposit-amount": "forty", "deposit-how": "cash"}, "forty"),
    "a refund of what is not there": ("refund", {"refund-amount": "5", "refund-how": "cash"}, "No more than"),
    "a release without a reason": ("release", {"release-reason": "  "}, "is missing"),
}


@pytest.mark.parametrize("act, data, sentence", WRONG_FORMS.values(), ids=WRONG_FORMS.keys())
def test_a_wrong_form_gets_a_sentence_and_saves_nothing(
    desk: Client, job: Job, act: str, data: dict[str, str], sentence: str
) -> None:
    answer = post(desk, job, act, data)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    for value in filter(str.strip, data.values()):
        assert value in answer.content.decode()
    for model in (Authorisation, Payment, ReleaseUnpaid):
        assert not model.objects.exists()


def test_an_invoice_above_what_was_authorised_is_refused_on_its_page(desk: Client, job: Job) -> None:
    post(desk, job, "invoice")
    draft = Invoice.objects.get()
    desk.post(f"/office/invoices/{draft.pk}/lines/", sheet(LABOUR))
    answer = desk.post(f"/office/invoices/{draft.pk}/issue/", {"once": str(uuid.uuid4())})
    assert answer.status_code == 422
    assert "record the customer" in answer.content.decode()
    assert not Invoice.objects.filter(issued_at__isnull=False).exists()


def test_lines_typed_and_not_kept_are_kept_before_anything_is_put_or_issued(desk: Client, job: Job) -> None:
    post(desk, job, "estimate")
    post(desk, job, "estimate/put", sheet(LABOUR))
    estimate = Estimate.objects.get()
    assert (estimate.state, estimate.total_minor) == ("draft", 127_50)
    post(desk, job, "estimate/put", sheet(LABOUR))
    assert Estimate.objects.get().state == "given"


def test_a_removed_row_is_gone_whatever_stands_in_it(desk: Client, job: Job) -> None:
    post(desk, job, "estimate")
    gone = {**PART, "unit_price": "nonsense", "remove": "on"}
    assert post(desk, job, "estimate/lines", sheet(LABOUR, gone)).status_code == 303
    assert EstimateLine.objects.get().description == "Repair"


def test_the_same_form_sent_twice_does_it_once(desk: Client, job: Job) -> None:
    data = {"deposit-amount": "40", "deposit-how": "cash", "deposit-once": str(uuid.uuid4())}
    assert [post(desk, job, "deposit", data).status_code for _ in range(2)] == [303, 303]
    assert Payment.objects.count() == 1
    key = {"once": str(uuid.uuid4())}
    first, second = (post(desk, job, "invoice", key) for _ in range(2))
    assert first.headers["Location"] == second.headers["Location"]
    assert Invoice.objects.count() == 1


def test_a_tax_rule_without_its_source_or_with_a_rate_that_cant_be_is_not_entered(
    desk: Client, job: Job
) -> None:
    rule = {"name": "VAT", "kinds": ["part"], "category": "S", "percent": "19", "from_date": "2027-01-01"}
    assert desk.post("/office/taxes/", rule).status_code == 422
    wrong = desk.post("/office/taxes/", {**rule, "source": "invented", "percent": "119"})
    assert wrong.status_code == 422
    assert "from 0 to 100 percent" in wrong.content.decode()
    far = desk.post("/office/taxes/", {**rule, "source": "invented", "from_date": "2265-01-01"})
    assert far.status_code == 422
    assert TaxRule.objects.count() == 1


def test_rates_that_cant_be_read_are_not_set(desk: Client, job: Job) -> None:
    count = LabourRate.objects.count()
    answer = desk.post("/office/rates/", {"from_date": "2027-01-01", "repair": "much"})
    assert answer.status_code == 422
    assert "much" in answer.content.decode()
    assert LabourRate.objects.count() == count


# --- doors and counts ----------------------------------------------------------------------------------------

PAGES = ("/office/", "/office/rules/", "/office/rates/", "/office/flat-prices/", "/office/taxes/",
         "/office/figures/", "/office/figures.csv", "/office/law/")  # fmt: skip


@pytest.mark.parametrize("address", PAGES)
def test_every_page_opens_for_the_owner_within_a_bounded_number_of_queries(
    desk: Client, job: Job, address: str, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    with django_assert_max_num_queries(25):
        assert desk.get(address).status_code == 200


@pytest.mark.parametrize(
    "address", ["/office/rules/", "/office/taxes/", "/office/figures/", "/office/figures.csv"]
)
def test_the_counter_may_not_set_rules_nor_see_the_books(job: Job, address: str) -> None:
    clerk = Client()
    clerk.force_login(StaffFactory(roles=[Role.COUNTER]))
    assert clerk.get(address).status_code == 403
    assert clerk.get("/office/").status_code == 200


def test_the_bench_alone_does_not_enter_the_office_and_a_stranger_has_to_sign_in(job: Job) -> None:
    technician = Client()
    technician.force_login(StaffFactory(roles=[Role.BENCH]))
    assert technician.get("/office/").status_code == 403
    assert Client().get("/office/").status_code == 302


def test_the_lists_cost_the_same_for_one_row_and_for_many(
    desk: Client, job: Job, owner: Staff, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    issued(job, [item()], by=owner)
    with django_assert_max_num_queries(25) as one:
        desk.get("/office/?list=due")
    for _ in range(12):
        other = another_job(job.customer, by=owner)
        issued(other, [item()], by=owner)
    with django_assert_max_num_queries(25) as many:
        page = desk.get("/office/?list=due").content.decode()
    assert page.count("/office/invoices/") == 14
    assert len(one) == len(many)


def test_a_job_with_much_money_on_it_is_shown_in_a_bounded_number_of_queries(
    desk: Client, job: Job, owner: Staff, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for _ in range(3):
        row = issued(job, [item(), item("part", "9.00")], by=owner)
        actions.credit(invoice=row, note="again", by=owner)
    with django_assert_max_num_queries(45):
        assert desk.get(f"/office/jobs/{job.number}/").status_code == 200


def test_the_open_list_goes_on_by_key_and_a_key_that_cant_be_read_begins_at_the_top(
    desk: Client, job: Job, owner: Staff, monkeypatch: pytest.MonkeyPatch
) -> None:
    from shop.office.queries import lists  # noqa: PLC0415

    monkeypatch.setattr(lists, "PAGE_ROWS", 2)
    rows = [issued(another_job(job.customer, by=owner), [item()], by=owner) for _ in range(3)]
    first = lists.OPEN_LISTS[2].page()
    assert [row.pk for row in first.rows] == [row.pk for row in rows[:2]]
    second = lists.OPEN_LISTS[2].page(first.next_key)
    assert [row.pk for row in second.rows] == [rows[2].pk]
    assert second.next_key == ""
    assert desk.get("/office/?list=due&after=nonsense").status_code == 200


def test_the_account_of_a_customer_shows_what_is_open_and_takes_a_tax_standing(
    desk: Client, job: Job, owner: Staff
) -> None:
    row = issued(job, [item()], by=owner)
    address = f"/office/customers/{job.customer_id}/"
    assert row.number in desk.get(address).content.decode()
    wrong = desk.post(f"{address}tax/", {"tax_standing": "exempt", "tax_number": ""})
    assert wrong.status_code == 422
    assert "Note the certificate" in wrong.content.decode()
    assert desk.post(f"{address}tax/", {"tax_standing": "exempt", "tax_number": "no. 7"}).status_code == 303
    assert Customer.objects.get(pk=job.customer_id).tax_standing == "exempt"


def test_an_answer_to_an_estimate_that_was_replaced_meanwhile_is_not_written_down(
    desk: Client, job: Job, owner: Staff
) -> None:
    shown = []
    for _ in range(2):
        draft = actions.draft_estimate(job=job, by=owner, items=[item()])
        shown.append(actions.put_estimate(estimate=draft, by=owner).pk)
    said = {"answer": "yes", "how": "in_person", "given_by": "Odalys Fennimore"}
    answer = post(desk, job, "answer", {**said, "estimate": shown[0]})
    assert answer.status_code == 422
    assert "Another estimate stands here by now" in answer.content.decode()
    assert not Authorisation.objects.exists()
    assert post(desk, job, "answer", {**said, "estimate": shown[1]}).status_code == 303


def test_all_invoices_stand_in_one_list_sorted_filtered_and_as_a_file(
    desk: Client, job: Job, owner: Staff
) -> None:
    """85.00 unpaid, 20.00 paid, 50.00 credited by a note: by total, by filter, and in the file with what is open."""
    open_one = issued(job, [item()], by=owner)
    paid = issued(job, [item(price="20.00", description="Belt")], by=owner)
    actions.take_payment(customer=job.customer, invoice=paid, amount_minor=20_00, how="cash", by=owner)
    wrong = issued(job, [item(price="50.00", description="Wrong")], by=owner)
    note = actions.credit(invoice=wrong, note="wrong", by=owner)

    def shown(**asked: str) -> list[Invoice]:
        return list(desk.get("/office/invoices/", asked).context["order"].rows)

    assert shown() == [note, wrong, paid, open_one]
    assert shown(sort="total") == [note, paid, wrong, open_one]
    assert shown(sort="open", down="") == [open_one, note, wrong, paid]
    for which, rows in (
        ("unpaid", [open_one]), ("paid", [paid]), ("credited", [wrong]), ("credit-notes", [note]), ("drafts", []),
        ("no such filter", [note, wrong, paid, open_one]),
    ):  # fmt: skip
        assert shown(which=which) == rows
    file = desk.get("/office/invoices.csv", {"which": "unpaid"}).content.decode("utf-8-sig").splitlines()
    assert file[0].startswith("number,kind,customer,dated,due,before tax,tax,total,open,currency")
    assert file[1].split(",")[-2:] == ["85.00", "USD"]
    assert len(file) == 2


def test_the_lists_of_the_office_are_sorted_by_their_heads(desk: Client, job: Job, owner: Staff) -> None:
    for price in ("20.00", "85.00", "50.00"):
        issued(job, [item(price=price, description=f"For {price}")], by=owner)
    page = desk.get("/office/", {"list": "due", "sort": "total", "down": ""})
    ((_page, order),) = page.context["pages"]
    assert [row.total_minor for row in order.rows] == [85_00, 50_00, 20_00]
    assert "?list=due&amp;sort=customer" in desk.get("/office/").content.decode()
