"""Parcels on the road, and parcels that come in."""

from __future__ import annotations

import datetime as dt
import io

import pypdf
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from shop.counter.models import InboundParcel, JobPaper, JobPicture
from shop.dispatch import actions
from shop.dispatch.queries import claim_by
from shop.frame import clock, spelling
from shop.frame.clock import day_of
from shop.frame.refusal import Refusal
from shop.keeping.models import Message
from shop.keeping.papers import stored_bytes
from tests.factories.counter import CustomerFactory
from tests.factories.dispatch import came_damaged, packed, ready


def test_the_customer_is_told_when_a_parcel_leaves_and_how_to_follow_it(by, own_guard_only) -> None:
    carrier = actions.add_carrier(
        name="Tern Post", tracking_link="https://tern.example/?n={tracking}", checks_s10=True, by=by
    )
    job = ready(by)
    parcel = packed(job, by, carrier=carrier)
    # UPU S10: the check digit of 47312482 is 9 (the public article's own example)
    with pytest.raises(Refusal, match="last digit"):
        actions.hand_over(parcel=parcel, tracking="RR473124820GB", tell=True, by=by)
    assert not Message.objects.exists()
    actions.hand_over(parcel=parcel, tracking="RR 473 124 829 GB", tell=True, by=by)
    letter = Message.objects.get()
    assert letter.to == "marguerite@example.com"
    assert job.number in letter.subject
    assert "https://tern.example/?n=RR473124829GB" in letter.body


def test_nobody_is_written_to_without_an_address_or_a_wish(by, own_guard_only) -> None:
    for owner, tell in ((CustomerFactory(stranger=True), True), (CustomerFactory(regular=True), False)):
        actions.hand_over(parcel=packed(ready(by, owner=owner), by), tell=tell, by=by)
    assert not Message.objects.exists()


def test_a_lost_parcel_may_still_come_and_a_delivered_one_is_not_lost(by, own_guard_only) -> None:
    parcel = packed(ready(by), by)
    for early in (actions.note_delivered, actions.note_lost):
        with pytest.raises(Refusal, match="not been handed over"):
            early(parcel=parcel, by=by)
    actions.hand_over(parcel=parcel, by=by)
    actions.note_lost(parcel=parcel, tell=True, by=by)
    assert "lost" in Message.objects.get().body
    actions.note_delivered(parcel=parcel, by=by)
    parcel.refresh_from_db()
    assert (parcel.lost_at, parcel.delivered_at is not None) == (None, True)
    with pytest.raises(Refusal):
        actions.note_lost(parcel=parcel, by=by)


def test_a_parcel_leaves_once(by, own_guard_only) -> None:
    parcel = packed(ready(by), by)
    actions.hand_over(parcel=parcel, by=by)
    with pytest.raises(Refusal, match="has left"):
        actions.hand_over(parcel=parcel, by=by)
    with pytest.raises(Refusal, match="has left"):
        actions.unpack(parcel=parcel, by=by)


# --- coming in --------------------------------------------------------------------------------------------------


def a_photo(colour: str = "#806040") -> SimpleUploadedFile:
    data = io.BytesIO()
    Image.new("RGB", (640, 480), colour).save(data, "JPEG")
    return SimpleUploadedFile("corner.jpg", data.getvalue(), "image/jpeg")


def test_a_damage_report_carries_facts_photographs_and_the_sum(by) -> None:
    inbound = came_damaged(by)
    actions.photograph_packing(
        inbound=inbound, photos=[a_photo(), a_photo("#204060")], caption="Left corner", by=by
    )
    pictures = list(JobPicture.objects.select_related("picture"))
    assert {kept.shows for kept in pictures} == {"packing"}
    report = actions.issue_damage_report(
        inbound=inbound,
        found="Corner crushed to 6 cm; front panel bent.",
        claimed_minor=18_500,
        pictures=pictures,
        by=by,
    )
    reader = pypdf.PdfReader(io.BytesIO(stored_bytes(report.paper)))
    text = " ".join("".join(page.extract_text() for page in reader.pages).split())
    for words in (
        "RR473124829GB",
        "Tern Post",
        "Left corner crushed.",
        "front panel bent",
        "$185.00",
        "Left corner",
        f"{by.signature} {spelling.short_day(day_of(clock.now()))}",
    ):
        assert words in text, words
    assert sum(len(page.images) for page in reader.pages) == 2
    assert JobPaper.objects.get(paper=report.paper).job.inbound == inbound


def test_a_report_says_what_was_found_and_only_of_what_has_come(by) -> None:
    inbound = came_damaged(by)
    with pytest.raises(Refusal, match="Say what is damaged"):
        actions.issue_damage_report(inbound=inbound, found=" ", by=by)
    InboundParcel.objects.filter(pk=inbound.pk).update(opened_at=None, arrived_at=None)
    inbound.refresh_from_db()
    with pytest.raises(Refusal, match="not arrived"):
        actions.issue_damage_report(inbound=inbound, found="crushed", by=by)
    actions.note_arrived(inbound=inbound, by=by)
    with pytest.raises(Refusal, match="already"):
        actions.note_arrived(inbound=inbound, by=by)


def test_the_last_day_of_a_claim_is_told_where_the_carriers_days_are_known(by) -> None:
    inbound = came_damaged(by)
    assert claim_by(inbound) is None
    actions.add_carrier(name="tern post", claim_days=7, by=by)
    assert claim_by(inbound) == inbound.arrived_at.date() + dt.timedelta(days=7)
