"""The shop's own pages in a browser: axe finds nothing, nothing spills, and the door opens without script too."""

from __future__ import annotations

import base64
import datetime as dt
from typing import Any

import pytest
from django.urls import reverse
from django_otp.oath import totp

from shop.frame import clock
from shop.frame.models import Staff
from shop.keeping.outbox import write_message
from shop.premises.actions import add_staff, add_terms, set_next_number
from shop.press.drawing import draw_page
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.premises import samples
from tests.premises.test_house_browser import spills, violations

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PAGES = ("profile", "terms", "numbers", "staff", "add_staff", "outbox", "journal", "health", "password")


@pytest.fixture
def owner() -> Staff:
    """The owner of a shop with something on every page."""
    ShopProfileFactory()
    owner = StaffFactory(username="ottoline")
    owner.set_password("four words in a row")
    owner.save()
    add_staff(username="pell", password="x", roles=["counter"], last_name="Varga", by=owner)
    for days in (0, 9):
        add_terms(
            from_date=clock.today() + dt.timedelta(days=days), text="We keep a unit ninety days.", by=owner
        )
    set_next_number(series="invoice", year=clock.today().year, value=13, by=owner)
    write_message(
        to="isolde@customer.example", subject="Your receiver is ready", body="Come and see.", by=owner
    )
    return owner


@pytest.mark.parametrize("width, height, scheme", [(1280, 800, "light"), (390, 844, "dark")])
def test_every_page_of_the_shop_passes_axe_and_fits_its_screen(
    browse: Any, owner: Staff, width: int, height: int, scheme: str
) -> None:
    page = browse(owner, width=width, height=height, color_scheme=scheme)
    addresses = [reverse(f"premises:{name}") for name in PAGES] + [
        reverse("premises:member", args=[owner.pk])
    ]
    for address in addresses:
        page.goto(address)
        assert violations(page) == [], address
        assert spills(page) == 0, address


@pytest.mark.parametrize("scripts", [True, False])
def test_the_door_opens_with_a_wrong_try_first_and_closes_again(
    browse: Any, owner: Staff, scripts: bool
) -> None:
    page = browse(scripts=scripts)
    page.goto(reverse("premises:health"))
    page.get_by_label("Name").fill("ottoline")
    page.get_by_label("Password").fill("wrong")
    page.get_by_role("button", name="Sign in").click()
    assert page.get_by_role("alert").inner_text().strip() == "That name and that password don’t go together."
    assert page.get_by_label("Name").input_value() == "ottoline"
    page.get_by_label("Password").fill("four words in a row")
    page.get_by_role("button", name="Sign in").click()
    assert page.get_by_role("heading", level=1).inner_text() == "Health of the shop’s data"
    page.get_by_role("button", name="Sign out").click()
    # the browser clears what it kept of the shop before it shows the door
    page.get_by_role("heading", name="Sign in", level=1).wait_for()


def test_the_second_step_is_set_up_and_asked_for_at_the_door(browse: Any, owner: Staff) -> None:
    """Everything as a person does it, the key typed off the page; the two pages that only this way leads to pass axe as well."""
    page = browse(owner, width=390, height=844)
    page.goto(reverse("premises:password"))
    page.get_by_role("link", name="Set it up").click()
    page.get_by_role("link", name="Set it up").click()
    key = base64.b32decode("".join(page.locator(".tape").all_inner_texts()).replace(" ", ""))
    page.get_by_role("textbox", name="Code").fill(f"{totp(key):06}")
    page.get_by_label("Your password").fill("four words in a row")
    page.get_by_role("button", name="Turn it on").click()
    spare = page.locator(".spare-codes li").first.inner_text()
    assert (violations(page), spills(page)) == ([], 0)
    page.get_by_role("button", name="Sign out").click()
    page.get_by_label("Name").fill("ottoline")
    page.get_by_label("Password").fill("four words in a row")
    page.get_by_role("button", name="Sign in").click()
    assert page.get_by_role("heading", level=1).inner_text() == "Your code"
    assert (violations(page), spills(page)) == ([], 0)
    page.get_by_role("textbox", name="Code").fill(spare)
    page.get_by_role("button", name="Sign in").click()
    page.goto(reverse("premises:second_step"))
    assert page.get_by_text("9 spare codes left").is_visible()


@pytest.mark.parametrize("scripts", [True, False])
def test_a_mistake_in_the_profile_stands_at_its_field_with_everything_typed(
    browse: Any, owner: Staff, scripts: bool
) -> None:
    page = browse(owner, scripts=scripts)
    page.goto(reverse("premises:profile"))
    page.get_by_label("Name of the shop").fill("Another Bench")
    page.get_by_label("Country").fill("Mars"[:2])
    page.get_by_label("Time zone").select_option("")
    page.get_by_role("button", name="Save the profile").click()
    said = page.locator(".field-error").all_inner_texts()
    assert [text.strip() for text in said] == ["Choose the time zone of the shop."]
    assert page.get_by_label("Name of the shop").input_value() == "Another Bench"
    page.get_by_label("Time zone").select_option("Europe/Berlin")
    page.get_by_role("button", name="Save the profile").click()
    assert "The profile is changed" in page.locator("#messages").inner_text()
    assert page.locator(".shop-name").inner_text().strip() == "Another Bench"


@pytest.mark.usefixtures("sample_papers")
def test_a_paper_shown_as_a_page_keeps_to_the_policy_and_to_axe(browse: Any, owner: Staff) -> None:
    page = browse(owner)
    page.goto(reverse("premises:health"))
    paper = draw_page(
        "sample_invoice.html", samples.invoice(), title="Invoice", heading="Invoice", number="1"
    )
    page.route("**/paper-to-print/", lambda route: route.fulfill(body=paper, content_type="text/html"))
    page.goto("/paper-to-print/")
    assert violations(page) == []
    assert page.get_by_role("heading", level=1).inner_text() == "Invoice"
