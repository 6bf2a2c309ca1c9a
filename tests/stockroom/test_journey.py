"""A part is missing: ordered at the desk, received, fitted on the tablet, and the unit goes home although something is missing.

The bench and the counting of what came by touch at 820×1180, the ordering and the parcel at 1280×800; with scripts and without.
The invoice in between is the office's own journey and is made by its actions here.
"""

from __future__ import annotations

import io
import re
from typing import Any

import pypdf
import pytest

from shop.counter.actions import AccessoryTaken
from shop.counter.models import Job
from shop.counter.stages import Stage
from shop.dispatch.models import GoingBack, Parcel
from shop.frame.journal import verify
from shop.frame.models import JournalEntry
from shop.keeping.models import Message
from shop.keeping.papers import stored_bytes
from shop.office import actions as office
from shop.stockroom.models import Order, PartFitted, PartWanted
from tests.factories.counter import CustomerFactory, UnitFactory, UnitModelFactory, booked_in
from tests.factories.office import agreed, rates, sales_tax
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.factories.stockroom import a_part, a_supplier, left

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def touch(target: Any) -> None:
    """A finger on the tablet, the mouse at the desk."""
    target.scroll_into_view_if_needed()
    if target.page.viewport_size["width"] < 1000:
        target.tap()
    else:
        target.click()


def press(page: Any, button: Any) -> None:
    """Press a button that writes, and wait until the journal says so."""
    written = JournalEntry.objects.count()
    touch(button)
    for _ in range(200):
        if JournalEntry.objects.count() > written:
            break
        page.wait_for_timeout(50)
    assert JournalEntry.objects.count() > written, f"{page.url}:\n{page.inner_text('main')}"
    page.wait_for_load_state("networkidle")  # without scripts the page is still on its way


def form_at(page: Any, action: str) -> Any:
    return page.locator(f'form[action$="{action}"]').first


def panel(page: Any, name: str) -> None:
    """Open one of the bench page's panels."""
    touch(page.locator(f'a[href="#{name}"]:visible').first)
    page.locator(f"#{name}").wait_for()


@pytest.mark.parametrize("scripts", [True, False], ids=["with scripts", "without scripts"])
def test_a_missing_part_is_ordered_received_and_fitted_and_the_unit_goes_home(browse, scripts) -> None:
    ShopProfileFactory()
    by = StaffFactory(username="ottoline")
    rates()
    sales_tax()
    supplier = a_supplier(by)
    belt = a_part(by, description="Belt, flat", designation="CB-71", drawer="B1", preferred_supplier=supplier)
    model = UnitModelFactory(name="PR-7", mains=False, protection_class="III")
    unit = UnitFactory(model=model, owner=CustomerFactory(regular=True), mains=False)
    job = booked_in(
        unit=unit, by=by, accessories=[AccessoryTaken(name="case"), AccessoryTaken(name="manual")]
    )
    desk = browse(by, scripts=scripts)
    tablet = browse(by, width=820, height=1180, touch=True, scripts=scripts)

    set_aside_for_the_belt(tablet, job)
    order_it(desk, job, supplier.pk, belt.pk)
    receive_it(tablet, job)
    assert left(belt) == 3_000
    fit_it(tablet, job)
    assert left(belt) == 2_000
    settle(job, by)
    pack_with_the_manual_missing(desk, job)
    assert Job.objects.get(pk=job.pk).stage == Stage.GONE_HOME
    assert verify() == []


def set_aside_for_the_belt(tablet: Any, job: Job) -> None:
    tablet.goto(f"/bench/{job.number}/")
    press(tablet, form_at(tablet, "/take/").get_by_role("button").first)
    tablet.goto(f"/bench/{job.number}/")
    panel(tablet, "part")
    touch(tablet.locator('#part a[href="#want"], a[href="#want"]:visible').first)
    form = form_at(tablet, "/want/")
    form.locator('[name$="drawer"]').fill("cb71")
    form.locator('[name$="set_aside"]').check()
    press(tablet, form.get_by_role("button", name="Put it on the order list"))
    assert Job.objects.get(pk=job.pk).stage == Stage.AWAITING_PARTS
    assert PartWanted.objects.get().part.designation == "CB-71"


def order_it(desk: Any, job: Job, supplier: int, belt: int) -> None:
    desk.goto("/stockroom/to-order/")
    assert job.number in desk.inner_text("main")
    desk.locator(f'[name="{supplier}-p{belt}-quantity"]').fill("3")
    desk.locator(f'[name="{supplier}-p{belt}-cost"]').fill("4.20")
    press(desk, desk.get_by_role("button", name="Open an order").first)
    assert "Look it over and send it" in desk.inner_text("main")
    press(desk, desk.get_by_role("button", name="Send the order"))
    order = Order.objects.get()
    assert order.sent_at is not None
    text = pypdf.PdfReader(io.BytesIO(stored_bytes(order.paper))).pages[0].extract_text()
    assert order.number in text
    assert "CB-71" in text
    assert Message.objects.get().paper == order.paper


def receive_it(tablet: Any, job: Job) -> None:
    tablet.goto(f"/stockroom/orders/{Order.objects.get().pk}/")
    press(tablet, tablet.get_by_role("button", name="Book it in"))
    assert f"{job.number} is back on the bench" in tablet.inner_text("main")
    assert Job.objects.get(pk=job.pk).stage == Stage.ON_THE_BENCH


def fit_it(tablet: Any, job: Job) -> None:
    tablet.goto(f"/bench/{job.number}/")
    form = tablet.locator("#bench-arrived form")
    form.locator('[name$="position"]').fill("capstan")
    press(tablet, form.get_by_role("button", name="Fit it"))
    assert PartFitted.objects.get().unit_cost_ten_thousandths == 42_000
    tablet.goto(f"/bench/{job.number}/")
    panel(tablet, "conclusion")
    form = form_at(tablet, "/conclusion/")
    form.locator('[name$="failed"]').fill("belt")
    form.locator('[name$="mode"]').first.check()
    form.locator('[name$="remedy"]').fill("New belt.")
    form.locator('[name$="outcome"][value="repaired"]').check()
    press(tablet, form.get_by_role("button", name="Save the conclusion"))
    tablet.goto(f"/bench/{job.number}/")
    panel(tablet, "ready")
    press(tablet, form_at(tablet, "/ready/").get_by_role("button", name="Mark it ready"))
    assert Job.objects.get(pk=job.pk).stage == Stage.READY


def settle(job: Job, by: Any) -> None:
    """The customer's yes, invoice and payment, by the office's own actions."""
    job.refresh_from_db()
    agreed(job, 10_000, by=by)
    invoice = office.draft_invoice(customer=job.customer, jobs=[job], by=by)
    office.issue_invoice(invoice=invoice, by=by)
    invoice.refresh_from_db()
    due = invoice.total_minor - invoice.prepaid_minor
    office.take_payment(customer=job.customer, amount_minor=due, how="cash", by=by, invoice=invoice)


def pack_with_the_manual_missing(desk: Any, job: Job) -> None:
    page = f"/dispatch/jobs/{job.number}/"
    case, manual = job.accessories.order_by("id")
    desk.goto(page)
    press(
        desk,
        form_at(desk, f"/accessories/{case.pk}/").get_by_role(
            "button", name=re.compile(r"Goes back\s*: case")
        ),
    )
    desk.goto(page)
    form = form_at(desk, "/pack/")
    for name, value in (("length", "12"), ("width", "10"), ("height", "8"), ("weight", "6")):
        form.locator(f'[name="{name}"]').fill(value)
    press(desk, form.get_by_role("button", name="Pack"))
    assert "manual" in desk.inner_text("main")
    parcel = Parcel.objects.get()
    touch(desk.get_by_role("button", name="Handed over"))
    desk.wait_for_load_state()
    desk.get_by_text("and not checked yet: manual").first.wait_for()
    assert Job.objects.get(pk=job.pk).stage == Stage.READY
    desk.goto(page)
    form = form_at(desk, f"/accessories/{manual.pk}/")
    touch(form.locator("summary"))
    form.locator('[name$="explanation"]').fill("never came with it, the customer says")
    press(desk, form.get_by_role("button", name=re.compile(r"Does not go back\s*: manual")))
    assert not GoingBack.objects.get(accessory=manual).included
    desk.goto(f"/dispatch/parcels/{parcel.pk}/")
    assert "It can’t leave yet" not in desk.inner_text("main")
    press(desk, desk.get_by_role("button", name="Handed over"))
