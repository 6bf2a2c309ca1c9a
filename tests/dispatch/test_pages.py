"""Dispatch's pages as a browser asks for them: they work, keep their roles, and write nothing that is wrong."""

from __future__ import annotations

import base64
import datetime as dt
import io
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import URLPattern, reverse
from PIL import Image, ImageDraw

from shop.counter.models import Accessory, Job
from shop.counter.stages import Stage
from shop.dispatch import actions, urls
from shop.dispatch.models import Collection, GoingBack, Parcel
from shop.frame import clock
from shop.frame.models import JournalEntry, Role
from shop.keeping.models import Picture
from shop.office.models import OfficeRules
from tests.factories.dispatch import came_damaged, packed, ready
from tests.factories.premises import StaffFactory
from tests.pages import once

OWNERS = {"carriers", "carrier", "change_carrier", "add_rule", "withdraw_rule"}
READ = {"dispatch", "job", "plan", "parcel", "label", "inbound", "inbound_parcel", "carrier"}
BOTH = {"boxes", "carriers"}

PACKING = {
    "length": "24",
    "width": "20",
    "height": "12",
    "weight": "45",
    "address": "M. Osei\n3 Tallow Street\nPort Amity CA 90001",
    "country": "US",
}


@pytest.fixture
def things(by) -> dict[str, Any]:
    """One of everything that an address of dispatch names."""
    job = ready(by, accessories=("manual",))
    carrier = actions.add_carrier(name="Tern Post", by=by)
    tomorrow = clock.today() + dt.timedelta(days=1)
    facts = {"divisor": Decimal(139), "units": "in_lb", "rounding": "up"}
    return {
        "job": job,
        "accessory": Accessory.objects.get(),
        "parcel": packed(ready(by), by, carrier=carrier),
        "inbound": came_damaged(by),
        "box": actions.add_box(name="Large", length_mm=610, width_mm=508, height_mm=305, by=by),
        "carrier": carrier,
        "rule": actions.add_carrier_rule(carrier=carrier, from_date=tomorrow, by=by, **facts),
    }


def addresses(things: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Every address of the room, with a thing that is there where it names one."""
    inbound = dict.fromkeys(("inbound_parcel", "note_arrived", "photograph", "report_damage"), "inbound")
    tables = {
        "retire_box": "box",
        "carrier": "carrier",
        "change_carrier": "carrier",
        "add_rule": "carrier",
        "withdraw_rule": "rule",
    }
    named = inbound | tables
    for pattern in urls.urlpatterns:
        assert isinstance(pattern, URLPattern)
        name, route = str(pattern.name), str(pattern.pattern)
        args: list[Any] = [things["job"].number] if "<str:number>" in route else []
        if "<int:pk>" in route:
            args.append(things["accessory" if args else named.get(name, "parcel")].pk)
        yield name, reverse(f"dispatch:{name}", args=args)


def test_every_page_opens(owner, things) -> None:
    for name, address in addresses(things):
        if name in READ | BOTH and name != "label":
            assert owner.get(address).status_code == 200, name


def test_every_address_refuses_the_wrong_method(owner, things) -> None:
    for name, address in addresses(things):
        if name in READ:
            assert owner.post(address).status_code == 405, name
        elif name not in BOTH:
            assert owner.get(address).status_code == 405, name


def test_everybody_else_stays_outside(client, things) -> None:
    for name, address in addresses(things):
        assert client.get(address).status_code == 302, name
    client.force_login(StaffFactory(roles=[]))
    for name, address in addresses(things):
        method = client.get if name in READ | BOTH else client.post
        assert method(address).status_code == 403, name


def test_carriers_are_the_owners_and_the_rest_is_everybodys(client, things) -> None:
    client.force_login(StaffFactory(roles=[Role.COUNTER]))
    for name, address in addresses(things):
        method = client.get if name in READ | BOTH else client.post
        assert (method(address).status_code == 403) == (name in OWNERS), name


def test_no_page_asks_more_than_25_times(owner, things, django_assert_max_num_queries) -> None:
    for name, address in addresses(things):
        if name in READ | BOTH and name != "label":
            with django_assert_max_num_queries(25):
                owner.get(address)


@pytest.mark.parametrize("listing", ["dispatch", "inbound", "boxes", "carriers"])
def test_a_list_asks_as_often_for_eight_as_for_one(owner, by, listing) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            assert owner.get(reverse(f"dispatch:{listing}")).status_code == 200
        return len(queries)

    def more(n: int) -> None:
        ready(by)
        packed(ready(by), by)
        came_damaged(by)
        actions.add_box(name=f"Box {n}", length_mm=1, width_mm=1, height_mm=1, by=by)
        actions.add_carrier(name=f"Carrier {n}", by=by)

    more(0)
    asked()
    few = asked()
    for n in range(1, 8):
        more(n)
    assert asked() == few


# --- one job at the way home --------------------------------------------------------------------------------------


def test_a_missing_accessory_is_explained_on_the_jobs_page(dispatch, by) -> None:
    job = ready(by, accessories=("manual",))
    door = reverse("dispatch:check_accessory", args=[job.number, Accessory.objects.get().pk])
    prefix = f"a{Accessory.objects.get().pk}"
    answer = dispatch.post(door, {f"{prefix}-included": "no"})
    assert answer.status_code == 422
    assert "Say why “manual” does not go back" in answer.content.decode()
    assert not GoingBack.objects.exists()
    dispatch.post(door, {f"{prefix}-included": "no", f"{prefix}-explanation": "never came"})
    assert "never came" in dispatch.get(reverse("dispatch:job", args=[job.number])).content.decode()
    dispatch.post(door, {f"{prefix}-included": "yes"})
    assert GoingBack.objects.get().included


def test_a_parcel_is_packed_once_however_often_it_is_sent(dispatch, by) -> None:
    job = ready(by)
    form = once(jobs=job.number, **PACKING)
    for _ in range(2):
        answer = dispatch.post(reverse("dispatch:pack", args=[job.number]), form)
    parcel = Parcel.objects.get()
    assert answer.url == reverse("dispatch:parcel", args=[parcel.pk])
    assert (parcel.length_mm, parcel.weight_grams) == (610, 20_412)
    assert parcel.address.replace("\r", "") == PACKING["address"]


def test_a_box_of_the_shops_gives_its_size(dispatch, by) -> None:
    job = ready(by)
    box = actions.add_box(name="Large", length_mm=600, width_mm=500, height_mm=300, by=by)
    sizeless = {name: value for name, value in PACKING.items() if name not in {"length", "width", "height"}}
    dispatch.post(
        reverse("dispatch:pack", args=[job.number]), once(jobs=job.number, box=str(box.pk), **sizeless)
    )
    parcel = Parcel.objects.get()
    assert (parcel.box, parcel.length_mm, parcel.width_mm, parcel.height_mm) == (box, 600, 500, 300)


@pytest.mark.parametrize(
    "changes, said",
    [
        ({"length": ""}, "Length is missing"),
        ({"length": "-3"}, "more than nothing"),
        ({"width": "1e309"}, "more than nothing"),
        ({"height": "tall"}, "Type a number"),
        ({"weight": ""}, "Weight with the box is missing"),
        ({"weight": "0"}, "more than nothing"),
        ({"address": ""}, "Address is missing"),
        ({"address": "Only a name"}, "The label needs a name and an address"),
        ({"address": "x" * 10_000_000}, "up to 500 fit"),
        ({"country": "Germany"}, "up to 2 fit"),
        ({"country": "1!"}, "Two letters"),
        ({"country": "DE"}, "Customs asks for the HS code"),
        ({"customs_hs_code": "12"}, "An HS code has six digits or more"),
        ({"declared_value": "lots"}, "lots"),
        ({"carrier": "999"}, "Choose one of those that are offered"),
        ({"jobs": "26-9999-9"}, "Choose one of those that are offered"),
        ({"lithium_chemistry": "ion", "lithium_content": "some"}, "Write what stands on the cell"),
        (
            {"lithium_chemistry": "ion", "lithium_content": "8 Wh", "lithium_damaged": "on"},
            "It does not go into a parcel",
        ),
        ({"lithium_chemistry": "ion", "lithium_content": "30 Wh"}, "full rules for dangerous goods apply"),
    ],
)
def test_a_wrong_parcel_gets_its_sentence_and_nothing_is_written(dispatch, by, changes, said) -> None:
    job = ready(by)
    before = JournalEntry.objects.count()
    form = once(**{"jobs": job.number, "customs_description": "kept as typed"} | PACKING | changes)
    answer = dispatch.post(reverse("dispatch:pack", args=[job.number]), form)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert said in page
    assert "kept as typed" in page
    assert (Parcel.objects.count(), JournalEntry.objects.count()) == (0, before)


def test_a_parcel_abroad_is_packed_with_what_customs_asks_for(dispatch, by) -> None:
    job = ready(by)
    abroad = {
        "country": "de",
        "address": "J. Weidt\nHolzweg 3\n10115 Berlin",
        "customs_description": "Used radio",
        "customs_origin": "jp",
        "customs_hs_code": "8527.91",
        "declared_value": "420",
    }
    answer = dispatch.post(
        reverse("dispatch:pack", args=[job.number]), once(jobs=job.number, **PACKING | abroad), follow=True
    )
    parcel = Parcel.objects.get()
    assert (parcel.country, parcel.customs_origin, parcel.customs_hs_code) == ("DE", "JP", "852791")
    assert (
        "Abroad the last line is the country alone, in English capitals: GERMANY" in answer.content.decode()
    )


def test_lithium_cells_are_put_into_words_and_the_mark_is_remembered(dispatch, by) -> None:
    job = ready(by)
    cells = {"lithium_chemistry": "ion", "lithium_content": "3.7 V 2200 mAh", "lithium_count": "5"}
    answer = dispatch.post(
        reverse("dispatch:pack", args=[job.number]), once(jobs=job.number, **PACKING | cells), follow=True
    )
    parcel = Parcel.objects.get()
    assert (parcel.lithium, parcel.lithium_needs_mark) == (
        "UN 3481: 5 lithium-ion cells, 3.7 V 2200 mAh each",
        True,
    )
    assert "The box needs the lithium mark" in answer.content.decode()


def test_which_box_is_told_for_a_unit(dispatch, by) -> None:
    job = ready(by)
    actions.add_box(name="Small", length_mm=300, width_mm=300, height_mm=200, by=by)
    page = reverse("dispatch:plan", args=[job.number])
    said = dispatch.get(page, {"size": "17 x 14 x 6", "weight": "28 lb"}).content.decode()
    assert "27 × 24 × 16 in inside, at least" in said
    assert "does not hold it" in said
    for wrong, sentence in (
        ({"size": "17", "weight": "5"}, "with an x between"),
        ({"size": "1x1x1", "weight": "?"}, "Write a weight"),
        ({"size": "1x1x1", "weight": "1", "cushion": "0.5"}, "at least two inches"),
    ):
        answer = dispatch.get(page, wrong)
        assert answer.status_code == 422
        assert sentence in answer.content.decode()


def test_the_plan_leads_to_packing_in_the_box_that_holds_the_unit(dispatch, by) -> None:
    job = ready(by)
    box = actions.add_box(name="Deck box", length_mm=760, width_mm=660, height_mm=460, by=by)
    said = dispatch.get(
        reverse("dispatch:plan", args=[job.number]), {"size": "17 x 14 x 6", "weight": "12 lb"}
    ).content.decode()
    door = f"{reverse('dispatch:job', args=[job.number])}?box={box.pk}"
    assert f'href="{door}#pack"' in said
    assert f'<option value="{box.pk}" selected>' in dispatch.get(door).content.decode()
    assert dispatch.get(door.replace("?box=", "?box=x")).status_code == 200


@pytest.mark.parametrize(
    "scale, grams",
    [
        # a pound is 453.59237 g, an ounce a sixteenth of it (international agreement of 1959); worked by hand
        ("27.5", 12_474),
        ("27 lb 8 oz", 12_474),
        ("12.5 kg", 12_500),
    ],
)
def test_a_weight_is_taken_as_the_scale_says_it(dispatch, by, scale, grams) -> None:
    job = ready(by)
    typed = once(jobs=job.number, **PACKING | {"weight": scale})
    assert dispatch.post(reverse("dispatch:pack", args=[job.number]), typed).status_code == 303
    assert Parcel.objects.get().weight_grams == grams


def test_a_unit_is_handed_over_at_the_counter(dispatch, by, own_guard_only) -> None:
    job = ready(by)
    door, form = (
        reverse("dispatch:collect", args=[job.number]),
        once(jobs=job.number, shown="claim_check", collected_by="M. Osei", received="on"),
    )
    for missing, said in (
        ("received", "Check that everything was handed over"),
        ("collected_by", "is missing"),
        ("shown", "Who is it? is missing"),
    ):
        answer = dispatch.post(door, {name: value for name, value in form.items() if name != missing})
        assert answer.status_code == 422
        assert said in answer.content.decode()
    assert not Collection.objects.exists()
    for _ in range(2):
        assert dispatch.post(door, form).status_code == 303
    assert Collection.objects.count() == 1
    assert Job.objects.get(pk=job.pk).stage == Stage.GONE_HOME


def drawn(*strokes: tuple[tuple[int, int], ...]) -> str:
    """A signature as the browser sends it."""
    picture = Image.new("L", (900, 260), 255)
    for stroke in strokes:
        ImageDraw.Draw(picture).line(stroke, fill=0, width=4)
    kept = io.BytesIO()
    picture.save(kept, "PNG")
    return "data:image/png;base64," + base64.b64encode(kept.getvalue()).decode()


def test_whoever_collects_may_sign_on_the_screen_where_the_shop_has_switched_that_on(
    dispatch, by, own_guard_only
) -> None:
    job = ready(by)
    page, door = (reverse(f"dispatch:{name}", args=[job.number]) for name in ("job", "collect"))
    form = once(
        jobs=job.number, shown="identity", collected_by="M. Osei", drawing=drawn(((60, 180), (600, 70)))
    )
    assert "data-signature" not in dispatch.get(page).content.decode()
    assert dispatch.post(door, form).status_code == 422  # switched off: what was drawn counts for nothing
    OfficeRules.objects.create(from_date=dt.date(2020, 1, 1), drawn_signature=True)
    assert "data-signature" in dispatch.get(page).content.decode()
    empty = dispatch.post(door, form | {"drawing": ""})
    assert empty.status_code == 422
    assert "or let them sign in the box" in empty.content.decode()
    broken = dispatch.post(door, form | {"drawing": "data:image/png;base64,AAAA"})
    assert (broken.status_code, "draw it once more" in broken.content.decode()) == (422, True)
    assert Picture.objects.count() == 0
    assert dispatch.post(door, form).status_code == 303
    drawing = Collection.objects.get().drawing
    assert drawing is not None
    with drawing.file.open("rb") as file, Image.open(file) as picture:
        assert picture.convert("L").getpixel((330, 125)) < 100  # half way along the stroke
    assert reverse("premises:picture", args=[drawing.pk, "full"]) in dispatch.get(page).content.decode()


def test_a_unit_that_stays_is_kept_only_when_the_shop_says_that_it_may(dispatch, by) -> None:
    job = ready(by)
    door = reverse("dispatch:keep_here", args=[job.number])
    assert dispatch.post(door, once(outcome="unclaimed")).status_code == 422
    dispatch.post(door, once(outcome="unclaimed", sure="on"))
    assert Job.objects.get(pk=job.pk).stage == Stage.KEPT_HERE
