"""Wrong forms in every room: one clear sentence, what was typed is kept, and the book stays as it was, to the last row."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from html import unescape
from html.parser import HTMLParser
from operator import attrgetter
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.urls import reverse

from shop.bench import actions as bench
from shop.bench.models import Finding, Stint
from shop.counter import actions as counter
from shop.counter.actions import AccessoryTaken, Intake, UnitDescribed
from shop.counter.models import Job
from shop.frame.models import JournalHead, Staff
from shop.office import actions as office
from shop.office.models import Estimate, Invoice
from shop.stockroom import actions as stockroom
from shop.stockroom.models import Part
from shop.window.actions import open_window
from tests.factories.counter import CustomerFactory, booked_in
from tests.factories.office import item, rates, rules
from tests.factories.premises import ShopProfileFactory, StaffFactory

pytestmark = pytest.mark.django_db


@dataclass
class House:
    """A shop with something lying in every room."""

    owner: Staff
    client: Client
    shelf: Job
    bench: Job
    coming: Job
    asked: Job
    ready: Job
    gone: Job
    stint: Stint
    finding: Finding
    part: Part
    draft: Invoice
    secret: str


@pytest.fixture
def house() -> House:
    ShopProfileFactory()
    owner = StaffFactory(username="ottoline")
    rules()
    rates()
    on_the_bench = booked_in(by=owner, accessories=[AccessoryTaken(name="cord")])
    stint = bench.start_stint(job=on_the_bench, kind="repair", by=owner)
    finding = bench.add_finding(job=on_the_bench, text="Belt is tar.", by=owner)
    bench.conclude(
        job=on_the_bench, failed="belt", mode="worn", remedy="New belt", outcome="repaired", by=owner
    )
    asked, ready = booked_in(by=owner), booked_in(by=owner, accessories=[AccessoryTaken(name="remote")])
    gone = booked_in(by=owner)
    counter.set_ready_unopened(job=gone, outcome="declined", by=owner)
    bench.waive_safety(job=gone, reason="Never opened; the customer knows.", by=owner)
    estimate = office.draft_estimate(job=asked, items=[item(job=asked)], by=owner)
    bench.take_to_bench(job=asked, by=owner)
    office.put_estimate(estimate=estimate, by=owner)
    counter.set_ready_unopened(job=ready, outcome="declined", by=owner)
    (coming,) = counter.announce(
        customer=CustomerFactory(),
        intakes=[Intake(unit=UnitDescribed(maker="Quillhaven", model="VX-1"), complaint="Hums")],
        by=owner,
    )
    part = stockroom.add_part(description="Belt 72 mm", drawer="C4", by=owner)
    stockroom.receive(part=part, quantity_thousandths=2_000, by=owner)
    office.record_answer(
        job=ready, answer="up_to", how="written", given_by="Odalys", up_to_minor=10**6, by=owner
    )
    client = Client()
    client.force_login(owner)
    return House(
        owner=owner,
        client=client,
        shelf=booked_in(by=owner),
        bench=Job.objects.get(pk=on_the_bench.pk),
        coming=coming,
        asked=Job.objects.get(pk=asked.pk),
        ready=Job.objects.get(pk=ready.pk),
        gone=Job.objects.get(pk=gone.pk),
        stint=stint,
        finding=finding,
        part=part,
        draft=office.draft_invoice(
            customer=ready.customer, jobs=[ready], items=[item(job=ready, price="20")], by=owner
        ),
        secret=open_window(job=asked, by=owner),
    )


def the_whole_book() -> dict[str, Any]:
    """Every row of every table, sessions aside, and the journal's head."""
    with connection.cursor() as cursor:
        book = {}
        for table in connection.introspection.django_table_names(only_existing=True):
            if table != "django_session":
                cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)}")  # noqa: S608
                book[table] = sorted(map(repr, cursor.fetchall()))
    return book


Args = Callable[[House], tuple[Any, ...]]


@dataclass(frozen=True)
class Wrong:
    """One wrong form: where it is sent, what is typed, the sentence, and a word of it that must still be there."""

    door: str
    args: Args
    typed: dict[str, Any]
    sentence: str
    kept: str = ""


def of(*paths: str) -> Args:
    """What stands in a door's address, read off the house."""
    return lambda house: tuple(attrgetter(path)(house) for path in paths)


NOBODY, CUSTOMER, PART, WINDOW = of(), of("shelf.customer_id"), of("part.pk"), of("secret")
SHELF, BENCH, READY, ASKED = of("shelf.number"), of("bench.number"), of("ready.number"), of("asked.number")
COMING, STINT = of("coming.number"), of("bench.number", "stint.pk")
UNIT = {
    "count": "1",
    "how_it_came": "carried_in",
    "u0-maker": "Tarnbeck",
    "u0-model": "Lumen 6",
    "u0-kind": "synthesizer",
    "u0-complaint": "Hums",
}
TEN_MEGABYTES = "ten " * 2_500_000
PARCEL = {
    "length": "20",
    "width": "15",
    "height": "10",
    "weight": "12",
    "address": "Odalys Fennimore\n3 Tallow Street",
    "country": "US",
}


def no_picture() -> SimpleUploadedFile:
    return SimpleUploadedFile("photo.jpg", b"this is no picture", content_type="image/jpeg")


WRONG: dict[str, Wrong] = {
    "a customer without a letter": Wrong(
        "counter:add_customer",
        NOBODY,
        {"name": "···", "address": "9 Elm"},
        "Type a name with at least one letter.",
        "9 Elm",
    ),
    "a phone number without digits": Wrong(
        "counter:add_customer",
        NOBODY,
        {"name": "Odalys", "phone": "by pigeon"},
        "A phone number has digits in it.",
        "by pigeon",
    ),
    "a country spelt out": Wrong(
        "counter:add_customer",
        NOBODY,
        {"name": "Odalys", "country": "Germany"},
        "This is 7 characters long; up to 2 fit.",
        "Germany",
    ),
    "a unit without a complaint": Wrong(
        "counter:book_in_for",
        CUSTOMER,
        {**UNIT, "u0-complaint": "  ", "u0-shelf": "B3"},
        "Write down what the customer complains of.",
        "B3",
    ),
    "a line voltage of 1e309": Wrong(
        "counter:book_in_for",
        CUSTOMER,
        {**UNIT, "u0-line_voltage": "1e309"},
        "Enter a whole number.",
        "Lumen 6",
    ),
    "an agreed value below nothing": Wrong(
        "counter:book_in_for",
        CUSTOMER,
        {**UNIT, "u0-agreed_value": "-900"},
        "This can't be less than nothing.",
        "-900",
    ),
    "a complaint of ten megabytes": Wrong(
        "counter:book_in_for",
        CUSTOMER,
        {**UNIT, "u0-complaint": TEN_MEGABYTES},
        "characters long; up to 8000 fit.",
        TEN_MEGABYTES[-40_000:].strip(),
    ),
    "a picture that is none, at the counter": Wrong(
        "counter:book_in_for",
        CUSTOMER,
        {**UNIT, "u0-photos": no_picture},
        "“photo.jpg” is not a picture that this shop can read: send JPEG, PNG, WebP or HEIC.",
        "Lumen 6",
    ),
    "a promise for 2265": Wrong(
        "counter:promise",
        SHELF,
        {"promised_for": "2265-03-01"},
        "A promise lies between today and three years from now.",
        "2265-03-01",
    ),
    "a first word in 2265": Wrong(
        "counter:promise_word",
        SHELF,
        {"word_by": "2265-03-01"},
        "A promise lies between today and three years from now.",
        "2265-03-01",
    ),
    "a day of thirty hours": Wrong(
        "premises:hours",
        NOBODY,
        {"from_date": "2026-11-02", "monday": "30"},
        "Write hours between 0 and 24, such as 2, 2.5 or 2:30.",
        "30",
    ),
    "a week of no hours": Wrong(
        "premises:hours",
        NOBODY,
        {"from_date": "2026-11-02", "monday": "0"},
        "Without bench time in the week no job is ever ready. Write hours for one day.",
        "0",
    ),
    "a week off that ends before it begins": Wrong(
        "premises:add_days_off",
        NOBODY,
        {"first": "2026-11-09", "last": "2026-11-02", "why": "Away"},
        "The last day lies before the first.",
        "Away",
    ),
    "a quiet hour of 30": Wrong(
        "premises:set_promise_rules",
        NOBODY,
        {"retell_days": "3", "quiet_hour": "30"},
        "Write a whole number from 12 to 24.",
        "30",
    ),
    "a damaged box without a word": Wrong(
        "counter:receive",
        COMING,
        {"packing_state": "damaged", "shelf": "B7"},
        "Say what is damaged; a claim against the carrier hangs on it.",
        "B7",
    ),
    "calling off a unit that is here": Wrong(
        "counter:call_off", SHELF, {}, "is “Booked in” and can't become “Called off” from there."
    ),
    "a reading of 4k7x": Wrong(
        "bench:reading",
        BENCH,
        {"typed": "4k7x", "quantity": "resistance", "where": "R12"},
        "“4k7x” can't be read as resistance, such as 12 Ω.",
        "4k7x",
    ),
    "a reading of 1e309 volts": Wrong(
        "bench:reading",
        BENCH,
        {"typed": "1e309 V", "quantity": "voltage_dc", "where": "TP1"},
        "Ten to the power of 309 is beyond every meter.",
        "1e309 V",
    ),
    "a reading in the wrong unit": Wrong(
        "bench:reading",
        BENCH,
        {"typed": "12 V", "quantity": "resistance", "where": "TP1"},
        "“12 V” is in V, but resistance was chosen.",
        "12 V",
    ),
    "an expectation that can't be read": Wrong(
        "bench:reading",
        BENCH,
        {"typed": "12 V", "quantity": "voltage_dc", "where": "TP1", "expected": "somewhat high"},
        "“somewhat high” can't be read as DC voltage, such as 12 V.",
        "somewhat high",
    ),
    "words that say nothing": Wrong("bench:say", BENCH, {"text": " "}, "Say something first."),
    "a finding with nothing in it": Wrong("bench:finding", BENCH, {"text": " "}, "Say what was found."),
    "a stint that stops before it starts": Wrong(
        "bench:mend_stint",
        STINT,
        {"started_at": "2026-03-02T10:00", "stopped_at": "2026-03-02T09:00"},
        "The stint stops before it starts.",
        "2026-03-02T09:00",
    ),
    "a stint in 2265": Wrong(
        "bench:mend_stint",
        STINT,
        {"started_at": "2265-03-02T10:00", "stopped_at": "2265-03-02T11:00"},
        "The stint can't stop in the future.",
        "2265-03-02T11:00",
    ),
    "less than nothing fitted": Wrong(
        "bench:part",
        BENCH,
        {"drawer": "Belt", "free": "on", "quantity": "-1", "unit_price": "3"},
        "The quantity is more than nothing.",
        "-1",
    ),
    "more fitted than lies there": Wrong(
        "bench:part",
        BENCH,
        {"part": "the part", "drawer": "Belt", "quantity": "5", "position": "IC7"},
        "There is not that much of P-0001 in the drawer: 2 left.",
        "IC7",
    ),
    "a price of 1e309": Wrong(
        "bench:part",
        BENCH,
        {"drawer": "Belt", "free": "on", "quantity": "1", "unit_price": "1e309"},
        "“1e309” is not an amount in USD: write digits, such as 12.",
        "1e309",
    ),
    "a soak test of minus four hours": Wrong(
        "bench:soak",
        BENCH,
        {"hours": "-4", "check_every": "60"},
        "A soak test lasts six minutes at least.",
        "-4",
    ),
    "a soak test before the conclusion": Wrong(
        "bench:soak",
        SHELF,
        {"hours": "4", "check_every": "60"},
        "State first what had failed and what fixed it; then it goes on soak test.",
    ),
    "an end of a soak test that never began": Wrong(
        "bench:soak_end", BENCH, {"result": "passed"}, "No soak test runs on this job."
    ),
    "a picture that is none, at the bench": Wrong(
        "bench:photos",
        BENCH,
        {"photos": no_picture, "shows": "bench", "caption": "Left board"},
        "“photo.jpg” is not a picture that this shop can read: send JPEG, PNG, WebP or HEIC.",
        "Left board",
    ),
    "a conclusion without what had failed": Wrong(
        "bench:conclusion",
        BENCH,
        {"failed": "", "mode": "drift", "remedy": "New belt", "outcome": "repaired"},
        "Say what had failed.",
        "New belt",
    ),
    "a line struck out without a reason": Wrong(
        "bench:strike",
        lambda house: (house.bench.number, "finding", house.finding.pk),
        {"reason": ""},
        "Say why this line is struck out.",
    ),
    "a deposit below nothing": Wrong(
        "office:take_deposit",
        READY,
        {"deposit-amount": "-20", "deposit-how": "cash"},
        "This is too little.",
        "-20",
    ),
    "a deposit of 1e309": Wrong(
        "office:take_deposit",
        READY,
        {"deposit-amount": "1e309", "deposit-how": "cash"},
        "“1e309” is not an amount in USD: write digits, such as 12.",
        "1e309",
    ),
    "an answer that nobody gave": Wrong(
        "office:record_answer",
        ASKED,
        {"answer": "yes", "how": "phone", "given_by": "", "phone_called": "555-0177"},
        "Name of who gave it is missing.",
        "555-0177",
    ),
    "a payment that is no sum": Wrong(
        "office:take_payment",
        lambda house: (issued(house).pk,),
        {"payment-amount": "twenty", "payment-how": "cash"},
        "“twenty” is not an amount in USD: write digits, such as 12.",
        "twenty",
    ),
    "a box without a length": Wrong(
        "dispatch:pack",
        READY,
        {**PARCEL, "length": "-20", "jobs": "the job"},
        "This is more than nothing and at most 1,000.",
        "-20",
    ),
    "a box of 1e309 pounds": Wrong(
        "dispatch:pack",
        READY,
        {**PARCEL, "weight": "1e309", "jobs": "the job"},
        "Write a weight as a number with its unit, such as 12 lb 8 oz or 5.7 kg.",
        "1e309",
    ),
    "packing a unit that is on the bench": Wrong(
        "dispatch:pack", BENCH, {**PARCEL, "jobs": "the job"}, "Choose one of those that are offered."
    ),
    "an accessory that stays, without why": Wrong(
        "dispatch:check_accessory",
        lambda house: (house.ready.number, house.ready.accessories.get().pk),
        {"{accessory}-included": "no", "{accessory}-explanation": ""},
        "Say why “remote” does not go back.",
    ),
    "minus three parts received": Wrong(
        "stockroom:receive",
        PART,
        {"quantity": "-3", "unit_cost": "0.40"},
        "The quantity is more than nothing.",
        "-3",
    ),
    "a part without a name": Wrong(
        "stockroom:add_part", NOBODY, {"description": "", "drawer": "K9"}, "Say what it is.", "K9"
    ),
    "a count in words": Wrong(
        "stockroom:count",
        PART,
        {"counted": "a few"},
        "Type the quantity as a number, such as 2 or 0.5.",
        "a few",
    ),
    "words that mean the same as nothing": Wrong(
        "records:synonyms",
        NOBODY,
        {"words": "hum"},
        "Type two words or more that differ, with commas between them.",
        "hum",
    ),
    "a word of ten megabytes at the window": Wrong(
        "window:say_word", WINDOW, {"text": TEN_MEGABYTES}, "characters long; up to 2000 fit."
    ),
    "a yes at the window without a name": Wrong(
        "window:answer",
        WINDOW,
        {
            "estimate": "the estimate",
            "answer": "yes",
            "given_by": "",
            "conditions": "Call first",
            "meant": "on",
        },
        "Your name is missing.",
        "Call first",
    ),
    "a next number that was given already": Wrong(
        "premises:set_number",
        NOBODY,
        {"series": "job", "year": "2026", "value": "0"},
        "Write a whole number from 1 to 9,999,999.",
    ),
}


def issued(house: House) -> Invoice:
    """The draft, issued."""
    return office.issue_invoice(invoice=house.draft, by=house.owner)


def filled(house: House, wrong: Wrong | Twice) -> dict[str, Any]:
    """What is typed, with the house's own rows in it."""
    names = {
        "the part": house.part.pk,
        "the job": house.ready.number,
        "the job that goes": house.gone.number,
        "the estimate": Estimate.objects.filter(job=house.asked).values_list("pk", flat=True)[0],
    }
    made = {}
    for name, value in wrong.typed.items():
        if "{accessory}" in name:
            name = name.replace("{accessory}", f"a{house.ready.accessories.get().pk}")  # noqa: PLW2901
        made[name] = value() if callable(value) else names.get(value, value)
    # a form that stands beside others on its page has its key under its own prefix
    prefixes = {"", *(name.rpartition("-")[0] for name in made)}
    return made | {f"{prefix}-once" if prefix else "once": str(uuid.uuid4()) for prefix in prefixes}


VOID = {"br", "img", "input", "use"}


class Sentences(HTMLParser):
    """The sentences of a page that say what is wrong: in the errors of fields and in notices of refusals."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.inside: list[str] = []
        self.found: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        marks = str(given.get("class", "")).split()
        # what scripts may show later lies in a template
        begins = tag == "template" or "field-error" in marks or given.get("role") == "alert"
        if tag in VOID or not (self.inside or begins):
            return
        if not self.inside and tag != "template":
            self.found.append("")
        self.inside.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if self.inside and tag not in VOID:
            self.inside.pop()

    def handle_data(self, data: str) -> None:
        if self.inside and self.inside[0] != "template":
            self.found[-1] += data


@pytest.mark.parametrize("name", WRONG)
def test_a_wrong_form_gets_one_clear_sentence_and_changes_nothing(name: str, house: House) -> None:
    wrong = WRONG[name]
    address = reverse(wrong.door, args=wrong.args(house))
    before, head = the_whole_book(), JournalHead.objects.get().digest
    answer = house.client.post(address, filled(house, wrong))
    page = answer.content.decode()
    assert answer.status_code == 422
    (sentence,) = {" ".join(one.split()) for one in Sentences(page).found if one.strip()}
    assert wrong.sentence in sentence
    assert wrong.kept in unescape(page)
    assert the_whole_book() == before
    assert JournalHead.objects.get().digest == head


@dataclass(frozen=True)
class Twice:
    """A right form that is sent twice, as after a double click or a lost answer."""

    door: str
    args: Args
    typed: dict[str, Any]


TWICE: dict[str, Twice] = {
    "a customer": Twice("counter:add_customer", NOBODY, {"name": "Dashiell Crewe", "sure": "on"}),
    "a unit": Twice("counter:book_in_for", CUSTOMER, UNIT),
    "an accessory": Twice("counter:take_accessory", SHELF, {"name": "remote"}),
    "a claim check": Twice("counter:claim_check", SHELF, {}),
    "a unit that goes back unopened": Twice("counter:set_ready_unopened", SHELF, {"outcome": "declined"}),
    "an expected unit": Twice("counter:receive", COMING, {"packing_state": "sound", "shelf": "B2"}),
    "a unit that never came": Twice("counter:call_off", COMING, {}),
    "a sentence": Twice("bench:say", BENCH, {"text": "Belt is tar."}),
    "a finding": Twice("bench:finding", BENCH, {"text": "Belt is tar."}),
    "a part fitted": Twice("bench:part", BENCH, {"drawer": "Belt", "part": "the part", "quantity": "1"}),
    "a soak test": Twice("bench:soak", BENCH, {"hours": "4", "check_every": "60"}),
    "a deposit": Twice("office:take_deposit", READY, {"deposit-amount": "20", "deposit-how": "cash"}),
    "an answer": Twice(
        "office:record_answer",
        ASKED,
        {"answer": "yes", "how": "phone", "given_by": "Odalys", "phone_called": "555-0177"},
    ),
    "parts received": Twice("stockroom:receive", PART, {"quantity": "3", "unit_cost": "0.40"}),
    "a parcel": Twice("dispatch:pack", READY, {**PARCEL, "jobs": "the job"}),
    "a collection": Twice(
        "dispatch:collect",
        of("gone.number"),
        {"jobs": "the job that goes", "shown": "known", "collected_by": "Odalys", "received": "on"},
    ),
    "an invoice": Twice("office:issue_invoice", of("draft.pk"), {}),
    "a word": Twice("window:say_word", WINDOW, {"text": "Is it the belt?"}),
}


@pytest.mark.parametrize("name", TWICE)
def test_a_form_that_is_sent_twice_is_taken_once_and_answered_alike(name: str, house: House) -> None:
    twice = TWICE[name]
    address, typed = reverse(twice.door, args=twice.args(house)), filled(house, twice)
    untouched = the_whole_book()
    first = house.client.post(address, typed)
    assert first.status_code in {302, 303}, " ".join(Sentences(first.content.decode()).found)
    taken, head = the_whole_book(), JournalHead.objects.get().digest
    assert taken != untouched
    second = house.client.post(address, typed)
    assert (second.status_code, second.headers["location"]) == (
        first.status_code,
        first.headers["location"],
    )
    assert the_whole_book() == taken
    assert JournalHead.objects.get().digest == head


def test_there_are_thirty_wrong_forms_at_least_and_some_in_every_room() -> None:
    assert len(WRONG) >= 30
    rooms = {wrong.door.split(":")[0] for wrong in WRONG.values()}
    assert rooms == {"counter", "bench", "stockroom", "office", "dispatch", "records", "window", "premises"}
