"""Parcels that come in: arrived, photographed, and put to the carrier when they are damaged."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence

from django.core.files.uploadedfile import UploadedFile

from shop.counter.actions import attach_photos, file_paper
from shop.counter.models import InboundParcel, Job, JobPicture
from shop.dispatch.models import DamageReport
from shop.dispatch.papers import issue_damage_paper
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal


def note_arrived(
    *, inbound: InboundParcel, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> InboundParcel:
    """The parcel stands here, not opened yet."""
    with acting(by=by, at=at, once=once_key) as act:
        if not InboundParcel.objects.filter(pk=inbound.pk, arrived_at=None).update(arrived_at=act.at):
            raise Refusal("This parcel has arrived already.")
        inbound.refresh_from_db()
        act.record("inbound.arrived", subject=inbound, jobs=jobs_of(inbound))
    return inbound


def photograph_packing(
    *,
    inbound: InboundParcel,
    photos: Sequence[UploadedFile],
    by: Staff,
    caption: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> list[JobPicture]:
    """Keep photographs of box, cushion and damage with the first job of a parcel."""
    job = Job.objects.filter(inbound=inbound).order_by("id").first()
    if job is None:
        raise Refusal("No unit belongs to this parcel.")
    if not photos:
        raise Refusal("Choose at least one photograph.", field="photos")
    with acting(by=by, at=at, once=once_key) as act:
        kept = attach_photos(job=job, photos=photos, by=by, caption=caption, shows=JobPicture.Shows.PACKING)
        act.made(inbound)
    return kept


def issue_damage_report(
    *,
    inbound: InboundParcel,
    found: str,
    by: Staff,
    claimed_minor: int | None = None,
    pictures: Sequence[JobPicture] = (),
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> DamageReport:
    """Issue the report that goes to the carrier with the claim: facts, what was found, photographs.

    The sum claimed is in minor units. The carrier's own form and terms decide; this is what the shop saw.
    """
    if not found.strip():
        raise Refusal("Say what is damaged: box, cushion, unit.", field="found")
    if inbound.arrived_at is None:
        raise Refusal("This parcel has not arrived yet.")
    with acting(by=by, at=at, once=once_key) as act:
        jobs = list(Job.objects.filter(inbound=inbound).select_related("unit__model__maker").order_by("id"))
        paper = issue_damage_paper(
            inbound=inbound,
            jobs=jobs,
            found=found.strip(),
            claimed_minor=claimed_minor,
            pictures=pictures,
            by=by,
        )
        report = DamageReport.objects.create(
            inbound=inbound,
            found=found.strip(),
            claimed_minor=claimed_minor,
            currency=the_profile().currency,
            paper=paper,
            at=act.at,
            by=by,
        )
        file_paper(act=act, paper=paper, jobs=jobs)
        # last, so that a second click is answered with the report and not with its paper
        act.record(
            "damage.reported", subject=report, jobs=[job.pk for job in jobs], claimed_minor=claimed_minor
        )
    return report


def jobs_of(inbound: InboundParcel) -> list[int]:
    """The ids of the jobs whose units came in a parcel, in order."""
    return list(Job.objects.filter(inbound=inbound).order_by("id").values_list("pk", flat=True))
