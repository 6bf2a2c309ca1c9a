"""What is said of a kept photograph, and setting one aside."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence

from django.db.models import QuerySet

from shop.bench.actions.lines import refuse_away
from shop.counter.actions import attach_picture
from shop.counter.models import Job, JobPicture
from shop.frame.journal import acting
from shop.frame.models import JournalEntry, Staff
from shop.frame.once import taken_before
from shop.frame.refusal import Refusal
from shop.keeping.marks import Mark
from shop.keeping.models import Picture
from shop.keeping.pictures import empty_sheet, take_picture


def describe_picture(
    *,
    job: Job,
    kept: JobPicture,
    by: Staff,
    caption: str = "",
    shows: str = JobPicture.Shows.BENCH,
    pair: JobPicture | None = None,
    in_report: bool = False,
    for_customer: bool = False,
    marks: Sequence[Mark] = (),
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> JobPicture:
    """Say what a photograph shows, which one it is a pair with, who gets to see it, and draw on it.

    The marks lie over the picture; the picture itself is never changed. A pair is one of both sides.
    """
    if pair is not None and (pair.job_id != job.pk or pair.pk == kept.pk):
        raise Refusal("A pair are two photographs of the same job.", field="pair")
    with acting(by=by, at=at, once=entry) as act:
        Picture.objects.filter(pk=kept.picture_id).update(marks=list(marks))
        JobPicture.objects.filter(pair=kept).update(pair=None)
        if pair is not None:
            JobPicture.objects.filter(pair=pair).update(pair=None)
            JobPicture.objects.filter(pk=pair.pk).update(pair=kept)
        kept.caption, kept.shows, kept.pair = caption.strip(), shows, pair
        kept.in_report, kept.for_customer = in_report, for_customer
        kept.save(update_fields=["caption", "shows", "pair", "in_report", "for_customer"])
        act.record(
            "picture.described",
            subject=kept,
            jobs=[job.pk],
            shows=shows,
            in_report=in_report,
            for_customer=for_customer,
            marks=len(marks),
        )
    return kept


def begin_sketch(
    *, job: Job, by: Staff, entry: uuid.UUID | None = None, at: dt.datetime | None = None
) -> JobPicture:
    """Put an empty sheet into the job's record, to be drawn on."""
    with acting(by=by, at=at, once=entry):
        refuse_away(job)
        picture = take_picture(empty_sheet(), by=by)
        return attach_picture(job=job, picture=picture, by=by, shows=JobPicture.Shows.BENCH, caption="Sketch")


def caption_pictures(
    *,
    job: Job,
    of: uuid.UUID,
    by: Staff,
    caption: str = "",
    shows: str = "",
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> JobPicture:
    """Say afterwards what the photographs of one entry show: the words come when the hands are free.

    `of` is the id of the entry that brought them. What is left empty stays as it was.
    """
    said: dict[str, str] = {}
    if caption.strip():
        said["caption"] = caption.strip()
    if shows:
        said["shows"] = shows
    with acting(by=by, at=at, once=entry) as act:
        pictures = list(_brought_by(of, job))
        if not pictures:
            raise Refusal("That photograph is not here yet: send it first.", field="caption")
        JobPicture.objects.filter(pk__in=[one.pk for one in pictures]).update(**said)
        for kept in pictures:
            act.record("picture.described", subject=kept, jobs=[job.pk], shows=shows or kept.shows)
    return pictures[-1]


def _brought_by(entry: uuid.UUID, job: Job) -> QuerySet[JobPicture]:
    """The photographs that one entry brought, all of which were kept in one act."""
    key = taken_before(str(entry))
    label = JobPicture._meta.label_lower
    if key is None or key.result_type != label:
        return JobPicture.objects.none()
    acts = JournalEntry.objects.filter(subject_type=label, subject_id=key.result_id).order_by("sequence")
    same = JournalEntry.objects.filter(act__in=acts.values("act")[:1], subject_type=label)
    return JobPicture.objects.filter(
        pk__in=same.values("subject_id"), job=job, struck_at__isnull=True
    ).order_by("pk")


def set_picture_aside(
    *, job: Job, kept: JobPicture, by: Staff, entry: uuid.UUID | None = None, at: dt.datetime | None = None
) -> JobPicture:
    """Take a photograph out of the job's record; the picture stays in the shop's keeping."""
    with acting(by=by, at=at, once=entry) as act:
        if not JobPicture.objects.filter(pk=kept.pk, struck_at__isnull=True).update(struck_at=act.at):
            raise Refusal("This photograph was taken out of the record already.")
        act.record("picture.set_aside", subject=kept, jobs=[job.pk])
    return kept
