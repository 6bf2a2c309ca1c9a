"""The tabs above a room's pages."""

from __future__ import annotations

import pytest
from django.urls import reverse

from shop.frame.models import Role
from shop.frame.tabs import Tab, Tabs
from tests.factories.premises import StaffFactory

TABS = Tabs(
    "Dispatch",
    (
        Tab("Going home", "dispatch:dispatch"),
        Tab("Boxes", "dispatch:boxes"),
        Tab("Carriers", "dispatch:carriers", (Role.OWNER,)),
    ),
)


@pytest.mark.django_db
def test_the_current_tab_is_the_nearest_above_the_page_and_nobody_sees_one_that_is_not_theirs() -> None:
    technician = StaffFactory(roles=[Role.BENCH])
    boxes = reverse("dispatch:boxes")
    shown = TABS.context(technician, f"{boxes}7/")
    assert shown["tabs_of"] == "Dispatch"
    assert [(label, current) for label, _, current in shown["tabs"]] == [
        ("Going home", False),
        ("Boxes", True),
    ]
    owner = StaffFactory()
    assert [label for label, _, _ in TABS.context(owner, boxes)["tabs"]][-1] == "Carriers"
    assert not any(current for _, _, current in TABS.context(owner, "/elsewhere/")["tabs"])
