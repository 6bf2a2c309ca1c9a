"""What repairs taught goes out beside the Open Repair file: in its form, seen before, and with nothing personal.

The form is JSON Schema, draft 2020-12 (json-schema.org); no library for it is at hand, so `faults` below reads the words of it
that the schema uses, and is itself tried on files that are wrong.
"""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from shop.bench.models import Conclusion
from shop.counter.models import Job, Kind
from shop.frame.models import Role
from shop.handbook import openrepair
from shop.records.taking_out import repair_notes
from shop.records.taking_out.open_repair import open_repair_lines
from tests.factories.counter import CustomerFactory, UnitModelFactory
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.factories.records import past_job
from tests.pages import words_on

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]

TYPES = {"object": dict, "array": list, "string": str}


def faults(schema: dict[str, Any], value: Any, at: str = "file") -> list[str]:
    """What a value breaks of a schema."""
    if "const" in schema or "enum" in schema:
        return [] if value in schema.get("enum", [schema.get("const")]) else [at]
    if not isinstance(value, TYPES[schema["type"]]):
        return [at]
    if isinstance(value, str):
        return [] if schema["minLength"] <= len(value) <= schema["maxLength"] else [at]
    if isinstance(value, list):
        return [wrong for n, one in enumerate(value) for wrong in faults(schema["items"], one, f"{at}[{n}]")]
    known = schema["properties"]
    wrong = [f"{at}.{name}" for name in (set(schema["required"]) - set(value)) | (set(value) - set(known))]
    return wrong + [
        told
        for name, one in value.items()
        if name in known
        for told in faults(known[name], one, f"{at}.{name}")
    ]


@pytest.fixture(autouse=True)
def shop() -> None:
    ShopProfileFactory()


@pytest.fixture
def owner() -> Client:
    client = Client()
    client.force_login(StaffFactory(username="thaddeus"))
    return client


@pytest.fixture
def jobs(owner: Client) -> list[Job]:
    customer = CustomerFactory(name="Marguerite Osei", address="3 Tallow Street")
    receiver = UnitModelFactory(name="VX-318", kind=Kind.RECEIVER)
    first = past_job(
        complaint="No left channel",
        failed="Relay contacts",
        mode="dirty",
        remedy="Contacts cleaned for Mrs. Osei, thaddeus",
        marking="2SC5200-O",
        owner=customer,
        model=receiver,
    )
    back = past_job(
        complaint="No left channel again",
        failed="Relay",
        mode="worn",
        remedy="Relay replaced",
        at=dt.datetime(2026, 5, 2, 9, tzinfo=dt.UTC),
        model=receiver,
    )
    Job.objects.filter(pk=back.pk).update(comeback_of=first)
    Conclusion.objects.filter(job=back).update(known_by="cured_alone")
    return [first, back]


def test_each_record_tells_what_was_learnt_and_nobodys_name(jobs: list[Job]) -> None:
    first, back = jobs
    told: Any = repair_notes.document([first.number, back.number])
    assert faults(repair_notes.schema(), told) == []
    one, other = told["records"]
    assert (one["failed_part"], one["failure_mode"], one["repair_status"]) == (
        "Relay contacts",
        "dirty",
        "Fixed",
    )
    assert one["markings"] == [{"where": "Q701", "marking": "2SC5200-O"}]
    assert (other["known_by"], other["no_cure"][0][:16]) == ("cured_alone", "Contacts cleaned")
    for private in ("Osei", "Marguerite", "Tallow", "thaddeus"):
        assert private not in json.dumps(one, ensure_ascii=False)
    published = "".join(open_repair_lines())
    assert all(record["id"] in published for record in told["records"])
    assert {record["category"] for record in told["records"]} <= set(openrepair.CATEGORY_IDS)


@pytest.mark.parametrize(
    "change",
    [
        {"failure_mode": "exploded"},
        {"customer": "Marguerite"},
        {"failed_part": ""},
        {"markings": [{"where": "Q1"}]},
        {"no_cure": "nothing"},
    ],
)
def test_a_file_that_is_wrong_breaks_its_form(jobs: list[Job], change: dict[str, Any]) -> None:
    told = json.loads(json.dumps(repair_notes.document([jobs[0].number])))
    told["records"][0] |= change
    assert len(faults(repair_notes.schema(), told)) == 1


def test_a_rule_offers_and_a_mark_decides(owner: Client, jobs: list[Job]) -> None:
    page = words_on(owner.get(reverse("records:repair_notes")))
    assert "2 records" in page
    assert "Did not cure it: Contacts cleaned" in page
    sure = words_on(owner.get(reverse("records:repair_notes"), {"sure": "on", "since": "2026-01-01"}))
    assert "1 record." in sure
    none = owner.get(reverse("records:repair_notes"), {"kinds": "radio"})
    assert "No repair that went home fits" in words_on(none)
    wrong = owner.get(reverse("records:repair_notes"), {"since": "yesterday"})
    assert (wrong.status_code, "This is no day." in words_on(wrong)) == (422, True)
    taken = owner.get(reverse("records:repair_notes_file"), {"job": [jobs[1].number]})
    assert [one["failed_part"] for one in json.loads(taken.content)["records"]] == ["Relay"]
    assert json.loads(owner.get(reverse("records:repair_notes_schema")).content) == repair_notes.schema()


def test_open_jobs_those_without_a_fault_and_struck_conclusions_stay_here(jobs: list[Job]) -> None:
    still = past_job(complaint="Hum", failed="Capacitor", home=False)
    none = past_job(complaint="Hum", failed="Nothing", mode="none_found")
    Conclusion.objects.filter(job=jobs[1]).update(
        struck_at=dt.datetime(2026, 6, 1, tzinfo=dt.UTC), struck_reason="wrong"
    )
    told: Any = repair_notes.document([job.number for job in (*jobs, still, none)])
    assert [one["failed_part"] for one in told["records"]] == ["Relay contacts"]


def test_only_the_owner_takes_them_out(jobs: list[Job]) -> None:
    client = Client()
    client.force_login(StaffFactory(roles=[Role.COUNTER, Role.BENCH]))
    for name in ("repair_notes", "repair_notes_file", "repair_notes_schema"):
        assert client.get(reverse(f"records:{name}")).status_code == 403
