"""What the shop learns of a model, written into its model file. Each function is one act and doubles nothing."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterable
from decimal import Decimal

from shop.counter.models import Job, ModelNote, OriginalPart, SafetyLimits, TestPoint, TestsBy, UnitModel
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal


def learn_test_point(
    *,
    model: UnitModel,
    name: str,
    quantity: str,
    by: Staff,
    where: str = "",
    condition: str = "",
    role: str = "",
    channel: str = "",
    expected: str = "",
    note: str = "",
    job: Job | None = None,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> TestPoint:
    """Keep a point to measure in this model, and what is expected there; the same point is put right, not doubled.

    `expected` as one types it (`12 V ± 5 %`); a form or the bench has read it before. `job` is where it was learnt.
    """
    if not name.strip():
        raise Refusal("Say where it is measured.", field="where")
    with acting(by=by, at=at, once=entry) as act:
        facts = {
            "where": where.strip() or name.strip(),
            "role": role,
            "expected": expected.strip(),
            "note": note.strip()[:200],
        }
        point, made = TestPoint.objects.get_or_create(
            model=model,
            name=name.strip()[:80],
            quantity=quantity,
            condition=condition.strip(),
            channel=channel,
            defaults=facts | {"position": model.test_points.count() + 1},
        )
        if not made:
            for field, value in facts.items():
                setattr(point, field, value or getattr(point, field))
            point.save()
        act.record("model.point_learnt", subject=point, jobs=[job.pk] if job else [], model=model.pk)
    return point


def learn_note(
    *,
    model: UnitModel,
    text: str,
    by: Staff,
    job: Job | None = None,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> ModelNote:
    """Keep something learnt about a model; the very same words are kept once."""
    if not text.strip():
        raise Refusal("Write the note.", field="text")
    with acting(by=by, at=at, once=entry) as act:
        note, made = ModelNote.objects.get_or_create(
            model=model, text=text.strip(), defaults={"job": job, "by": by, "at": act.at}
        )
        if made:
            act.record("model.note_learnt", subject=note, jobs=[job.pk] if job else [], model=model.pk)
    return note


def learn_original(
    *,
    model: UnitModel,
    position: str,
    designation: str,
    by: Staff,
    matched_with: str = "",
    note: str = "",
    job: Job | None = None,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> OriginalPart:
    """Keep what the maker fitted at a position, so that evidence can be held against it."""
    if not position.strip() or not designation.strip():
        raise Refusal("Say the position and the designation that the maker fitted there.", field="marking")
    if len(position.strip()) > 30 or len(designation.strip()) > 60:
        raise Refusal("A position has up to 30 characters, a designation up to 60.", field="where")
    with acting(by=by, at=at, once=entry) as act:
        original, made = OriginalPart.objects.get_or_create(
            model=model,
            position=position.strip(),
            designation=designation.strip(),
            defaults={"matched_with": matched_with.strip(), "note": note.strip()[:200]},
        )
        if made:
            act.record(
                "model.original_learnt", subject=original, jobs=[job.pk] if job else [], model=model.pk
            )
    return original


def set_safety_limits(
    *,
    model: UnitModel,
    by: Staff,
    hot_leakage_volts: Decimal | None = None,
    hot_limit_fails: bool = False,
    cold_min_ohms: Decimal | None = None,
    cold_max_ohms: Decimal | None = None,
    cold_infinite: bool = False,
    tests_by: str = "",
    surge_protectors: bool = False,
    insulation_by_current: bool = False,
    hfe_percent: Decimal | None = None,
    vbe_volts: Decimal | None = None,
    source: str = "",
    job: Job | None = None,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> SafetyLimits:
    """Keep the limits that this model's maker prints, all of them anew. None means the handbook's common one."""
    printed = (hot_leakage_volts, cold_min_ohms, cold_max_ohms, hfe_percent, vbe_volts)
    if any(limit is not None and not (limit.is_finite() and limit > 0) for limit in printed):
        raise Refusal("A limit is more than nothing.")
    if tests_by not in TestsBy.values:
        raise Refusal("Choose how its manual tests it.", field="tests_by")
    if cold_min_ohms is not None and cold_max_ohms is not None and cold_max_ohms < cold_min_ohms:
        raise Refusal("The lower limit is above the higher one.", field="cold_max_ohms")
    with acting(by=by, at=at, once=entry) as act:
        limits, _ = SafetyLimits.objects.update_or_create(
            model=model,
            defaults={
                "hot_leakage_volts": hot_leakage_volts,
                "hot_limit_fails": hot_limit_fails,
                "cold_min_ohms": cold_min_ohms,
                "cold_max_ohms": cold_max_ohms,
                "cold_infinite": cold_infinite,
                "tests_by": tests_by,
                "surge_protectors": surge_protectors,
                "insulation_by_current": insulation_by_current,
                "hfe_percent": hfe_percent,
                "vbe_volts": vbe_volts,
                "source": source.strip()[:200],
            },
        )
        act.record("model.limits_set", subject=limits, jobs=[job.pk] if job else [], model=model.pk)
    return limits


def describe_model(
    *,
    model: UnitModel,
    by: Staff,
    kind: str,
    family: str = "",
    built: tuple[dt.date, dt.date] | None = None,
    weight_grams: int | None = None,
    traits: Iterable[str] = (),
    twins: Iterable[UnitModel] = (),
    notes: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> UnitModel:
    """Keep what the shop knows of a model as a whole, all of it anew; `twins` are the same chassis under other names.

    Only a new kind touches the jobs, which are found by it. The same said twice is written once.
    """
    twins = list(twins)
    if model in twins:
        raise Refusal("A model is no twin of its own.", field="twins")
    built_from, built_to = built or (None, None)
    facts = {
        "kind": kind,
        "family": family.strip()[:80],
        "built_from": built_from,
        "built_to": built_to,
        "weight_grams": weight_grams,
        "traits": sorted(traits),
        "notes": notes.strip(),
    }
    with acting(by=by, at=at, once=once_key) as act:
        changed = sorted(name for name, value in facts.items() if getattr(model, name) != value)
        for name in changed:
            setattr(model, name, facts[name])
        model.save(update_fields=changed)
        if set(model.twins.all()) != set(twins):
            model.twins.set(twins)
            changed.append("twins")
        if changed:
            jobs = Job.objects.filter(unit__model=model) if "kind" in changed else Job.objects.none()
            act.record("model.changed", subject=model, jobs=jobs.values_list("pk", flat=True), fields=changed)
    return model
