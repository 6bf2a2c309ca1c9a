"""What came with a unit: announced, ticked at the box, added to or missing, and put right until the unit leaves."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.urls import reverse

from shop.counter import actions, papers
from shop.counter.actions import AccessoryTaken, Intake
from shop.counter.models import Accessory, InboundParcel, Job
from shop.counter.stages import Stage
from shop.dispatch.leaving import unchecked
from shop.dispatch.models import Carrier
from shop.frame import clock
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from tests.factories.counter import CustomerFactory, UnitFactory
from tests.factories.premises import ShopProfileFactory, StaffFactory


@pytest.fixture
def by(db: None) -> Staff:
    ShopProfileFactory()
    return StaffFactory(username="odile", roles=["counter"])


@pytest.fixture
def announced(by: Staff) -> Job:
    """A unit on its way with three accessories."""
    unit = UnitFactory(owner=CustomerFactory(regular=True))
    names = ("remote", "dust cover", "manual")
    intake = Intake(
        unit=unit, complaint="Hums.", accessories=tuple(AccessoryTaken(name=name) for name in names)
    )
    (job,) = actions.announce(customer=unit.owner, intakes=[intake], carrier="Tern Post", by=by)
    return job


@pytest.fixture
def desk(client: Any, by: Staff) -> Any:
    client.force_login(by)
    return client


def open_box(desk: Any, job: Job, **typed: Any) -> Any:
    data = {"once": str(uuid.uuid4()), "packing_state": "sound"} | typed
    return desk.post(reverse("counter:receive", args=[job.number]), data)


def here(job: Job) -> list[str]:
    return sorted(Accessory.here.filter(job=job).values_list("name", flat=True))


def test_what_was_announced_is_shown_ticked_when_the_box_is_opened(desk, announced) -> None:
    page = desk.get(reverse("counter:receive", args=[announced.number])).content.decode()
    assert page.count("checked") >= 3
    assert all(name in page for name in ("remote", "dust cover", "manual"))


def test_what_is_ticked_and_typed_again_is_never_doubled(desk, announced) -> None:
    ids = [str(one.pk) for one in announced.accessories.all()]
    open_box(desk, announced, here=ids, accessories="Remote, manual , two discs")
    assert here(announced) == ["dust cover", "manual", "remote", "two discs"]


def test_what_is_not_in_the_box_is_missing_and_nobody_is_asked_for_it_at_the_door(desk, announced) -> None:
    ids = [str(one.pk) for one in announced.accessories.exclude(name="manual")]
    open_box(desk, announced, here=ids)
    announced.refresh_from_db()
    assert announced.stage == Stage.BOOKED_IN
    assert here(announced) == ["dust cover", "remote"]
    assert "manual" not in {one.name for one in unchecked(announced)}
    assert "manual" not in papers._accessories(announced)
    assert "not there" in desk.get(reverse("counter:job", args=[announced.number])).content.decode()


def test_a_wrong_accessory_is_put_right_until_the_unit_has_left(desk, announced, by) -> None:
    open_box(desk, announced, here=[str(one.pk) for one in announced.accessories.all()])
    manual = Accessory.objects.get(name="manual")
    address = reverse("counter:mend_accessory", args=[announced.number, manual.pk])
    desk.post(address, {"once": str(uuid.uuid4()), "name": "service manual", "stands_at": "D2"})
    manual.refresh_from_db()
    assert (manual.name, manual.stands_at) == ("service manual", "D2")
    desk.post(address, {"once": str(uuid.uuid4()), "name": "service manual", "missing": "on"})
    assert "service manual" not in here(announced)
    desk.post(address, {"once": str(uuid.uuid4()), "name": "service manual"})
    assert "service manual" in here(announced)
    doubled = desk.post(address, {"once": str(uuid.uuid4()), "name": "Remote"})
    assert "written down already" in doubled.content.decode()
    Job.objects.update(stage=Stage.GONE_HOME, ended_at=clock.now(), outcome="repaired")
    manual.refresh_from_db()
    with pytest.raises(Refusal, match="has left the shop"):
        actions.mend_accessory(accessory=Accessory.objects.get(pk=manual.pk), name="x", by=by)


def test_the_same_thing_is_not_taken_in_twice(by, announced) -> None:
    with pytest.raises(Refusal, match="already"):
        actions.take_accessory(job=announced, name=" Manual", by=by)


def test_the_box_says_where_its_packing_is_which_locks_were_found_and_until_when_to_claim(
    desk, announced
) -> None:
    page = reverse("counter:receive", args=[announced.number])
    assert "is not written down" in desk.get(page).content.decode()
    Carrier.objects.create(name="Tern Post", claim_days=7)
    # 7 days from today, counted by hand on the calendar of the standard library
    assert "takes a claim for damage until" in desk.get(page).content.decode()
    open_box(desk, announced, packing_kept_at="Loft, bay 2", locks_found="Two red screws under the deck")
    parcel = InboundParcel.objects.get()
    assert (parcel.packing_kept_at, parcel.locks_found) == ("Loft, bay 2", "Two red screws under the deck")
    at_the_counter = desk.get(reverse("counter:job", args=[announced.number])).content.decode()
    assert "Loft, bay 2" in at_the_counter
    assert "Two red screws" in desk.get(reverse("dispatch:job", args=[announced.number])).content.decode()
