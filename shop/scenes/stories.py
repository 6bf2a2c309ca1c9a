"""One demo job told from its facts: a generator that does a step of the story and says when the next one comes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from decimal import Decimal

from shop.bench import actions as bench
from shop.bench.models import FailureMode, WorkKind
from shop.counter import actions as counter
from shop.counter.actions import AccessoryTaken, Intake
from shop.counter.models import Customer, HowItCame, Job, Unit
from shop.counter.papers import issue_claim_check
from shop.counter.stages import Outcome, Stage
from shop.dispatch import actions as dispatch
from shop.dispatch.models import Carrier
from shop.handbook import safety
from shop.scenes import bills
from shop.scenes.cast import Cast, Told, parts_of
from shop.stockroom import actions as stockroom

ENDS = {"gone_home", "kept_here", "called_off"}
LIMIT_MINOR = 32_500


def tell(facts: Told, cast: Cast, *, now: dt.datetime, place: int) -> Iterator[dt.datetime]:
    """Tell one job. Yields the moment of each next step before doing it; all times lie in the past.

    `place` shifts the hour a little, so that two stories never use the bench at the same minute.
    """
    booked = _moment(now - dt.timedelta(days=facts["ago"]), place)
    yield booked
    job = _book_in(facts, cast, booked)
    cast.jobs[facts["key"]] = job
    stage = facts.get("stage", "gone_home")
    if stage == "called_off":
        yield booked + dt.timedelta(days=40)
        counter.call_off(job=job, by=cast.owner, at=booked + dt.timedelta(days=40))
    if stage in {"expected", "booked_in", "called_off"}:
        return
    last = _last_moment(facts, booked, now, place)
    found = min(booked + dt.timedelta(days=max(1, facts["ago"] // 12), hours=2), last - dt.timedelta(hours=3))
    yield found
    _find_the_fault(facts, cast, _fresh(job), found)
    asked = found + dt.timedelta(hours=1)
    if "estimate" in facts or ("fee" in facts and "end" in facts):
        yield asked
        bills.put_estimate(facts, cast, _fresh(job), asked)
    if stage == "awaiting_word":
        return
    answered = min(asked + dt.timedelta(days=1), last - dt.timedelta(hours=2))
    if ("estimate" in facts and facts.get("answer")) or ("fee" in facts and "end" in facts):
        yield answered
        bills.answer(facts, cast, _fresh(job), answered)
    if "wants" in facts:
        yield answered
        _wait_for_parts(facts, cast, job, answered)
    if "end" in facts:
        yield from _finish(facts, cast, job, answered, last, now)
    elif facts.get("running"):
        started = now - dt.timedelta(minutes=25)
        yield started
        bench.start_stint(job=_fresh(job), kind=WorkKind.DIAGNOSIS, by=cast.owner, at=started)


def _wait_for_parts(facts: Told, cast: Cast, job: Job, at: dt.datetime) -> None:
    for description in facts["wants"]:
        stockroom.want_part(job=job, description=description, by=cast.owner, at=at)
    stockroom.await_parts(job=_fresh(job), by=cast.owner, at=at)


def _finish(
    facts: Told, cast: Cast, job: Job, answered: dt.datetime, last: dt.datetime, now: dt.datetime
) -> Iterator[dt.datetime]:
    owner, stage = cast.owner, facts.get("stage", "gone_home")
    repaired = max(answered, last - dt.timedelta(days=2))
    yield repaired
    _repair(facts, cast, _fresh(job), repaired)
    job = _fresh(job)
    soaked = repaired + dt.timedelta(hours=1)
    if facts["end"][4] == Outcome.REPAIRED:
        yield soaked
        there = max(1, min(8, (last - soaked) // dt.timedelta(hours=1)))
        planned = (8 if stage == "proving" else there) * 3600
        soak = bench.start_soak(
            job=job, planned_seconds=planned, check_every_seconds=planned // 2, by=owner, at=soaked
        )
        if stage == "proving":
            if now - soaked > dt.timedelta(hours=2):
                check = soaked + dt.timedelta(hours=1)
                bench.add_soak_check(soak=soak, temperature=Decimal(36), by=owner, at=check)
            return
        ended = soaked + dt.timedelta(seconds=planned)
        half = soaked + dt.timedelta(seconds=planned // 2)
        bench.add_soak_check(soak=soak, temperature=Decimal(38), by=owner, at=half)
        yield ended
        bench.end_soak(soak=soak, result="passed", by=owner, at=ended)
    else:
        ended = repaired + dt.timedelta(hours=1)
        yield ended
        bench.call_ready(job=job, by=owner, at=ended)
    yield last
    job = _fresh(job)
    if job.unit.mains and (stage == "gone_home" or facts.get("safety")):
        bench.record_safety_check(job=job, measurements=sound(job.unit), by=owner, at=last)
    if stage == "gone_home" or facts.get("invoice") or facts.get("unpaid"):
        bills.invoice(facts, cast, job, last)
    if stage == "kept_here":
        kept = max(last, now - dt.timedelta(days=facts.get("since", facts["ago"] - 3)))
        yield kept
        dispatch.keep_here(job=_fresh(job), outcome=facts["end"][4], by=owner, at=kept)
    if stage == "gone_home":
        yield last + dt.timedelta(hours=1)
        _go_home(facts, cast, _fresh(job), last + dt.timedelta(hours=1))


def _moment(day: dt.datetime, place: int) -> dt.datetime:
    """An evening hour of that day; stories stand a few minutes apart."""
    return day.replace(hour=1 + place % 4, minute=(place * 7) % 60, second=0, microsecond=0)


def _last_moment(facts: Told, booked: dt.datetime, now: dt.datetime, place: int) -> dt.datetime:
    """When the story comes to where it stands today, at least half a day after booking in and never after now."""
    if "took" in facts and facts.get("stage", "gone_home") in ENDS:
        last = booked + dt.timedelta(days=max(facts["took"], 3))
    else:
        last = _moment(now - dt.timedelta(days=facts.get("since", 1)), place)
    return max(min(last, now - dt.timedelta(hours=12)), booked + dt.timedelta(hours=6))


def _fresh(job: Job) -> Job:
    return Job.objects.select_related("customer", "unit__model__maker").get(pk=job.pk)


def _book_in(facts: Told, cast: Cast, at: dt.datetime) -> Job:
    owner, customer = cast.owner, cast.customers[facts["who"]]
    unit = _unit(facts, cast, customer, at)
    intake = Intake(
        unit=unit,
        complaint=facts["says"],
        condition=facts.get("condition", ""),
        shelf=facts.get("shelf", ""),
        accessories=[AccessoryTaken(name=name) for name in facts.get("with", [])],
        agreed_value_minor=bills.minor(facts.get("value")),
        bench_fee_minor=bills.minor(facts.get("fee")),
        limit_minor=None if "fee" in facts or "estimate" in facts else LIMIT_MINOR,
        comeback_of=cast.jobs.get(facts.get("comeback", "")),
    )
    how = facts.get("how", HowItCame.CARRIED_IN)
    if how == HowItCame.PARCEL:
        (job,) = counter.announce(
            customer=customer,
            intakes=[intake],
            carrier=facts.get("carrier", "Overland Post"),
            tracking=facts.get("tracking", ""),
            by=owner,
            at=at,
        )
        if facts.get("stage") not in {"expected", "called_off"}:
            state, note = facts.get("packing", ["sound", ""])
            counter.receive_expected(
                job=job, packing_state=state, packing_note=note, shelf=facts.get("shelf", ""), by=owner, at=at
            )
    else:
        (job,) = counter.book_in(customer=customer, intakes=[intake], how_it_came=how, by=owner, at=at)
        if facts.get("stage", "gone_home") not in ENDS and not customer.is_shop:
            issue_claim_check(jobs=[job], by=owner, at=at)
    return job


def _unit(facts: Told, cast: Cast, customer: Customer, at: dt.datetime) -> Unit:
    if facts["unit"] not in cast.units:
        maker, name, serial = facts["unit"].split("|")
        model = cast.models[f"{maker}|{name}"]
        cast.units[facts["unit"]] = counter.add_unit(
            model=model,
            owner=customer,
            serial=serial,
            line_voltage=120 if model.mains else None,
            is_donor=facts.get("donor", False),
            by=cast.owner,
            at=at,
        )
    return cast.units[facts["unit"]]


def _find_the_fault(facts: Told, cast: Cast, job: Job, at: dt.datetime) -> None:
    owner = cast.owner
    minutes = facts.get("hours", {}).get("diagnosis", 5)
    stint = bench.start_stint(
        job=job, kind=WorkKind.DIAGNOSIS, under_warranty=facts.get("warranty", False), by=owner, at=at
    )
    job = _fresh(job)
    for text in facts.get("found", []):
        bench.add_finding(job=job, text=text, by=owner, at=at + dt.timedelta(minutes=2))
    for where, typed, quantity, expected, role, channel in facts.get("meas", []):
        bench.add_reading(
            job=job,
            typed=typed,
            quantity=quantity,
            where=where,
            expected=expected,
            role=role,
            channel=channel,
            by=owner,
            at=at + dt.timedelta(minutes=3),
        )
    for kind, where, marking in facts.get("traces", []):
        bench.add_evidence(
            job=job,
            kind=kind,
            where=where,
            marking=marking,
            note="" if marking else "Other devices, other solder.",
            by=owner,
            at=at + dt.timedelta(minutes=4),
        )
    bench.stop_stint(stint=stint, by=owner, at=at + dt.timedelta(minutes=minutes))


def _repair(facts: Told, cast: Cast, job: Job, at: dt.datetime) -> None:
    owner, warranty = cast.owner, facts.get("warranty", False)
    for kind, minutes in facts.get("hours", {}).items():
        if kind == WorkKind.DIAGNOSIS:
            continue
        stint = bench.start_stint(job=_fresh(job), kind=kind, under_warranty=warranty, by=owner, at=at)
        at += dt.timedelta(minutes=minutes)
        bench.stop_stint(stint=stint, by=owner, at=at)
    job = _fresh(job)
    if job.stage == Stage.BOOKED_IN:
        bench.take_to_bench(job=job, by=owner, at=at)
    _fit_parts(facts, cast, job, at)
    if facts["end"][4] == Outcome.REPAIRED:
        _read_the_rails_again(facts, cast, job, at)
    failed, position, mode, remedy, outcome, *watch = facts["end"]
    if outcome == Outcome.UNCLAIMED:
        outcome = Outcome.REPAIRED
    bench.conclude(
        job=job,
        failed=failed,
        position=position,
        mode=FailureMode(mode),
        remedy=remedy,
        outcome=outcome,
        watch=watch[0] if watch else "",
        by=owner,
        at=at,
    )


def _fit_parts(facts: Told, cast: Cast, job: Job, at: dt.datetime) -> None:
    for fitted in parts_of(facts):
        part = cast.parts.get(fitted.name)
        stockroom.fit_part(
            job=job,
            part=part,
            description="" if part else fitted.name,
            position=fitted.position,
            quantity_thousandths=fitted.count * 1000,
            state=fitted.state,
            unit_price_ten_thousandths=bills.price(fitted.price).ten_thousandths if fitted.price else None,
            under_warranty=fitted.under_warranty,
            by=cast.owner,
            at=at,
        )


def _read_the_rails_again(facts: Told, cast: Cast, job: Job, at: dt.datetime) -> None:
    for where, _typed, quantity, expected, role, channel in facts.get("meas", []):
        if role == "rail":
            bench.add_reading(
                job=job,
                typed=expected.partition(" ±")[0],
                quantity=quantity,
                where=where,
                expected=expected,
                role=role,
                channel=channel,
                after_repair=True,
                by=cast.owner,
                at=at,
            )


def _go_home(facts: Told, cast: Cast, job: Job, at: dt.datetime) -> None:
    owner = cast.owner
    for accessory in job.accessories.all():
        dispatch.check_accessory(accessory=accessory, included=True, by=owner, at=at)
    if facts.get("home") != "parcel":
        shown = ("claim_check", "known")[job.pk % 2]
        dispatch.collect(
            customer=job.customer, jobs=[job], collected_by=job.customer.name, shown=shown, by=owner, at=at
        )
        return
    parcel = dispatch.pack(
        customer=job.customer,
        jobs=[job],
        length_mm=711,
        width_mm=610,
        height_mm=406,
        weight_grams=(job.unit.model.weight_grams or 8000) + 2600,
        double_boxed=True,
        carrier=Carrier.objects.get(name="Harrow Freight"),
        declared_value_minor=job.agreed_value_minor,
        by=owner,
        at=at,
    )
    dispatch.issue_slip(parcel=parcel, by=owner, at=at)
    dispatch.hand_over(parcel=parcel, tracking=f"HF {7000 + job.pk} {2200 + job.pk}", by=owner, at=at)
    dispatch.note_delivered(parcel=parcel, by=owner, at=at + dt.timedelta(days=3))


def sound(unit: Unit) -> safety.Measurements:
    """What a sound unit of this class shows at 120 V."""
    ohm = safety.Resistance
    turns = [(turned, on) for turned in (False, True) for on in (False, True)]
    earthed = unit.protection_class == "I"
    conductor = (safety.ConductorReading(where="rear panel", resistance=ohm(ohm=Decimal("0.12"))),)
    return safety.Measurements(
        visual=safety.Inspection(sound=True),
        conductor=conductor if earthed else (),
        conductor_again=conductor if earthed else (),
        cold=tuple(
            safety.ColdReading(where="chassis screw", resistance=ohm(ohm=Decimal("2.4E6")), switch_on=on)
            for on in (True, False)
        ),
        hot=tuple(
            safety.HotReading(
                where="chassis screw",
                volt=Decimal("0.06"),
                plug_reversed=turned,
                switch_on=on,
                conductor_open=earthed,
            )
            for turned, on in turns
        ),
    )
