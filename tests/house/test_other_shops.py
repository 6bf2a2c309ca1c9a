"""A shop elsewhere, and a shop that has only just opened: what it reads is meant for it."""

from __future__ import annotations

import io
from typing import Any

import pypdfium2
import pytest
import zxingcpp
from django.test import Client
from django.urls import reverse

from shop.counter.models import Job
from shop.counter.papers import claim_check_context, tag_pdf
from shop.frame import clock
from shop.frame.models import ShopProfile
from shop.office.models import LabourRate, OutOfState, TaxRule
from shop.office.papers.sheets import unit_facts
from tests.factories.counter import UnitFactory, UnitModelFactory, booked_in
from tests.factories.premises import ShopProfileFactory, StaffFactory

GERMAN = {"country": "DE", "currency": "EUR", "language": "de-DE", "measures": "metric", "web_address": ""}


@pytest.fixture
def owner(db: None, client: Client) -> Any:
    ShopProfileFactory(**GERMAN)
    owner = StaffFactory(username="ottoline")
    client.force_login(owner)
    return owner


@pytest.fixture
def job(owner: Any) -> Job:
    return booked_in(by=owner, unit=UnitFactory(model=UnitModelFactory(kind="other")), bench_fee_minor=4500)


def shown(client: Client, name: str, *args: Any) -> str:
    return client.get(reverse(name, args=args)).content.decode()


def test_a_new_shop_is_told_what_its_prices_lack_and_led_there(client: Client, job: Job) -> None:
    page = shown(client, "office:job", job.number)
    assert "No hourly rate is set" in page
    assert "No tax rule is set" in page
    assert f'href="{reverse("office:rates")}' in page
    assert f'href="{reverse("office:taxes")}' in page
    LabourRate.objects.create(kind="repair", from_date="2020-01-01", hourly_ten_thousandths=800_000)
    TaxRule.objects.create(name="USt", line_kind="part", rate_percent="19", from_date="2020-01-01")
    page = shown(client, "office:job", job.number)
    assert "No hourly rate" not in page
    assert "No tax rule" not in page


def test_only_a_shop_of_the_states_is_asked_whether_a_unit_is_shipped_out_of_the_state(
    client: Client, owner: Any, job: Job
) -> None:
    assert "out of the state" not in shown(client, "office:job", job.number)
    ShopProfile.objects.update(country="US")
    assert "shipped out of the state" in shown(client, "office:job", job.number)
    # what was noted is not hidden by a move
    ShopProfile.objects.update(country="DE")
    OutOfState.objects.create(job=job, contract="ship to Reno, letter of 3 May", by=owner)
    assert "ship to Reno" in shown(client, "office:job", job.number)


def test_a_sum_stands_in_its_box_as_the_shop_types_it(client: Client, job: Job) -> None:
    assert 'value="45,00"' in shown(client, "counter:put_right", job.number)


def test_a_kind_that_says_nothing_is_not_printed(owner: Any, job: Job) -> None:
    def printed() -> list[str]:
        counter = claim_check_context([job], on=clock.today(), accepted_by=owner)["jobs"][0]["facts"]
        return [fact.value for fact in (*counter, *unit_facts(job)) if fact.label == "Kind"]

    assert printed() == []
    job.unit.model.kind = "amplifier"
    assert printed() == ["Amplifier", "Amplifier"]


@pytest.mark.parametrize("web, reached, code", [
    ("https://halftone.example", "http://bench.example:8010/", "https://halftone.example/t/{}"),
    ("", "http://bench.example:8010/", "http://bench.example:8010/t/{}"),
    ("", "", "{}"),
])  # fmt: skip
def test_the_code_on_a_tag_never_holds_half_an_address(job: Job, web: str, reached: str, code: str) -> None:
    ShopProfile.objects.update(web_address=web)
    page = pypdfium2.PdfDocument(io.BytesIO(tag_pdf(job, reached_at=reached)))[0].render(scale=6).to_pil()
    read = {one.format.name: one.text for one in zxingcpp.read_barcodes(page)}
    assert read["QRCode"] == code.format(job.number)


def test_the_counter_says_that_a_camera_may_not_open_the_tag_until_the_address_is_written_down(
    client: Client, job: Job
) -> None:
    assert "names no web address" in shown(client, "counter:job", job.number)
    ShopProfile.objects.update(web_address="https://halftone.example")
    assert "names no web address" not in shown(client, "counter:job", job.number)


def test_a_logo_before_there_is_a_profile_is_refused_in_a_sentence(client: Client, owner: Any) -> None:
    ShopProfile.objects.all().delete()
    file = io.BytesIO(b"GIF89a\x01\x00\x01\x00\x00\x00\x00;")
    file.name = "logo.gif"
    answer = client.post(reverse("premises:change_logo"), {"logo": file})
    assert answer.status_code == 422
    assert "Save the profile first" in answer.content.decode()
    answer = client.post(reverse("premises:remove_logo"), follow=True)
    assert "Save the profile first" in answer.content.decode()
