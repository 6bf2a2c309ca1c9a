"""Tasks 2 and 3: a parcel that comes damaged, and somebody at the counter with a model that the shop never had."""

from __future__ import annotations

import pytest

from shop.counter.models import Accessory, Job, JobPicture
from shop.counter.stages import Stage
from tests.factories.counter import CustomerFactory

pytestmark = [pytest.mark.browser, pytest.mark.soak, pytest.mark.django_db(transaction=True)]


@pytest.mark.parametrize("task_named", ["2 parcel"])
def test_a_parcel_is_announced_and_opened_damaged(at_desk, set_up, task, photo, task_named: str) -> None:
    desk = at_desk(set_up, task)
    desk.link("Book a unit in")
    desk.link("It comes by parcel")
    desk.page.get_by_role("searchbox", name="Customer").fill("Perpetua Vail")
    task.fields += 1
    desk.link("Someone new")
    desk.fill(email="perpetua@vail.example", address="9 Cooper Row\nLow Fenton, OR 97000")
    desk.button("Add and go on")
    desk.fill(
        carrier="Tern Post",
        tracking="TP 5540 1188",
        maker="Vessling",
        model="CT-730",
        serial="V88-2041",
        kind="tape_deck",
        complaint="Eats tapes on the second side.",
        accessories="remote, dust cover, manual",
    )
    desk.button("Announce the parcel")
    desk.home()
    desk.link("Open box")
    for name in ("remote", "dust cover", "manual"):
        task.known[f"{name} shown at the box"] = desk.reads(name)
    desk.choose("packing_state", "damaged")
    desk.fill(packing_note="Left rear corner crushed, foam broken.", condition="Lid scratched.", shelf="C2")
    desk.attach('input[type="file"]', photo)
    desk.button("Book in")
    desk.paper(desk.page.get_by_role("button", name="Claim check"), go_on=False)
    job = Job.objects.get(unit__serial="V88-2041")
    assert job.stage == Stage.BOOKED_IN
    assert job.inbound.packing_state == "damaged"
    assert JobPicture.objects.filter(job=job).count() == 1
    assert sorted(Accessory.objects.filter(job=job).values_list("name", flat=True)) == [
        "dust cover",
        "manual",
        "remote",
    ]


@pytest.mark.parametrize("task_named", ["3 walk-in"])
def test_a_known_customer_brings_a_model_that_the_shop_never_had(
    at_desk, set_up, task, task_named: str
) -> None:
    CustomerFactory(regular=True)
    desk = at_desk(set_up, task)
    desk.link("Book a unit in")
    desk.page.get_by_role("searchbox", name="Customer").fill("oseI")
    task.fields += 1
    desk.link("Marguerite Osei")
    desk.fill(
        maker="Ludmere",
        model="Halo 3",
        serial="3107",
        kind="synthesizer",
        complaint="Left output dead.",
        accessories="cord",
        shelf="A1",
        bench_fee="75",
    )
    desk.button("Book in")
    desk.paper(desk.page.get_by_role("button", name="Claim check"))
    desk.link("Tag", within="main")
    job = Job.objects.get(unit__serial="3107")
    assert job.stage == Stage.BOOKED_IN
    assert job.number in desk.page.url
