"""Task 1: what an empty Californian shop has to write down before its first estimate."""

from __future__ import annotations

import pytest

from shop.frame.profile import the_profile
from shop.office.models import LabourRate, TaxRule
from shop.premises.models import Terms
from tests.factories.premises import ShopProfileFactory

pytestmark = [pytest.mark.browser, pytest.mark.soak, pytest.mark.django_db(transaction=True)]

LETTERHEAD = {
    "phone": "(555) 555-0163",
    "email": "hello@sable.example",
    "web_address": "https://sable.example",
    "registration_number": "E 00417",
}


@pytest.mark.parametrize("task_named", ["1 set-up"])
def test_an_empty_shop_is_set_up(at_desk, owner, task, task_named: str) -> None:
    ShopProfileFactory(name="Sable Street Audio", **dict.fromkeys(LETTERHEAD, ""))
    desk = at_desk(owner, task)
    desk.link("Hourly rates", within="main")
    desk.fill(diagnosis="95", repair="95", cleaning="60", alignment="110", testing="80")
    desk.button("Set the rates")
    desk.link("Taxes", within="main")
    desk.choose("which", "california")
    desk.fill(percent="9.75", source="City of Port Amity, rate sheet 4")
    desk.button("Enter the set")
    asked = [desk.page.get_by_role("link", name=name).count() for name in ("Letterhead", "Terms")]
    task.known["the card still asks for terms and letterhead"] = all(asked)
    desk.link("Letterhead", within="main")
    desk.fill(**LETTERHEAD)
    desk.button("Save the profile")
    desk.link("Terms", within="main")
    desk.fill(
        text="Ninety days of warranty on work and parts. Units left for 90 days are stored at $2 a day."
    )
    desk.button("Save")
    assert not desk.reads("Before the first estimate")
    assert LabourRate.objects.count() == 5
    assert TaxRule.objects.exists()
    assert Terms.objects.exists()
    assert the_profile().registration_number == LETTERHEAD["registration_number"]
