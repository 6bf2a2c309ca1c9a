"""Booking units in at the counter, through the pages as a browser sends them."""

from __future__ import annotations

import datetime as dt
import uuid
from io import BytesIO

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image
from pypdfium2 import PdfDocument

from shop.counter.models import Customer, Job, Promise, Unit
from shop.counter.stages import Stage
from shop.frame import clock
from shop.frame.journal import verify
from shop.frame.models import ShopProfile
from shop.frame.profile import forget
from tests.factories.counter import CustomerFactory, UnitFactory, UnitModelFactory, booked_in
from tests.factories.premises import ShopProfileFactory, StaffFactory


@pytest.fixture
def counter(client, db):
    ShopProfileFactory()
    client.force_login(StaffFactory(roles=["counter"]))
    return client


def typed(**changes: str) -> dict[str, str]:
    """The form of one unit as it is sent."""
    form = {
        "once": str(uuid.uuid4()),
        "count": "1",
        "how_it_came": "carried_in",
        "u0-maker": "Quillhaven",
        "u0-model": "VX-318",
        "u0-serial": "A40 118 207",
        "u0-kind": "receiver",
        "u0-mains": "on",
        "u0-line_voltage": "120",
        "u0-protection_class": "II",
        "u0-complaint": "Left channel cuts out when it is warm.",
        "u0-accessories": "cord, remote; feet",
        "u0-shelf": "B3",
        "u0-agreed_value": "380.00",
        "u0-bench_fee": "60",
    }
    return form | changes


def book(client, customer: Customer, **changes: str):
    return client.post(reverse("counter:book_in_for", args=[customer.pk]), typed(**changes))


def test_intake_asks_what_the_shop_wants_asked_and_suggests_its_fee(counter) -> None:
    customer = CustomerFactory(address="")
    page = reverse("counter:book_in_for", args=[customer.pk])
    wanted = ("Year of make", "First word by", "Address of the customer", 'value="75.00"')
    said = counter.get(page).content.decode()
    assert not any(words in said for words in wanted)
    ShopProfile.objects.update(
        asks_year=True, asks_address=True, asks_first_word=True, bench_fee_ten_thousandths=750_000
    )
    forget()
    said = counter.get(page).content.decode()
    assert [words for words in wanted if words not in said] == []
    day = clock.today() + dt.timedelta(days=5)
    asked = {"u0-year_made": "1978", "u0-first_word_by": f"{day}", "address": "4 Loom Yard\nNew Ambler, CA"}
    wrong = book(counter, customer, **{**asked, "u0-year_made": "2999"})
    assert "That year has not come yet." in wrong.content.decode()
    assert not Job.objects.exists()
    assert book(counter, customer, **asked).status_code == 303
    job = Job.objects.get()
    assert (job.unit.year_made, job.customer.address) == (1978, asked["address"])
    assert [(one.what, one.day) for one in Promise.objects.all()] == [(Promise.What.WORD, day)]
    assert "Address of the customer" not in counter.get(page).content.decode(), "asked twice"
    right = reverse("counter:put_right", args=[job.number])
    assert 'value="1978"' in counter.get(right).content.decode()


def test_a_unit_is_booked_in_with_everything_that_was_said(counter) -> None:
    customer = CustomerFactory(regular=True)
    answer = book(counter, customer)
    job = Job.objects.get()
    assert answer.status_code == 303
    assert (job.stage, job.shelf, job.agreed_value_minor, job.bench_fee_minor) == (
        Stage.BOOKED_IN,
        "B3",
        38_000,
        6_000,
    )
    assert [accessory.name for accessory in job.accessories.all()] == ["cord", "remote", "feet"]
    assert str(job.unit) == "Quillhaven VX-318 A40 118 207"
    assert verify() == []


def test_a_new_model_needs_its_kind_and_a_known_one_has_it(counter) -> None:
    """Without one a disc player came to the bench and no caution spoke of its laser."""
    customer = CustomerFactory()
    answer = book(counter, customer, **{"u0-kind": ""})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "Choose what kind of unit it is" in page
    assert 'value="VX-318"' in page
    assert Job.objects.count() == 0
    assert book(counter, customer, **{"u0-kind": "cd_player"}).status_code == 303
    assert book(counter, CustomerFactory(), **{"u0-kind": "", "u0-serial": "2"}).status_code == 303
    assert {job.unit.model.kind for job in Job.objects.all()} == {"cd_player"}


def test_the_same_form_sent_twice_books_in_once(counter) -> None:
    customer = CustomerFactory()
    key = str(uuid.uuid4())
    for _ in range(2):
        assert book(counter, customer, once=key).status_code == 303
    assert Job.objects.count() == 1


def test_several_units_of_one_customer_are_booked_in_in_one_go(counter) -> None:
    customer = CustomerFactory()
    second = {name.replace("u0-", "u1-"): value for name, value in typed().items() if name.startswith("u0-")}
    second |= {"u1-model": "TD 40", "u1-serial": "7", "count": "2"}
    book(counter, customer, **second)
    assert [job.unit.model.name for job in Job.objects.order_by("id")] == ["VX-318", "TD 40"]


def test_several_units_sent_twice_lead_to_all_of_them_again(counter) -> None:
    form = typed(count="2") | {
        "u1-maker": "Tarnbeck",
        "u1-model": "Lumen 6",
        "u1-kind": "synthesizer",
        "u1-complaint": "Out of tune.",
    }
    address = reverse("counter:book_in_for", args=[CustomerFactory().pk])
    first, second = counter.post(address, form), counter.post(address, form)
    assert Job.objects.count() == 2
    assert second.url == first.url
    assert all(job.number in first.url for job in Job.objects.all())


def test_one_more_unit_keeps_what_was_typed_and_saves_nothing(counter) -> None:
    customer = CustomerFactory()
    answer = counter.post(reverse("counter:another_unit", args=[customer.pk, "book-in"]), typed())
    assert answer.status_code == 200
    assert "Left channel cuts out when it is warm." in answer.content.decode()
    assert "u1-complaint" in answer.content.decode()
    assert not Job.objects.exists()


@pytest.mark.parametrize("way", ["book-in", "announce"])
def test_after_one_more_unit_the_button_takes_them_all(counter, way) -> None:
    customer = CustomerFactory()
    page = counter.post(reverse("counter:another_unit", args=[customer.pk, way]), typed()).content.decode()
    address = reverse(f"counter:{way.replace('-', '_')}_for", args=[customer.pk])
    assert f'<form action="{address}" method="post"' in page
    sent = typed(count="2") | {
        "u1-maker": "Tarnbeck",
        "u1-model": "Lumen 6",
        "u1-kind": "synthesizer",
        "u1-complaint": "Dead.",
    }
    assert counter.post(address, sent).status_code == 303
    assert Job.objects.count() == 2


def test_photographs_that_a_browser_forgets_are_asked_for_again(counter) -> None:
    front = BytesIO()
    Image.new("RGB", (40, 30)).save(front, "PNG")
    sent = typed() | {"u0-photos": SimpleUploadedFile("front.png", front.getvalue(), "image/png")}
    page = counter.post(reverse("counter:another_unit", args=[CustomerFactory().pk, "book-in"]), sent)
    assert page.content.decode().count("Choose the photographs again") == 1


def test_a_new_customer_of_an_announced_parcel_leads_on_to_announcing_it(counter) -> None:
    answer = counter.post(reverse("counter:add_customer") + "?name=Osk&expected=1", {"name": "Wendelin Osk"})
    assert answer.url == reverse("counter:announce_for", args=[Customer.objects.get().pk])


def test_maker_and_model_of_a_new_unit_are_marked_as_needed(counter) -> None:
    page = counter.get(reverse("counter:book_in_for", args=[CustomerFactory().pk])).content.decode()
    label = page[page.index('for="id_u0-maker"') :]
    assert "optional" not in label[: label.index("<input")]


@pytest.mark.parametrize("spelled", ["vx318", "VX 318", "V.X.-3l8".replace("l", "1")])
def test_the_same_unit_back_again_is_recognised_however_it_is_typed(counter, spelled) -> None:
    unit = UnitFactory(serial="A-118", serial_folded="a118")
    book(counter, unit.owner, **{"u0-model": spelled, "u0-serial": "a 118"})
    assert Job.objects.get().unit == unit
    assert Unit.objects.count() == 1


def test_a_unit_that_was_sold_on_is_asked_about_and_then_changes_hands(counter) -> None:
    unit = UnitFactory(serial="A118", serial_folded="a118")
    buyer = CustomerFactory(stranger=True)
    answer = book(counter, buyer, **{"u0-serial": "A118"})
    assert answer.status_code == 422
    assert "say whether it is this one" in answer.content.decode()
    assert not Job.objects.exists()
    book(counter, buyer, **{"u0-serial": "A118", "u0-same_unit": str(unit.pk)})
    unit.refresh_from_db()
    assert (Job.objects.get().unit, unit.owner) == (unit, buyer)


def test_a_known_unit_is_chosen_without_typing_it_again(counter) -> None:
    unit = UnitFactory()
    book(counter, unit.owner, **{"u0-known": str(unit.pk), "u0-maker": "", "u0-model": ""})
    assert Job.objects.get().unit == unit


def test_the_shop_itself_can_be_the_customer(counter) -> None:
    answer = counter.post(reverse("counter:book_in_own"))
    shop = Customer.objects.get(is_shop=True)
    assert answer.url == reverse("counter:book_in_for", args=[shop.pk])
    assert counter.post(reverse("counter:book_in_own")).url == answer.url


def test_a_parcel_is_announced_and_booked_in_when_its_box_is_opened(counter) -> None:
    customer = CustomerFactory()
    form = typed(carrier="Overland Post", tracking="OP 118 207")
    counter.post(reverse("counter:announce_for", args=[customer.pk]), form)
    job = Job.objects.get()
    assert (job.stage, job.inbound.tracking) == (Stage.EXPECTED, "OP 118 207")
    answer = counter.post(
        reverse("counter:receive", args=[job.number]),
        {"packing_state": "damaged", "packing_note": "", "shelf": "C1"},
    )
    assert answer.status_code == 422
    assert "Say what is damaged" in answer.content.decode()
    counter.post(
        reverse("counter:receive", args=[job.number]),
        {
            "packing_state": "damaged",
            "packing_note": "Corner crushed, no cushion.",
            "shelf": "C1",
            "accessories": "cord",
        },
    )
    job.refresh_from_db()
    assert (job.stage, job.shelf, job.inbound.packing_state) == (Stage.BOOKED_IN, "C1", "damaged")


def test_an_announced_unit_that_never_came_is_called_off(counter) -> None:
    customer = CustomerFactory()
    counter.post(reverse("counter:announce_for", args=[customer.pk]), typed(carrier="", tracking=""))
    job = Job.objects.get()
    counter.post(reverse("counter:call_off", args=[job.number]))
    job.refresh_from_db()
    assert job.stage == Stage.CALLED_OFF


BAD = {
    "no complaint": ({"u0-complaint": "  "}, "Write down what the customer complains of."),
    "no maker": ({"u0-maker": ""}, "Say who made it"),
    "no model": ({"u0-model": "--"}, "Say which model it is"),
    "a negative value": ({"u0-agreed_value": "-5"}, "less than nothing"),
    "a value past all sense": ({"u0-agreed_value": "1e309"}, "1e309"),
    "a sum in words": ({"u0-limit": "about fifty"}, "about fifty"),
    "a voltage no socket has": ({"u0-line_voltage": "99999"}, "480"),
    "too long a complaint": ({"u0-complaint": "x" * 9000}, "8000"),
    "too many accessories": ({"u0-accessories": ",".join(["cord"] * 40)}, "Up to 30"),
    "an unheard-of way of coming": ({"how_it_came": "by balloon"}, "Choose one of those that are offered."),
}


@pytest.mark.parametrize("changes, sentence", BAD.values(), ids=BAD.keys())
def test_a_form_that_is_wrong_says_so_keeps_what_was_typed_and_saves_nothing(
    counter, changes, sentence
) -> None:
    customer = CustomerFactory()
    answer = book(counter, customer, **changes)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page
    assert "A40 118 207" in page
    assert not Job.objects.exists()
    assert not Unit.objects.exists()


def test_a_text_of_ten_megabytes_gets_one_sentence(counter) -> None:
    answer = book(counter, CustomerFactory(), **{"u0-complaint": "x" * 10_000_000})
    assert answer.status_code == 422
    assert "This is 10000000 characters long; up to 8000 fit." in answer.content.decode()
    assert not Job.objects.exists()


def test_a_picture_that_is_none_gets_one_sentence_and_nothing_is_half_saved(counter) -> None:
    from django.core.files.uploadedfile import SimpleUploadedFile  # noqa: PLC0415

    form = typed() | {"u0-photos": SimpleUploadedFile("photo.jpg", b"not a picture at all", "image/jpeg")}
    answer = counter.post(reverse("counter:book_in_for", args=[CustomerFactory().pk]), form)
    assert answer.status_code == 422
    assert "A40 118 207" in answer.content.decode()
    assert not Job.objects.exists()


@pytest.mark.parametrize("typed_words", ["oseI", "osei marg", "555-0117", "0117", "marguerite@"])
def test_a_customer_is_found_by_a_part_of_name_or_phone(counter, typed_words) -> None:
    CustomerFactory(regular=True)
    CustomerFactory(business=True)
    page = counter.get(reverse("counter:book_in"), {"who": typed_words}).content.decode()
    assert "Marguerite Osei" in page
    assert "Ivo Lindqvist" not in page


def test_a_likely_double_is_offered_and_not_forced(counter) -> None:
    known = CustomerFactory(regular=True)
    form = {"name": "marguerite OSEI", "phone": "555-0117"}
    answer = counter.post(reverse("counter:add_customer"), form)
    assert answer.status_code == 422
    assert reverse("counter:book_in_for", args=[known.pk]) in answer.content.decode()
    assert Customer.objects.count() == 1
    assert counter.post(reverse("counter:add_customer"), form | {"sure": "on"}).status_code == 303
    assert Customer.objects.count() == 2


def test_the_counter_is_shut_to_those_who_only_work_at_the_bench(client, db) -> None:
    ShopProfileFactory()
    client.force_login(StaffFactory(roles=["bench"]))
    assert client.get(reverse("counter:book_in")).status_code == 403


def test_a_list_of_fifty_asks_the_database_no_more_often_than_a_list_of_one(
    counter, django_assert_max_num_queries
) -> None:
    first = booked_in(unit=UnitFactory(model=UnitModelFactory()))
    counts = []
    for _ in range(2):
        with django_assert_max_num_queries(25) as asked:
            counter.get(reverse("counter:customer", args=[first.customer_id]))
        counts.append(len(asked))
        for _ in range(20):
            booked_in(unit=UnitFactory(owner=first.customer))
    assert counts[0] == counts[1]


def test_a_claim_check_of_the_evening_bears_the_shops_day_not_that_of_greenwich(client, db) -> None:
    ShopProfileFactory(time_zone="America/Los_Angeles", language="en-US")
    client.force_login(StaffFactory(roles=["counter"]))
    with time_machine.travel(dt.datetime(2026, 6, 2, 2, 0, tzinfo=dt.UTC), tick=False):
        book(client, CustomerFactory())
        answer = client.post(reverse("counter:claim_check", args=[Job.objects.get().number]))
        paper = client.get(answer.url).content
    words = "".join(page.get_textpage().get_text_bounded() for page in PdfDocument(paper))
    assert "June 1, 2026" in words
    assert words.count("Jun 1, 2026") == 1  # beside the name of who took it in; the customer writes the day
    assert "Jun 2" not in words
