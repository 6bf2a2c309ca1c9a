"""Tasks 5 and 8: from the fault to the customer's yes, and from ready to gone home."""

from __future__ import annotations

import re
from typing import Any
from urllib.parse import urlsplit

import pytest

from shop.bench import actions as bench
from shop.counter.stages import Stage
from shop.office.models import Authorisation, Invoice
from tests.factories.bench import on_the_bench
from tests.factories.counter import CustomerFactory
from tests.factories.dispatch import ready
from tests.factories.office import agreed
from tests.journeys.ten_tasks.counter import Screen

pytestmark = [pytest.mark.browser, pytest.mark.soak, pytest.mark.django_db(transaction=True)]

CONDITION = "Keep the old belt for me, please."


@pytest.mark.parametrize("task_named", ["5 yes"])
def test_the_customer_says_yes_with_a_condition_and_the_bench_knows(
    at_desk, at_tablet, browse: Any, set_up, task, task_named: str
) -> None:
    job = on_the_bench(set_up)
    bench.add_finding(job=job, text="Capstan motor worn, belt slack.", by=set_up)
    desk = at_desk(set_up, task)
    desk.click(desk.page.get_by_role("link", name=job.number, exact=True))
    desk.link("Money", within="main")
    desk.button("Write an estimate")
    line(desk, 0, kind="labour", description="Motor and belt, fitted", quantity="2", unit_price="90")
    line(desk, 1, kind="part", description="Motor and belt", quantity="1", unit_price="48")
    put = desk.page.get_by_role("button", name="Issue the estimate")
    desk.click(put)
    if put.count():
        # it was only kept, so that the sum is looked at
        desk.click(put)
    address = link_for_the_customer(desk)
    phone = Screen(browse(width=390, height=844, touch=True), task, begins=address)
    task.pages += 1  # the link, opened by the customer
    phone.choose("answer", "yes")
    phone.fill(conditions=CONDITION, given_by="Customer Nought")
    phone.click('label:has(input[name="meant"])')
    phone.button("Send this answer")
    given = Authorisation.objects.get(job=job)
    assert given.conditions == CONDITION
    tablet = at_tablet(set_up, task)
    task.known["the condition on the first screen"] = tablet.reads(CONDITION)
    tablet.link(f"Bench {job.number}")
    task.known["the condition at the bench"] = tablet.reads(CONDITION)
    job.refresh_from_db()
    assert job.stage == Stage.ON_THE_BENCH


def line(desk: Screen, at: int, **typed: str) -> None:
    """Fill a row of the sheet; what stands there already isn't typed again."""
    row = desk.page.locator(".sheet tbody tr").nth(at)
    for name, value in typed.items():
        box = row.locator(f'[name$="-{name}"]')
        if box.input_value() == value:
            continue
        if name == "kind":
            box.select_option(value)
        else:
            box.fill(value)
        desk.count.fields += 1


def link_for_the_customer(desk: Screen) -> str:
    """Make the link; it is shown once. Sending it is not counted: a person reads it out, or prints it."""
    button = desk.page.get_by_role("button", name=re.compile("Make a link|[Ll]ink for the customer"))
    if not button.count():
        desk.link("Job card", within="main")
    desk.click(button)
    address: str = desk.page.locator(".window-address a").inner_text()
    return urlsplit(address).path


@pytest.mark.parametrize("task_named", ["8 gone, collected"])
def test_a_ready_unit_is_paid_in_two_and_collected(at_desk, set_up, task, task_named: str) -> None:
    job = ready(set_up, accessories=("cord",), owner=CustomerFactory(regular=True))
    agreed(job, 50_000, by=set_up)
    desk = at_desk(set_up, task)
    desk.link(f"Open the job’s money {job.number}")
    desk.button("Draft the invoice")
    line(desk, 0, description="Belt fitted", quantity="1", unit_price="120")
    issue = desk.page.get_by_role("button", name="Issue the invoice")
    desk.click(issue)
    if issue.count():
        desk.click(issue)
    for amount, how in (("50", "cash"), ("70", "card")):
        desk.fill(amount=amount, how=how)
        desk.button("Take the payment")
    invoice = Invoice.objects.get()
    desk.link("Dispatch", within="main")
    desk.button("Goes back")
    desk.choose("shown", "known")
    desk.fill(collected_by="Marguerite Osei")
    desk.click('label:has(input[name="received"])')
    desk.button("Hand over")
    job.refresh_from_db()
    assert job.stage == Stage.GONE_HOME, desk.page.inner_text("main")
    assert invoice.number
