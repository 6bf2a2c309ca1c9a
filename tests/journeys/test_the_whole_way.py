"""One unit goes the whole way, from the counter to the customer's door, as people play it in a browser.

Counter, office, dispatch and records at 1280×800, the bench by touch at 820×1180; once with scripts, once without any. What is
read off the papers is checked with libraries that had no part in printing them: pypdf, pypdfium2 and zxing-cpp.
"""

from __future__ import annotations

import io
import re
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pypdf
import pypdfium2
import pytest
import zxingcpp

from shop.bench.models import Reading, SafetyCheck
from shop.counter.models import Job
from shop.counter.papers import tag_pdf
from shop.counter.stages import Stage
from shop.frame import clock
from shop.frame.journal import verify
from shop.frame.models import JournalEntry
from shop.frame.spelling import money
from shop.handbook.jobnumber import JobNumber
from shop.keeping.models import IssuedPaper
from shop.keeping.papers import stored_bytes
from shop.office.models import Invoice, LabourRate, TaxRule
from tests.factories.premises import ShopProfileFactory, StaffFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


class Walk:
    """One person with a desk and a tablet, and the job that is being walked through the shop."""

    def __init__(self, desk: Any, tablet: Any, *, scripts: bool) -> None:
        self.desk, self.tablet, self.scripts = desk, tablet, scripts

    @property
    def job(self) -> Job:
        return Job.objects.select_related("unit__model__maker", "customer").get()

    def send(self, page: Any, action: str, button: str, **typed: str) -> None:
        """Fill a form by its fields' names, tick what is “on”, press its button, and see it written into the journal."""
        form = page.locator(f'form[action$="{action}"]').first
        fill(form, typed)
        self.press(page, form.get_by_role("button", name=button).first)

    def press(self, page: Any, button: Any) -> None:
        """Press a button that writes, and wait until the journal says so: a tablet may send on its own time."""
        written = JournalEntry.objects.count()
        touch(button)
        for _ in range(200):
            if JournalEntry.objects.count() > written:
                break
            page.wait_for_timeout(50)
        assert JournalEntry.objects.count() > written, f"{page.url}:\n{page.inner_text('main')}"
        page.wait_for_load_state()

    def bench(self, panel: str = "") -> None:
        """Stand before the job's bench page, with one of its panels open."""
        address = f"/bench/{self.job.number}/"
        if address not in self.tablet.url or self.tablet.url.count("/") > 5 or not panel:
            self.tablet.goto(address)
        if panel:
            touch(self.tablet.locator(f'a[href="#{panel}"]:visible').first)
            self.tablet.locator(f"#{panel}").wait_for()


def touch(target: Any) -> None:
    """A finger where there is a touch screen, else the mouse."""
    if target.page.viewport_size["width"] < 1000:
        target.tap()
    else:
        target.click()


def fill(form: Any, typed: dict[str, str]) -> None:
    """Fill fields by name; what lies behind a fold is unfolded first."""
    for name, value in typed.items():
        field = form.locator(f'[name="{name}"], [name$="-{name}"]')
        kind = field.first.evaluate("node => node.type || node.localName")
        fold = form.locator("details:not([open])", has=form.page.locator(f'[name$="{name}"]'))
        if fold.count():
            touch(fold.first.locator("summary"))
        if kind in {"radio", "checkbox"}:
            value_too = "" if value == "on" else f'[value="{value}"]'
            form.locator(f'[name$="{name}"]{value_too}').check()
        elif kind.startswith("select"):
            field.select_option(value)
        else:
            field.fill(value)


@pytest.fixture(params=[True, False], ids=["with scripts", "without scripts"])
def walk(request, browse) -> Walk:
    ShopProfileFactory()
    owner = StaffFactory(username="ottoline")
    day = clock.today().replace(month=1, day=1)
    for kind, rate in (("diagnosis", 80), ("repair", 80)):
        LabourRate.objects.create(kind=kind, from_date=day, hourly_ten_thousandths=rate * 10_000)
    TaxRule.objects.create(
        name="Sales tax", line_kind="part", rate_percent="9.5", from_date=day, source="this test"
    )
    return Walk(
        desk=browse(owner, scripts=request.param),
        tablet=browse(owner, width=820, height=1180, touch=True, scripts=request.param),
        scripts=request.param,
    )


def test_one_unit_goes_from_the_counter_to_the_customers_door(walk) -> None:
    book_in(walk)
    find_the_fault(walk)
    get_a_yes(walk)
    repair_and_prove(walk)
    invoice_and_payment(walk)
    send_home(walk)
    look_it_up(walk)
    assert verify() == []


def book_in(walk: Walk) -> None:
    desk = walk.desk
    desk.goto("/counter/")
    desk.get_by_role("searchbox", name="Customer").fill("Odalys Fennimore")
    if not walk.scripts:
        desk.locator("main").get_by_role("button", name="Find").click()
    desk.get_by_role("link", name="Someone new").click()
    form = desk.locator("main form").last
    fill(
        form,
        {
            "name": "Odalys Fennimore",
            "phone": "555-0177",
            "address": "2208 Lantern Street\nPort Amity, CA 90001",
        },
    )
    form.get_by_role("button", name="Add and go on").click()
    form = desk.locator('form[enctype="multipart/form-data"]')
    fill(
        form,
        {
            "u0-maker": "Tarnbeck",
            "u0-model": "Lumen 6",
            "u0-serial": "201147",
            "u0-kind": "synthesizer",
            "u0-protection_class": "I",
            "u0-complaint": "Goes sharp while it warms up, then voice four drops out.",
            "u0-accessories": "cord, pedal",
            "u0-shelf": "B3",
            "u0-agreed_value": "900",
            "u0-bench_fee": "60",
        },
    )
    form.get_by_role("button", name="Book in").click()
    desk.get_by_role("heading", name="Booked in").wait_for()
    assert walk.job.stage == Stage.BOOKED_IN
    claim_check = press(desk, "Claim check")
    text = words(claim_check)
    for expected in (
        walk.job.number,
        "Odalys Fennimore",
        "201147",
        "voice four drops out",
        "Bureau of Household Goods",
    ):
        assert expected in text
    check_the_tag(walk)


def press(page: Any, button: str) -> bytes:
    """Press a button that issues a paper, and return what the browser is given: the very bytes that the shop keeps."""
    before, pages = IssuedPaper.objects.count(), list(page.context.pages)
    # a paper opens beside the page, so the answer may be another page's
    with page.context.expect_event("response", lambda answer: answer.request.method == "POST") as posted:
        page.get_by_role("button", name=button).first.click(no_wait_after=True)
    assert posted.value.status == 303, page.inner_text("main")
    paper = IssuedPaper.objects.latest("pk")
    assert IssuedPaper.objects.count() == before + 1, f"{button!r} issued no paper"
    page.wait_for_timeout(300)  # whatever the browser makes of a PDF, it is done with it
    for beside in page.context.pages:
        if beside not in pages:
            beside.close()
    given = page.request.get(f"/premises/papers/{paper.pk}/").body()
    assert given == stored_bytes(paper)
    return given


def check_the_tag(walk: Walk) -> None:
    codes = {code.format.name: code.text for code in decoded(tag_pdf(walk.job))}
    assert codes["Code128"] == JobNumber.parse(walk.job.number).compact
    assert codes["QRCode"] == f"https://halftone.example/t/{walk.job.number}"


def find_the_fault(walk: Walk) -> None:
    tablet = walk.tablet
    walk.bench()
    walk.send(tablet, "/start/", "Start the clock")
    assert walk.job.stage == Stage.ON_THE_BENCH
    walk.bench("finding")
    walk.send(tablet, "/finding/", "Note it", text="Label under the lid: SERVICED 3-14-92")
    walk.bench("reading")
    walk.send(
        tablet,
        "/reading/",
        "Note it",
        typed="-14.1 V",
        quantity="voltage_dc",
        where="supply: −15 V rail",
        expected="-15 V ± 2 %",
    )
    assert Reading.objects.get().verdict == "low"
    walk.bench("evidence")
    walk.send(tablet, "/evidence/", "Note it", kind="date_code", where="IC12", marking="9148")
    walk.bench()
    walk.send(tablet, "/stop/", "Pause")


def get_a_yes(walk: Walk) -> None:
    desk, number = walk.desk, walk.job.number
    desk.goto(f"/office/jobs/{number}/")
    desk.get_by_text("Take a deposit").first.click()
    walk.send(desk, "/deposit/", "Take the deposit", amount="20", how="cash")
    desk.goto(f"/office/jobs/{number}/")
    walk.send(desk, "/estimate/", "Write an estimate")
    desk.goto(f"/office/jobs/{number}/")
    estimate = press(desk, "Issue the estimate")
    assert "Estimate" in words(estimate)
    assert walk.job.stage == Stage.AWAITING_WORD
    desk.goto(f"/office/jobs/{number}/")
    walk.send(
        desk,
        "/answer/",
        "Record the answer",
        answer="up_to",
        up_to="250",
        how="phone",
        given_by="Odalys Fennimore",
        phone_called="555-0177",
    )
    assert walk.job.stage == Stage.ON_THE_BENCH


def repair_and_prove(walk: Walk) -> None:
    tablet = walk.tablet
    walk.bench()
    walk.press(tablet, tablet.locator(".clock-kinds").get_by_role("button", name="Repair"))
    walk.bench("part")
    walk.send(
        tablet,
        "/part/",
        "Fit it",
        drawer="Regulator, −15 V",
        free="on",
        unit_price="6.40",
        position="IC2",
        quantity="1",
    )
    walk.bench("conclusion")
    walk.send(
        tablet,
        "/conclusion/",
        "Save the conclusion",
        failed="−15 V regulator",
        mode="drift",
        remedy="New regulator, tuned warm.",
        outcome="repaired",
    )
    walk.bench()
    walk.send(tablet, "/stop/", "Pause")
    walk.bench()
    walk.bench("soak")
    walk.send(tablet, "/soak/", "Start the soak test", hours="4")
    assert walk.job.stage == Stage.PROVING
    walk.bench("soak_end")
    walk.send(tablet, "/soak-end/", "Passed", note="Ran all of yesterday evening.")
    assert walk.job.stage == Stage.READY
    tablet.goto(f"/bench/{walk.job.number}/safety/")
    form = tablet.locator('form[action$="/safety/"]').first
    answer_the_safety_check(form)
    walk.press(tablet, form.get_by_role("button", name="Evaluate and save"))
    assert SafetyCheck.objects.get().outcome == "passed"


def answer_the_safety_check(form: Any) -> None:
    """A sound earthed unit: visual inspection, protective conductor, cold check, hot leakage in every position."""
    form.locator('[name="sound"]').first.check()
    for field in form.locator("fieldset.group input:visible").all():
        name = field.get_attribute("name") or ""
        if field.get_attribute("type") in {"checkbox", "radio"}:
            continue
        if name.endswith("where"):
            field.fill("rear panel")
        elif "conductor" in name or name.endswith("again"):
            field.fill("0.12 ohm")
        elif "cold" in name:
            field.fill("2.4M")
        elif "hot" in name:
            field.fill("0.06 V")
    form.locator('[name="cold_0_returns"][value="yes"]').check()
    form.locator('[name="hot_opened"][value="open"]').check()


def invoice_and_payment(walk: Walk) -> None:
    desk, number = walk.desk, walk.job.number
    desk.goto(f"/office/jobs/{number}/")
    walk.send(desk, "/invoice/", "Draft the invoice")
    invoice = Invoice.objects.get()
    desk.goto(f"/office/invoices/{invoice.pk}/")
    paper = press(desk, "Issue the invoice")
    invoice.refresh_from_db()
    text = words(paper)
    due_minor = invoice.total_minor - invoice.prepaid_minor
    assert invoice.prepaid_minor == 2_000
    for minor in (
        invoice.net_minor,
        invoice.tax_minor,
        invoice.total_minor,
        invoice.prepaid_minor,
        due_minor,
    ):
        assert money(minor, "USD") in text
    assert_the_lines_add_up(invoice)
    assert invoice.number in text
    assert number in text
    assert paper[:5] == b"%PDF-"
    desk.goto(f"/office/invoices/{invoice.pk}/")
    walk.send(desk, "/payment/", "Take the payment", amount=f"{due_minor / 100:.2f}", how="cash")


def assert_the_lines_add_up(invoice: Invoice) -> None:
    """Labour and part, the tax on the part alone, rounded once (EN 16931, BR-CO-10, BR-CO-14, BR-CO-15)."""
    lines = list(invoice.lines.all())
    assert {"labour", "part"} <= {line.kind for line in lines}
    assert invoice.net_minor == sum(line.net_minor for line in lines)
    taxed = sum(line.net_minor for line in lines if line.kind == "part")
    assert invoice.tax_minor == int((Decimal(taxed) * Decimal("0.095")).quantize(Decimal(1), ROUND_HALF_UP))
    assert invoice.total_minor == invoice.net_minor + invoice.tax_minor


def send_home(walk: Walk) -> None:
    desk, job = walk.desk, walk.job
    for accessory in job.accessories.all():
        desk.goto(f"/dispatch/jobs/{job.number}/")
        walk.send(desk, f"/accessories/{accessory.pk}/", "Goes back")
    desk.goto(f"/dispatch/jobs/{job.number}/")
    walk.send(desk, "/pack/", "Pack", length="45", width="22", height="12", weight="38", declared_value="900")
    slip = words(press(desk, "Return slip"))
    assert "Return slip" in slip
    for expected in (job.number, "cord", "pedal", Invoice.objects.get().number, "2208 Lantern Street"):
        assert expected in slip
    desk.go_back()
    desk.goto(f"/dispatch/jobs/{job.number}/")
    desk.locator("main table a").first.click()
    walk.send(desk, "/hand-over/", "Handed over", tracking="OP 4731 2482")
    assert walk.job.stage == Stage.GONE_HOME


def look_it_up(walk: Walk) -> None:
    desk, number = walk.desk, walk.job.number
    desk.goto("/search/?q=lumen6+regulator")
    assert desk.get_by_role("link", name=re.compile(re.escape(number))).count() > 0
    desk.get_by_role("link", name=re.compile(re.escape(number))).first.click()
    card = desk.locator("main").inner_text()
    for expected in ("voice four drops out", "−15 V regulator", "OP 4731 2482"):
        assert expected in card


def words(pdf: bytes) -> str:
    """The text of a PDF by pypdf, on one line."""
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages).split())


def decoded(pdf: bytes) -> list[Any]:
    """Every code on the first page, read by zxing off a picture that pdfium drew."""
    picture = pypdfium2.PdfDocument(pdf)[0].render(scale=300 / 72).to_pil()
    return list(zxingcpp.read_barcodes(picture))
