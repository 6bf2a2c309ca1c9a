"""Dispatch's pages of one parcel, of what is coming in, and of its own tables."""

from __future__ import annotations

import io

import pypdf
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from shop.counter.papers import issue_claim_check
from shop.dispatch import actions
from shop.dispatch.models import Box, Carrier, CarrierRule, DamageReport, Parcel
from shop.keeping.models import Message
from tests.dispatch.test_pages import PACKING
from tests.factories.counter import CustomerFactory, booked_in
from tests.factories.dispatch import came_damaged, packed, ready
from tests.pages import once


def test_a_parcel_goes_its_way_on_its_page(dispatch, by, own_guard_only) -> None:
    parcel = packed(ready(by), by)
    page = reverse("dispatch:parcel", args=[parcel.pk])
    assert dispatch.post(reverse("dispatch:issue_slip", args=[parcel.pk])).status_code == 303
    dispatch.post(reverse("dispatch:hand_over", args=[parcel.pk]), once(tracking="TP 44 1", tell="on"))
    assert "on the road since" in dispatch.get(page).content.decode()
    assert Message.objects.count() == 1
    dispatch.post(reverse("dispatch:note_lost", args=[parcel.pk]), {"tell": "on"})
    assert Message.objects.count() == 2
    dispatch.post(reverse("dispatch:note_delivered", args=[parcel.pk]))
    assert "delivered" in dispatch.get(page).content.decode()
    assert dispatch.post(reverse("dispatch:unpack", args=[parcel.pk])).status_code == 422


@pytest.mark.parametrize(
    "tracking, said",
    [("?", "letters and digits"), ("RR473124820GB", "last digit"), ("x" * 61, "up to 60 fit")],
)
def test_a_wrong_tracking_number_holds_the_parcel(dispatch, by, own_guard_only, tracking, said) -> None:
    carrier = actions.add_carrier(name="Tern Post", checks_s10=True, by=by)
    parcel = packed(ready(by), by)
    answer = dispatch.post(
        reverse("dispatch:hand_over", args=[parcel.pk]), once(carrier=str(carrier.pk), tracking=tracking)
    )
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert tracking in answer.content.decode()
    assert Parcel.objects.get().handed_over_at is None


def test_a_parcel_that_is_held_back_says_so_and_does_not_look_as_if_it_had_left(
    dispatch, by, own_guard_only
) -> None:
    job = ready(by, accessories=("manual",))
    parcel = packed(job, by)
    answer = dispatch.post(
        reverse("dispatch:hand_over", args=[parcel.pk]), once(tracking="TP 44 1", tell="on")
    )
    page = answer.content.decode()
    assert answer.status_code == 422
    assert f"Came with {job.number} and not checked yet: manual" in page
    assert "TP 44 1" in page
    assert "packed, still here" in page
    assert "on the road" not in page
    assert (Parcel.objects.get().handed_over_at, Message.objects.count()) == (None, 0)


@pytest.mark.parametrize("on, size_mm", [("roll", (62, 29)), ("sheet", (215.9, 279.4))])
def test_a_label_is_printed_on_what_the_shop_has(dispatch, by, on, size_mm) -> None:
    parcel = packed(ready(by), by)
    answer = dispatch.get(reverse("dispatch:label", args=[parcel.pk]), {"on": on, "start": "3"})
    assert answer.headers["Content-Type"] == "application/pdf"
    box = pypdf.PdfReader(io.BytesIO(answer.content)).pages[0].mediabox
    assert (float(box.width) * 25.4 / 72, float(box.height) * 25.4 / 72) == pytest.approx(size_mm, abs=0.1)


@pytest.mark.parametrize(
    "asked, said",
    [
        ({"on": "sheet", "start": "31"}, "labels 1 to 30"),
        ({}, "Choose the roll or a sheet"),
        ({"on": "roll", "copies": "99"}, "Up to 60 copies"),
    ],
)
def test_a_label_that_can_not_be_printed_says_why(dispatch, by, asked, said) -> None:
    answer = dispatch.get(reverse("dispatch:label", args=[packed(ready(by), by).pk]), asked)
    assert answer.status_code == 422
    assert said in answer.content.decode()


# --- coming in, and the tables ------------------------------------------------------------------------------------------


def test_a_damaged_parcel_is_reported_once_with_its_photographs(dispatch, by) -> None:
    inbound = came_damaged(by)
    # papers count on their own: the second click is answered with the report's paper, whatever its key
    for _ in range(2):
        issue_claim_check(jobs=[booked_in()], by=by)
    door = reverse("dispatch:report_damage", args=[inbound.pk])
    wrong = dispatch.post(door, once(found="", claimed="many"))
    assert wrong.status_code == 422
    assert not DamageReport.objects.exists()
    form = once(found="Corner crushed, front panel bent.", claimed="185.00")
    paper = [dispatch.post(door, form)["Location"] for _ in range(2)]
    assert paper == [reverse("premises:paper", args=[DamageReport.objects.get().paper_id])] * 2
    assert DamageReport.objects.get().claimed_minor == 18_500


def test_what_is_no_picture_is_not_kept(dispatch, by) -> None:
    inbound = came_damaged(by)
    door = reverse("dispatch:photograph", args=[inbound.pk])
    for photos, said in (
        ([], "Choose at least one photograph"),
        ([SimpleUploadedFile("a.jpg", b"no picture")], "a.jpg"),
    ):
        answer = dispatch.post(door, once(photos=photos))
        assert answer.status_code == 422
        assert said in answer.content.decode()


def test_a_box_is_written_down_and_kept_no_longer(dispatch, by) -> None:
    form = once(name="Large", size="24 x 20 x 12", wall="double", ect="48")
    for _ in range(2):
        assert dispatch.post(reverse("dispatch:boxes"), form).status_code == 303
    box = Box.objects.get()
    assert (box.length_mm, box.wall, box.ect) == (610, "double", 48)
    dispatch.post(reverse("dispatch:retire_box", args=[box.pk]))
    assert list(dispatch.get(reverse("dispatch:boxes")).context["boxes"]) == []


@pytest.mark.parametrize(
    "changes, said",
    [
        ({"size": "24"}, "with an x between"),
        ({"name": ""}, "Name is missing"),
        ({"ect": "strong"}, "whole number"),
        ({"size": "9999 x 2 x 2"}, "up to 5 m"),
    ],
)
def test_a_wrong_box_is_asked_again(dispatch, changes, said) -> None:
    answer = dispatch.post(
        reverse("dispatch:boxes"), once(**{"name": "L", "size": "24 x 20 x 12", "wall": "single"} | changes)
    )
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Box.objects.exists()


def test_the_owner_writes_a_carrier_and_its_rule_down(owner) -> None:
    owner.post(
        reverse("dispatch:carriers"),
        once(name="Tern Post", tracking_link="https://tern.example/?n={tracking}", claim_days="7"),
    )
    carrier = Carrier.objects.get()
    page = reverse("dispatch:carrier", args=[carrier.pk])
    begun = owner.get(page, {"like": "1"}).context["rule_form"]
    assert begun.initial["divisor"] == "139"
    rule = once(
        from_date="2026-07-12",
        units="in_lb",
        divisor="139",
        rounding="up",
        threshold="1728",
        rates="1 9.80\n5 16.40\n20 38.90",
    )
    for _ in range(2):
        owner.post(reverse("dispatch:add_rule", args=[carrier.pk]), rule)
    assert CarrierRule.objects.get().rates == [["1", 980], ["5", 1640], ["20", 3890]]
    assert "38.90" in owner.get(page).content.decode()
    owner.post(reverse("dispatch:change_carrier", args=[carrier.pk]), once(name="Tern Post", retired="on"))
    assert Carrier.objects.get().retired_at is not None


@pytest.mark.parametrize(
    "changes, said",
    [
        ({"from_date": "2265-01-01"}, "between 1980 and 2100"),
        ({"divisor": "0"}, "above zero"),
        ({"divisor": ""}, "is missing"),
        ({"rates": "5 16.40\n1 9.80"}, "go up from line to line"),
        ({"rates": "1 9.80\nheavy 3"}, "Line 2 is not"),
        ({"rates": "NaN 9.80"}, "go up from line to line"),
        ({"max_weight": "1e999"}, "above zero"),
    ],
)
def test_a_wrong_rule_is_asked_again(owner, by, changes, said) -> None:
    carrier = actions.add_carrier(name="Tern Post", by=by)
    form = {"from_date": "2026-07-12", "units": "in_lb", "divisor": "139", "rounding": "up"} | changes
    answer = owner.post(reverse("dispatch:add_rule", args=[carrier.pk]), once(**form))
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not CarrierRule.objects.exists()


def test_two_units_of_one_customer_are_offered_together(dispatch, by) -> None:
    owner = CustomerFactory(regular=True)
    first, second = ready(by, owner=owner), ready(by, owner=owner)
    page = dispatch.get(reverse("dispatch:job", args=[first.number])).content.decode()
    assert second.number in page
    dispatch.post(
        reverse("dispatch:pack", args=[first.number]), once(jobs=[first.number, second.number], **PACKING)
    )
    assert actions.jobs_in(Parcel.objects.get()) == [first.pk, second.pk]
