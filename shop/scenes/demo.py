"""The demo shop: an invented spare-time bench and six years of its book, played through the shop's own actions.

The data stands in `fixtures/demo/`. Every date there counts back from today, so the shop is as fresh as the day it is
opened. Jobs are told as stories that run side by side: the book is written in the order of time, as a real one is.
"""

from __future__ import annotations

import datetime as dt
import heapq
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.conf import settings

from shop.bench.models import Meter, MeterRange
from shop.counter import actions as counter
from shop.counter.models import Customer, OriginalPart, TestPoint, UnitModel
from shop.dispatch.models import Box, Carrier, CarrierRule
from shop.frame import clock
from shop.frame.customs import customs_of
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.handbook.money import UnitPrice
from shop.office.models import FlatPrice, LabourRate, LineKind, OfficeRules, TaxRule
from shop.opening.actions import open_shop
from shop.planner.reckoning import reckon
from shop.premises.models import Terms
from shop.scenes.cast import Cast, Told
from shop.scenes.stock import lay_in_stock
from shop.scenes.stories import tell
from shop.scenes.today import todays_news
from shop.stockroom.models import PriceRule, Supplier

FOLDER = Path(settings.BASE_DIR) / "fixtures" / "demo"
FIRST_DAY = 2260  # days before today on which the shop opened
MM_PER_INCH = Decimal("25.4")


def _say_nothing(*_: object) -> None:
    """For who doesn't want to hear of it."""


def load(
    *,
    password: str,
    told: Callable[[str], None] = _say_nothing,
    done: Callable[[int, int], None] = _say_nothing,
) -> Staff:
    """Fill an empty book with the demo shop and return its owner.

    `told` hears of each job as it is begun, `done` how many are written, and of how many.
    """
    shop = _read("shop")
    opened = _evening(clock.now() - dt.timedelta(days=FIRST_DAY))
    owner = open_shop(
        profile=shop["profile"],
        username="ottoline",
        password=password,
        full_name=shop["profile"]["owner_name"],
        next_numbers={},
    )
    Staff.objects.filter(pk=owner.pk).update(employee_number="01")
    owner.refresh_from_db()
    # its papers are dated as a day in that shop is, wherever the machine stands
    with customs_of(the_profile()):
        _set_rules(shop, owner, clock.day_of(opened))
        _set_equipment(shop)
        cast = Cast(owner=owner, models=_models(owner, opened), customers=_people(owner, opened))
        cast.parts = lay_in_stock(
            shop["parts"]["rows"], by=owner, at=opened, currency=shop["profile"]["currency"]
        )
        _play([*_read("jobs_old")["job"], *_read("jobs_here")["job"]], cast, told, done)
        todays_news(owner)
        reckon()
    return owner


@dataclass(order=True, slots=True)
class _Turn:
    """Whose turn it is: the story that goes on at the earliest moment."""

    at: dt.datetime
    place: int
    story: Iterator[dt.datetime] = field(compare=False)


def _play(
    jobs: list[Told], cast: Cast, told: Callable[[str], None], done: Callable[[int, int], None]
) -> None:
    now = clock.now()
    turns: list[_Turn] = []
    for place, facts in enumerate(jobs):
        story = tell(facts, cast, now=now, place=place)
        heapq.heappush(turns, _Turn(next(story), place, story))
    begun: set[int] = set()
    while turns:
        turn = heapq.heappop(turns)
        if turn.place not in begun:
            begun.add(turn.place)
            told(f"{clock.day_of(turn.at)}  {jobs[turn.place]['unit'].replace('|', ' ')}")
        following = next(turn.story, None)
        if following is not None:
            heapq.heappush(turns, _Turn(max(following, turn.at), turn.place, turn.story))
        else:
            done(len(jobs) - len(turns), len(jobs))


def _read(name: str) -> dict[str, Any]:
    with (FOLDER / f"{name}.toml").open("rb") as file:
        return tomllib.load(file)


def _evening(moment: dt.datetime) -> dt.datetime:
    return moment.replace(hour=2, minute=0, second=0, microsecond=0)


def _set_rules(shop: dict[str, Any], owner: Staff, day: dt.date) -> None:
    currency = shop["profile"]["currency"]
    Terms.objects.create(from_date=day, text=shop["terms"]["text"].strip(), by=owner)
    OfficeRules.objects.create(from_date=day, parts_rule_1546=True, minimum_minor=3_000)
    for kind, rate in shop["rates"].items():
        hourly = UnitPrice.parse(rate, currency).ten_thousandths
        LabourRate.objects.create(kind=kind, from_date=day, hourly_ten_thousandths=hourly)
    TaxRule.objects.create(
        name=shop["tax"]["name"],
        line_kind=LineKind.PART,
        rate_percent=Decimal(shop["tax"]["percent"]),
        from_date=day,
        source=shop["tax"]["source"],
    )
    FlatPrice.objects.create(name="Belt set, fitted, any cassette deck", price_ten_thousandths=650_000)
    PriceRule.objects.create(
        from_date=day,
        bands=[[up_to or None, per_cent] for up_to, per_cent in shop["prices"]["bands"]],
        rounding=shop["prices"]["rounding"],
    )


def _set_equipment(shop: dict[str, Any]) -> None:
    _set_meters(shop["meter"])
    for row in shop["supplier"]:
        Supplier.objects.create(**row)
    _set_carriers(shop["carrier"])
    _set_boxes(shop["box"])


def _set_meters(rows: list[dict[str, Any]]) -> None:
    today = clock.today()
    for row in rows:
        due = today + dt.timedelta(days=row["due_in_days"])
        meter = Meter.objects.create(
            name=row["name"],
            serial=row["serial"],
            calibrated_on=due - dt.timedelta(days=365),
            calibration_due=due,
        )
        MeterRange.objects.bulk_create(
            MeterRange(
                meter=meter,
                quantity=quantity,
                full_scale=Decimal(scale),
                resolution=Decimal(step),
                percent_of_reading=Decimal(per_cent),
                digits=digits,
            )
            for quantity, scale, step, per_cent, digits in row["ranges"]
        )


def _set_carriers(rows: list[dict[str, Any]]) -> None:
    for row in rows:
        carrier = Carrier.objects.create(
            name=row["name"], checks_s10=row["checks_s10"], tracking_link=row["tracking_link"]
        )
        divisor, units, rounding = row["rule"]
        CarrierRule.objects.create(
            carrier=carrier,
            from_date=dt.date(2025, 8, 18),
            divisor=Decimal(divisor),
            units=units,
            rounding=rounding,
            source="the demo shop's own entry",
        )


def _set_boxes(rows: list[dict[str, Any]]) -> None:
    for row in rows:
        length, width, height = (int(MM_PER_INCH * side) for side in row["size_in"])
        Box.objects.create(
            name=row["name"],
            length_mm=length,
            width_mm=width,
            height_mm=height,
            wall=row.get("wall", "single"),
            ect=row["ect"],
            weight_grams=900,
        )


def _people(owner: Staff, at: dt.datetime) -> dict[str, Customer]:
    people = {
        row["key"]: counter.add_customer(
            **{name: value for name, value in row.items() if name != "key"}, by=owner, at=at
        )
        for row in _read("people")["person"]
    }
    people["shop"] = counter.the_shop_itself(by=owner, at=at)
    return people


def _models(owner: Staff, at: dt.datetime) -> dict[str, UnitModel]:
    models: dict[str, UnitModel] = {}
    for maker in _read("models")["maker"]:
        for row in maker["models"]:
            model = counter.model_named(
                maker=maker["name"], name=row["name"], kind=row["kind"], by=owner, at=at
            )
            first, last = row["built"]
            model.family = row.get("family", "")
            model.built_from, model.built_to = dt.date(first, 1, 1), dt.date(last, 12, 31)
            model.protection_class = row["class"]
            model.mains = row["class"] != "III"
            model.traits = row.get("traits", [])
            model.weight_grams = row["grams"]
            model.save()
            for position, (name, quantity, expected, role, *condition) in enumerate(row.get("points", [])):
                TestPoint.objects.create(
                    model=model,
                    name=name,
                    quantity=quantity,
                    expected=expected,
                    role=role,
                    condition=condition[0] if condition else "",
                    position=position,
                )
            for place, designation in row.get("originals", []):
                OriginalPart.objects.create(model=model, position=place, designation=designation)
            models[f"{maker['name']}|{row['name']}"] = model
    return models
