"""Two walks in a browser: a box that is photographed, opened and put right, and a letter that is looked at before it goes.

No source: what a shop would expect to find one room further on.
"""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest
from django.core import mail as sent
from PIL import Image

from shop.counter import actions as counter
from shop.counter.actions import AccessoryTaken, Intake
from shop.counter.models import Accessory, JobPicture
from shop.counter.stages import Stage
from shop.dispatch.models import Carrier
from shop.frame import clock, spelling
from shop.keeping import outbox
from shop.keeping.letter_texts import texts
from shop.keeping.models import MailServer, Message
from shop.office.letters import PAPER
from tests.factories.counter import CustomerFactory, UnitFactory
from tests.factories.premises import ShopProfileFactory, StaffFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SIX_SIDES = ("front", "back", "left", "right", "top", "bottom")
SECRET = "horse battery 4417"


@pytest.fixture
def owner(db: None) -> Any:
    ShopProfileFactory()
    return StaffFactory(username="ottoline")


def press(page: Any, name: str) -> None:
    """Press the button of that name, and wait for the page that comes."""
    with page.expect_navigation():
        page.locator("main").get_by_role("button", name=name, exact=True).click()


def reads(page: Any) -> str:
    return " ".join(page.inner_text("body").split())


def test_a_box_is_photographed_opened_and_put_right(browse: Any, owner: Any, tmp_path: Path) -> None:
    Carrier.objects.create(name="Tern Post", claim_days=7)
    unit = UnitFactory(owner=CustomerFactory(regular=True))
    announced = tuple(AccessoryTaken(name=name) for name in ("remote", "dust cover", "manual"))
    (job,) = counter.announce(
        customer=unit.owner,
        intakes=[Intake(unit=unit, complaint="Hums.", accessories=announced)],
        carrier="Tern Post",
        by=owner,
    )
    photos = [tmp_path / f"{side}.jpg" for side in SIX_SIDES]
    for at, photo in enumerate(photos):
        Image.new("RGB", (320 + at, 240), "tan").save(photo, "JPEG")
    page = browse(owner, width=820, height=1180, touch=True)
    page.goto(f"/counter/jobs/{job.number}/receive/")
    until = spelling.short_day(clock.today() + dt.timedelta(days=7))
    said = reads(page)
    assert "Photograph all six sides before it is opened" in said
    assert f"Tern Post takes a claim for damage until {until}, 7 days after it arrived" in said
    page.locator('input[type="file"]').set_input_files(photos)
    page.locator('label:has(input[name="packing_state"][value="sound"])').tap()
    page.get_by_label("manual", exact=True).uncheck()
    page.locator('[name="accessories"]').fill("Remote, two discs")
    page.locator('[name="locks_found"]').fill("Two red screws under the deck")
    page.locator('[name="packing_kept_at"]').fill("Loft, bay 2")
    page.locator('[name="shelf"]').fill("C2")
    press(page, "Book in")
    job.refresh_from_db()
    assert job.stage == Stage.BOOKED_IN
    assert JobPicture.objects.filter(job=job).count() == 6
    here = sorted(Accessory.here.filter(job=job).values_list("name", flat=True))
    assert here == ["dust cover", "remote", "two discs"], "one is doubled, or a missing one is here"
    for address, words in (
        (f"/counter/jobs/{job.number}/", ("Loft, bay 2", "Two red screws", "not there", "claim for damage")),
        (f"/dispatch/jobs/{job.number}/", ("Two red screws", "Loft, bay 2")),
    ):
        page.goto(address)
        assert [one for one in words if one not in reads(page)] == [], address


def test_mail_is_set_up_and_a_letter_changed_before_it_goes(
    browse: Any, owner: Any, settings: Any, tmp_path: Path
) -> None:
    settings.SHOP_DATA = tmp_path
    settings.EMAIL_HOST = ""
    page = browse(owner)
    page.goto("/premises/outbox/")
    with page.expect_navigation():
        page.locator("main").get_by_role("link", name="Mail settings", exact=True).click()
    assert "Not set" in reads(page)
    page.locator('[name="host"]').fill("mail.port.example")
    page.locator('[name="user"]').fill("bench")
    page.locator('[name="password"]').fill(SECRET)
    press(page, "Save")
    page.goto("/premises/outbox/mail/")
    assert "Set. Empty" in reads(page)
    assert SECRET not in page.content()
    assert (tmp_path / "mail-password").read_text() == SECRET
    assert MailServer.objects.get().host == "mail.port.example"
    page.locator('[name="to"]').fill("ottoline@halftone.example")
    press(page, "Send a test letter")
    assert "The server took the letter" in reads(page)
    assert [one.to for one in sent.outbox] == [["ottoline@halftone.example"]]

    page.goto("/premises/outbox/texts/paper/")
    assert "{customer}" in reads(page)
    page.locator('[name="body"]').fill("Dear {name},")
    press(page, "Save")
    assert "no field {name}" in reads(page)
    assert page.locator('[name="body"]').input_value() == "Dear {name},", "what was typed is lost"
    page.locator('[name="body"]').fill("Dear {customer},\n{paper} for {numbers}.\n{shop}")
    press(page, "Save")
    words = {"customer": "Marguerite Osei", "paper": "Invoice 26-4", "numbers": "26-0001-8"}
    subject, body = texts().write(PAPER, **words)
    assert body == "Dear Marguerite Osei,\nInvoice 26-4 for 26-0001-8.\nHalftone Bench"

    page.goto("/premises/outbox/")
    press(page, "Look at each before it goes")
    letter = outbox.write_message(to="marguerite@osei.example", subject=subject, body=body, by=owner)
    page.goto("/premises/outbox/")
    assert "to be looked at" in reads(page)
    with page.expect_navigation():
        page.get_by_role("link", name=subject).click()
    assert page.locator('[name="body"]').input_value() == body
    page.locator('[name="body"]').fill(f"{body}\nKnock at the back door.")
    press(page, "Save the letter for later")
    assert Message.objects.get(pk=letter.pk).sent_at is None
    page.goto(f"/premises/outbox/{letter.pk}/")
    press(page, "Send the letter now")
    outbox.send_waiting()
    assert sent.outbox[-1].body.endswith("Knock at the back door.")
    page.goto(f"/premises/outbox/{letter.pk}/")
    assert "Knock at the back door." in reads(page), "what went can't be read any more"
    assert page.locator('main [name="body"]').count() == 0, "a letter that went can be changed"

    settings.EMAIL_HOST, settings.EMAIL_HOST_PASSWORD = "env.example", SECRET
    page.goto("/premises/outbox/mail/")
    said = reads(page)
    assert "env.example" in said
    assert "wins over what is set here" in said
    assert page.locator('[name="host"]').count() == 0
    assert SECRET not in page.content()
