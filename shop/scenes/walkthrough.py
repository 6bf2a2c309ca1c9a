"""One job goes the whole way, from the counter to the customer's door, through the same actions as the screens.

Everything in it is invented. The scene plays in the ten days before now, so that its times read like a real job's.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from shop.bench import actions as bench
from shop.counter import actions as counter
from shop.counter.actions import AccessoryTaken, Intake, UnitDescribed
from shop.counter.models import Job, Kind, ProtectionClass, UnitModel
from shop.counter.papers import issue_claim_check, tag_pdf
from shop.dispatch import actions as dispatch
from shop.frame import clock
from shop.frame.models import Staff
from shop.handbook import law, safety
from shop.handbook.money import UnitPrice
from shop.keeping.models import IssuedPaper
from shop.keeping.papers import stored_bytes
from shop.office import actions as office
from shop.office.models import LabourRate, LineKind, OfficeRules, TaxRule
from shop.office.pricing import PricedItem, items_of
from shop.opening.actions import open_shop
from shop.premises.models import Terms
from shop.stockroom import actions as stockroom
from shop.stockroom.models import PartState

PROFILE: dict[str, Any] = {
    "name": "Halftone Bench",
    "owner_name": "Ottoline Brask",
    "address": "14 Quarry Lane\nPort Amity, CA 90000",
    "country": "US",
    "phone": "(555) 555-0142",
    "email": "bench@halftone.example",
    "web_address": "https://halftone.example",
    "registration_label": "Registration no.",
    "registration_number": "E 00000",
    "currency": "USD",
    "language": "en-US",
    "time_zone": "America/Los_Angeles",
    "law_profile": law.CALIFORNIA.key,
}
TERMS = (
    "We keep a unit for ninety days after we tell you that it is ready.\n\nWhat we repaired we stand behind for ninety days. "
    "A different fault is a new repair."
)
USD = "USD"


@dataclass(slots=True)
class Walk:
    """The scene's clock, its people, its job, and the papers it leaves."""

    started: dt.datetime
    owner: Staff
    job: Job
    papers: dict[str, bytes] = field(default_factory=dict)

    def at(self, *, days: int = 0, hours: int = 0, minutes: int = 0) -> dt.datetime:
        """A moment of the scene, counted from its first day at nine in the morning."""
        return self.started + dt.timedelta(days=days, hours=hours, minutes=minutes)

    def keep(self, name: str, paper: IssuedPaper) -> None:
        """Keep an issued paper as it was stored."""
        self.papers[name] = stored_bytes(paper)


def walk_through(started: dt.datetime | None = None) -> Walk:
    """Play the whole scene in an empty shop, from ten days ago unless told otherwise; any refusal ends it."""
    started = started or (clock.now() - dt.timedelta(days=10)).replace(
        hour=17, minute=0, second=0, microsecond=0
    )
    walk = _book_in(_open(started), started)
    _find_the_fault(walk)
    _get_a_yes(walk)
    _repair(walk)
    _prove(walk)
    _invoice_and_send_home(walk)
    return walk


def _open(started: dt.datetime) -> Staff:
    """Open the shop, with its terms, rates and tax from the scene's first day on; returns its owner."""
    owner = open_shop(
        profile=PROFILE,
        username="ottoline",
        password="never-used-again-1",  # noqa: S106  the shop of this scene is gone when it ends
        full_name="Ottoline Brask",
        next_numbers={"job": 417, "invoice": 88, "credit_note": 4},
    )
    Staff.objects.filter(pk=owner.pk).update(employee_number="01")
    owner.refresh_from_db()
    day = clock.day_of(started)
    Terms.objects.create(from_date=day, text=TERMS, by=owner)
    OfficeRules.objects.create(from_date=day, parts_rule_1546=True)
    for kind, rate in (
        ("diagnosis", 80),
        ("repair", 80),
        ("cleaning", 60),
        ("alignment", 80),
        ("testing", 60),
    ):
        LabourRate.objects.create(kind=kind, from_date=day, hourly_ten_thousandths=rate * 10_000)
    TaxRule.objects.create(
        name="Sales tax",
        line_kind=LineKind.PART,
        rate_percent=Decimal("9.5"),
        from_date=day,
        source="the shop's own entry for this scene",
    )
    return owner


def _what_came_in() -> Intake:
    return Intake(
        unit=UnitDescribed(
            maker="Tarnbeck",
            model="Lumen 6",
            kind=Kind.SYNTHESIZER,
            serial="201147",
            line_voltage=120,
            protection_class=ProtectionClass.I,
        ),
        complaint=(
            "Goes sharp while it warms up, a whole tone in half an hour, and then voice four drops out. It was at "
            "a repair shop once, before my time."
        ),
        condition="Two key tops chipped, left cheek scratched, smells of a cellar.",
        shelf="B3",
        accessories=[
            AccessoryTaken(name="power cord"),
            AccessoryTaken(name="sustain pedal", stands_at="B4"),
            AccessoryTaken(name="dust cover"),
        ],
        agreed_value_minor=90_000,
        bench_fee_minor=6_000,
        wants_parts_back=True,
    )


def _book_in(owner: Staff, started: dt.datetime) -> Walk:
    customer = counter.add_customer(
        name="Odalys Fennimore",
        phone="(555) 555-0177",
        email="odalys@fennimore.example",
        address="2208 Lantern Street, Unit 4\nPort Amity, CA 90001",
        by=owner,
        at=started,
    )
    (job,) = counter.book_in(
        customer=customer,
        intakes=[_what_came_in()],
        by=owner,
        at=started,
    )
    walk = Walk(started, owner, job)
    UnitModel.objects.filter(pk=job.unit.model_id).update(
        built_from=dt.date(1979, 1, 1), built_to=dt.date(1981, 12, 31)
    )
    walk.keep("claim-check", issue_claim_check(jobs=[job], by=owner, at=started))
    walk.papers["tag"] = tag_pdf(job)
    office.take_payment(
        customer=customer, amount_minor=6_000, how="cash", job=job, by=owner, at=walk.at(minutes=5)
    )
    return walk


def _find_the_fault(walk: Walk) -> None:
    job, by = walk.job, walk.owner
    job = walk.job = _fresh(job)
    stint = bench.start_stint(job=job, kind="diagnosis", by=by, at=walk.at(days=1))
    bench.add_finding(
        job=job,
        text="Label under the lid: “SERVICED 3-14-92”. Flux left around the voice board's connector.",
        by=by,
        at=walk.at(days=1, minutes=6),
    )
    bench.add_evidence(
        job=job,
        kind="date_stamp",
        where="label under the lid",
        marking="3-14-92",
        by=by,
        at=walk.at(days=1, minutes=7),
    )
    bench.add_evidence(
        job=job, kind="date_code", where="IC12, voice 4", marking="9148", by=by, at=walk.at(days=1, minutes=9)
    )
    for typed, expected, where, condition, minutes in (
        ("15.02 V", "15 V ± 2 %", "supply: +15 V rail", "cold", 14),
        ("-14.1 V", "-15 V ± 2 %", "supply: −15 V rail", "after 30 minutes", 44),
        ("180mV", "at most 20 mV", "supply: −15 V rail, ripple", "after 30 minutes", 46),
    ):
        bench.add_reading(
            job=job,
            typed=typed,
            quantity="voltage_ac" if "ripple" in where else "voltage_dc",
            where=where,
            condition=condition,
            expected=expected,
            role="" if "ripple" in where else "rail",
            by=by,
            at=walk.at(days=1, minutes=minutes),
        )
    bench.stop_stint(stint=stint, by=by, at=walk.at(days=1, minutes=48))


def _what_it_will_cost(job: Job) -> list[PricedItem]:
    """The lines of the estimate, as they are typed in the office."""
    return [
        PricedItem(
            kind=LineKind.BENCH_FEE,
            description="Bench fee: finding the fault",
            unit_price=_price("60"),
            job=job,
        ),
        PricedItem(
            kind=LineKind.LABOUR,
            description="Repair of the −15 V supply and voice 4",
            unit_price=_price("80"),
            quantity_thousandths=1500,
            unit="h",
            job=job,
        ),
        PricedItem(
            kind=LineKind.LABOUR,
            description="Cleaning and tuning",
            unit_price=_price("60"),
            quantity_thousandths=1000,
            unit="h",
            job=job,
        ),
        PricedItem(kind=LineKind.PART, description="Regulator, −15 V", unit_price=_price("6.40"), job=job),
        PricedItem(
            kind=LineKind.PART,
            description="Tantalum capacitor, 10 µF 25 V",
            unit_price=_price("1.85"),
            quantity_thousandths=4000,
            job=job,
        ),
        PricedItem(
            kind=LineKind.SHIPPING, description="Packing and parcel", unit_price=_price("48.50"), job=job
        ),
    ]


def _get_a_yes(walk: Walk) -> None:
    job, by = walk.job, walk.owner
    estimate = office.draft_estimate(
        job=job, items=_what_it_will_cost(job), days_needed=10, by=by, at=walk.at(days=1, hours=2)
    )
    estimate = office.put_estimate(estimate=estimate, by=by, at=walk.at(days=1, hours=2, minutes=5))
    if estimate.paper is not None:
        walk.keep("estimate", estimate.paper)
    office.record_answer(
        job=job,
        estimate=estimate,
        answer="yes",
        how="phone",
        given_by="Odalys Fennimore",
        phone_called="(555) 555-0177",
        conditions="Call again if voice 4 needs more than the regulator.",
        by=by,
        at=walk.at(days=2, hours=1),
    )
    walk.job = _fresh(job)


def _repair(walk: Walk) -> None:
    job, by = walk.job, walk.owner
    stint = bench.start_stint(job=job, kind="repair", by=by, at=walk.at(days=3))
    stockroom.fit_part(
        job=job,
        description="Regulator, −15 V",
        position="IC2",
        unit_price_ten_thousandths=64_000,
        by=by,
        at=walk.at(days=3, minutes=20),
    )
    stockroom.fit_part(
        job=job,
        description="Tantalum capacitor, 10 µF 25 V",
        position="C4 to C7",
        quantity_thousandths=4000,
        unit_price_ten_thousandths=18_500,
        state=PartState.NEW,
        by=by,
        at=walk.at(days=3, minutes=40),
    )
    bench.stop_stint(stint=stint, by=by, at=walk.at(days=3, minutes=85))
    stint = bench.start_stint(job=job, kind="cleaning", by=by, at=walk.at(days=3, minutes=90))
    bench.stop_stint(stint=stint, by=by, at=walk.at(days=3, minutes=140))


def _prove(walk: Walk) -> None:
    job, by = walk.job, walk.owner
    bench.add_reading(
        job=job,
        typed="-15.03 V",
        quantity="voltage_dc",
        where="supply: −15 V rail",
        condition="after 30 minutes",
        expected="-15 V ± 2 %",
        role="rail",
        after_repair=True,
        by=by,
        at=walk.at(days=3, minutes=142),
    )
    bench.conclude(
        job=job,
        failed="−15 V regulator",
        position="IC2",
        mode="drift",
        remedy="New regulator and tantalum capacitors, connector of voice 4 resoldered, tuned warm.",
        outcome="repaired",
        watch="Let it warm up ten minutes before you tune.",
        by=by,
        at=walk.at(days=3, minutes=145),
    )
    soak = bench.start_soak(
        job=job,
        planned_seconds=4 * 3600,
        check_every_seconds=2 * 3600,
        by=by,
        at=walk.at(days=3, minutes=150),
    )
    for hours, celsius in ((1, "38"), (3, "41")):
        bench.add_soak_check(
            soak=soak, temperature=Decimal(celsius), by=by, at=walk.at(days=3, minutes=150 + hours * 60)
        )
    bench.end_soak(
        soak=soak,
        result="passed",
        note="Voice four stayed in tune all evening.",
        by=by,
        at=walk.at(days=3, minutes=395),
    )
    walk.job = job = _fresh(job)
    bench.record_safety_check(
        job=job, measurements=_safe(), typed={"conductor": "0.11 ohm"}, by=by, at=walk.at(days=4)
    )


def _safe() -> safety.Measurements:
    """What a sound earthed unit shows at 120 V."""
    ohm = safety.Resistance
    conductor = (safety.ConductorReading(where="rear panel", resistance=ohm(ohm=Decimal("0.11"))),)
    return safety.Measurements(
        visual=safety.Inspection(sound=True),
        conductor=conductor,
        conductor_again=conductor,
        cold=tuple(
            safety.ColdReading(where="headphone socket", resistance=ohm(ohm=Decimal("2.2E6")), switch_on=on)
            for on in (True, False)
        ),
        hot=tuple(
            safety.HotReading(
                where="headphone socket",
                volt=Decimal("0.04"),
                plug_reversed=turned,
                switch_on=on,
                conductor_open=True,
            )
            for turned in (False, True)
            for on in (False, True)
        ),
    )


def _invoice_and_send_home(walk: Walk) -> None:
    job, by = walk.job, walk.owner
    items = items_of(job, on=clock.day_of(walk.at(days=5)))
    items.append(
        PricedItem(
            kind=LineKind.SHIPPING, description="Packing and parcel", unit_price=_price("48.50"), job=job
        )
    )
    draft = office.draft_invoice(customer=job.customer, jobs=[job], items=items, by=by, at=walk.at(days=5))
    invoice = office.issue_invoice(invoice=draft, by=by, at=walk.at(days=5, minutes=5))
    if invoice.paper is not None:
        walk.keep("invoice", invoice.paper)
    office.take_payment(
        customer=job.customer,
        amount_minor=invoice.total_minor - invoice.prepaid_minor,
        how="transfer",
        invoice=invoice,
        by=by,
        at=walk.at(days=7),
    )
    for accessory in job.accessories.all():
        dispatch.check_accessory(accessory=accessory, included=True, by=by, at=walk.at(days=8))
    parcel = dispatch.pack(
        customer=job.customer,
        jobs=[job],
        length_mm=1140,
        width_mm=560,
        height_mm=300,
        weight_grams=17_200,
        double_boxed=True,
        declared_value_minor=90_000,
        by=by,
        at=walk.at(days=8, minutes=30),
    )
    walk.keep("return-slip", dispatch.issue_slip(parcel=parcel, by=by, at=walk.at(days=8, minutes=35)))
    dispatch.hand_over(parcel=parcel, tracking="RB 4731 2482", by=by, at=walk.at(days=8, hours=2))
    walk.job = _fresh(job)


def _fresh(job: Job) -> Job:
    return Job.objects.select_related("customer", "unit__model__maker").get(pk=job.pk)


def _price(text: str) -> UnitPrice:
    return UnitPrice.parse(text, USD)
