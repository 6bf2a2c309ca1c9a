"""A signature drawn on the tablet, where the shop has switched that on: 16 CCR 2722 asks for the customer's own consent."""

from __future__ import annotations

import re

import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from shop.counter.models import Job
from shop.frame.models import Staff
from shop.office import actions
from shop.office.models import Authorisation, OfficeRules
from tests.conftest import Browsing
from tests.factories.office import item

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

STROKE = [(60, 180), (240, 60), (420, 190), (600, 70)]


def draw(page: Page) -> None:
    """A stroke in the box, with the pointer."""
    box = page.get_by_role("img", name="Box to draw a signature in")
    box.scroll_into_view_if_needed()
    edge = box.bounding_box()
    assert edge is not None
    scale = edge["width"] / 900
    first, *rest = [(edge["x"] + x * scale, edge["y"] + y * scale) for x, y in STROKE]
    page.mouse.move(*first)
    page.mouse.down()
    for point in rest:
        page.mouse.move(*point, steps=4)
    page.mouse.up()


def test_a_yes_is_signed_on_the_screen_and_its_drawing_is_kept(
    browse: Browsing, job: Job, owner: Staff
) -> None:
    OfficeRules.objects.update(drawn_signature=True)
    estimate = actions.draft_estimate(job=job, items=[item()], by=owner)
    actions.put_estimate(estimate=estimate, by=owner)
    page = browse(owner)
    page.goto(f"/office/jobs/{job.number}/")
    page.get_by_role("radio", name="Yes", exact=True).check()
    page.get_by_role("radio", name="Signed on the screen here").check()
    # a tap is no signature
    page.get_by_role("img", name="Box to draw a signature in").click()
    page.get_by_label("Name of who gave it").fill("Marguerite Osei")
    page.get_by_role("button", name="Record the answer").click()
    expect(page.get_by_text("Draw the signature in the box")).to_be_visible()
    draw(page)
    page.get_by_label("Name of who gave it").fill("")
    page.get_by_role("button", name="Record the answer").click()
    # the drawing outlasts a mistake elsewhere in the form
    expect(page.get_by_text("Name of who gave it is missing.")).to_be_visible()
    page.get_by_label("Name of who gave it").fill("Marguerite Osei")
    page.get_by_role("button", name="Record the answer").click()
    expect(page.get_by_role("link", name=re.compile("Signature"))).to_be_visible()
    drawing = Authorisation.objects.get(how="drawn").drawing
    assert drawing is not None
    with drawing.file.open("rb") as file, Image.open(file) as picture:
        grey = picture.convert("L")
        # ink where the stroke went, paper beside it
        assert grey.crop((220, 50, 260, 90)).getextrema()[0] < 100
        assert grey.crop((800, 0, 900, 40)).getextrema()[0] > 200
