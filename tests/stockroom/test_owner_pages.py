"""The stockroom's pages of suppliers, prices, labels and sets."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse

from shop.press.models import LabelStock
from shop.stockroom import actions
from shop.stockroom.models import (
    MatchedDevice,
    PriceRule,
    Supplier,
)
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.factories.stockroom import a_part, a_supplier, left, on_the_bench
from tests.pages import once


def test_a_supplier_is_written_down_and_put_right(stockroom, by) -> None:
    stockroom.post(reverse("stockroom:add_supplier"), once(name="Oxbow Belts", lead_days="21"))
    supplier = Supplier.objects.get()
    stockroom.post(
        reverse("stockroom:supplier", args=[supplier.pk]), once(name="Oxbow Belts & Idlers", lead_days="14")
    )
    supplier.refresh_from_db()
    assert (supplier.name, supplier.lead_days) == ("Oxbow Belts & Idlers", 14)


@pytest.mark.parametrize(
    "typed, said",
    [
        ({"name": "", "lead_days": "7"}, "Name is missing"),
        ({"name": "brindle components", "lead_days": "7"}, "There is a supplier brindle components already"),
        ({"name": "Oxbow", "lead_days": "soon"}, "Type a whole number, such as 7"),
        ({"name": "Oxbow", "lead_days": "4000"}, "between 0 and 400"),
        ({"name": "Oxbow", "lead_days": "7", "email": "no address"}, "valid email address"),
    ],
)
def test_a_wrong_supplier_is_asked_again(stockroom, by, typed, said) -> None:
    a_supplier(by)
    answer = stockroom.post(reverse("stockroom:add_supplier"), once(**typed))
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert Supplier.objects.count() == 1


def test_the_owner_writes_a_price_rule_and_sees_what_it_does(owner) -> None:
    typed = once(from_date="2026-01-01", rounding="five", top0="1.00", markup0="150", markup1="40")
    assert owner.post(reverse("stockroom:prices"), typed).status_code == 303
    assert PriceRule.objects.get().bands == [[10_000, 150], [None, 40]]
    page = owner.get(reverse("stockroom:prices")).content.decode()
    assert "up to $1.00" in page
    assert "35.00" in page  # 25.00 and 40 per cent


@pytest.mark.parametrize(
    "changes, said",
    [
        ({"from_date": "2265-01-01"}, "between 1980 and 2100"),
        ({"from_date": "soon"}, "Choose a day"),
        ({"top0": "", "markup0": "", "markup1": ""}, "Type at least one mark-up"),
        ({"top0": "", "markup0": "10", "markup1": "5"}, "Only the last band"),
        ({"markup1": "", "top1": ""}, "Leave the last band"),
        ({"top0": "5.00", "top1": "2.00", "markup1": "30", "markup2": "20"}, "go up from one to the next"),
        ({"markup0": "many"}, "Type a whole number, such as 60"),
    ],
)
def test_a_price_rule_with_a_gap_is_asked_again(owner, changes, said) -> None:
    typed = {"from_date": "2026-01-01", "rounding": "five", "top0": "1.00", "markup0": "150", "markup1": "40"}
    answer = owner.post(reverse("stockroom:prices"), once(**typed | changes))
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not PriceRule.objects.exists()


def test_a_rule_that_holds_is_not_taken_back(owner, by) -> None:
    rule = actions.add_price_rule(from_date=dt.date(2020, 1, 1), bands=[(None, 50)], rounding="cent", by=by)
    owner.post(reverse("stockroom:withdraw_price_rule", args=[rule.pk]))
    assert PriceRule.objects.exists()


def test_the_labels_in_the_printers_are_noted(stockroom) -> None:
    typed = once(sheet="a4-21", roll_width="54", roll_height="25.4", shift_x="-0.5", shift_y="1")
    assert stockroom.post(reverse("stockroom:set_labels"), typed).status_code == 303
    stock = LabelStock.objects.get()
    assert (stock.sheet, stock.roll_width_tenths, stock.shift_x_tenths) == ("a4-21", 540, -5)


@pytest.mark.parametrize(
    "changes, said",
    [
        ({"sheet": "made-up"}, "Choose one of those that are offered"),
        ({"roll_width": "4"}, "between 12 and 300 mm"),
        ({"shift_x": "99"}, "10 mm at most"),
        ({"shift_y": "0.55"}, "one decimal at most"),
        ({"roll_height": "wide"}, "Type millimeters"),
    ],
)
def test_labels_that_no_printer_takes_are_asked_again(stockroom, changes, said) -> None:
    typed = {
        "sheet": "a4-21",
        "roll_width": "54",
        "roll_height": "25",
        "shift_x": "0",
        "shift_y": "0",
    } | changes
    answer = stockroom.post(reverse("stockroom:set_labels"), once(**typed))
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not LabelStock.objects.exists()


@pytest.mark.parametrize(
    "asked, said",
    [
        ({"on": "roll"}, "Choose a drawer"),
        ({"on": "sheet", "start": "31", "drawer": "R12"}, "labels 1 to 30"),
        ({"on": "wall", "drawer": "R12"}, "Choose the roll or a sheet"),
        ({"on": "roll", "copies": "x", "drawer": "R12"}, "whole number"),
    ],
)
def test_labels_that_can_not_be_printed_say_why(stockroom, by, asked, said) -> None:
    a_part(by, drawer="R12")
    answer = stockroom.get(reverse("stockroom:print_labels"), asked)
    assert answer.status_code == 422
    assert said in answer.content.decode()


def test_a_measured_device_is_written_down_paired_and_fitted_on_its_page(stockroom, by) -> None:
    part = a_part(by, description="Transistor", designation="2SC1815-GR", there=4)
    page = reverse("stockroom:devices", args=[part.pk])
    for label, hfe in (("1", "240"), ("2", "251"), ("3", "300")):
        stockroom.post(
            reverse("stockroom:keep_device", args=[part.pk]),
            once(label=label, hfe=hfe, vbe="612 mV", test_current="1 mA"),
        )
    asked = stockroom.get(page, {"within": "5", "wanted": "1", "basis": "of the lower"})
    assert "4.58 % apart" in asked.content.decode()  # worked by hand: 11 / 240
    job = on_the_bench(by)
    pair = [str(pk) for pk in MatchedDevice.objects.filter(label__in=["1", "2"]).values_list("pk", flat=True)]
    answer = stockroom.post(
        reverse("stockroom:fit_devices", args=[part.pk]),
        {**once(job=job.number), "device": pair},
        follow=True,
    )
    assert f"Fitted on {job.number}" in answer.content.decode()
    assert left(part) == 2_000


@pytest.mark.parametrize(
    "door, typed, said",
    [
        ("keep_device", {"label": "9", "hfe": "lots"}, "lots"),
        ("keep_device", {"label": "", "hfe": "100"}, "Label is missing"),
        ("keep_device", {"label": "9", "hfe": "100", "test_current": "5 bananas"}, "5 bananas"),
        ("fit_devices", {"job": "26-9999-9"}, "There is no job 26-9999-9"),
    ],
)
def test_a_wrong_device_is_asked_again(stockroom, by, door, typed, said) -> None:
    part = a_part(by, designation="2SC1815")
    answer = stockroom.post(reverse(f"stockroom:{door}", args=[part.pk]), once(**typed))
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not MatchedDevice.objects.exists()


def test_the_same_page_says_what_can_not_be_paired(stockroom, by) -> None:
    part = a_part(by, designation="2SC1815")
    page = reverse("stockroom:devices", args=[part.pk])
    assert "No such pair" in stockroom.get(page, {"within": "5", "wanted": "1"}).content.decode()
    assert stockroom.get(page, {"within": "-5", "wanted": "1"}).status_code == 422


def test_the_shop_without_a_profile_has_a_stockroom_too(client, db) -> None:
    client.force_login(StaffFactory())
    assert client.get(reverse("stockroom:parts")).status_code in {200, 302}
    ShopProfileFactory()
    assert client.get(reverse("stockroom:parts")).status_code == 200
