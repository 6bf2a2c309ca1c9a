"""Photographs and papers, kept with the jobs they belong to."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterable, Sequence

from django.core.files.uploadedfile import UploadedFile

from shop.counter.models import Job, JobPaper, JobPicture
from shop.frame.journal import Act, acting
from shop.frame.models import Staff
from shop.frame.once import keyless
from shop.keeping.models import IssuedPaper, Picture
from shop.keeping.pictures import take_picture


@keyless("joined")
def attach_picture(
    *,
    job: Job,
    picture: Picture,
    by: Staff | None,
    shows: str = JobPicture.Shows.INTAKE,
    caption: str = "",
    at: dt.datetime | None = None,
) -> JobPicture:
    """Keep a photograph with a job."""
    with acting(by=by, at=at) as act:
        kept = JobPicture.objects.create(job=job, picture=picture, shows=shows, caption=caption.strip())
        act.record("job.picture_kept", subject=kept, jobs=[job.pk], shows=shows)
    return kept


def attach_photos(
    *,
    job: Job,
    photos: Sequence[UploadedFile],
    by: Staff,
    caption: str = "",
    shows: str = JobPicture.Shows.INTAKE,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> list[JobPicture]:
    """Take photographs in and keep them with a job: all of them or none."""
    with acting(by=by, at=at, once=once_key):
        return [
            attach_picture(job=job, picture=take_picture(upload, by=by), by=by, caption=caption, shows=shows)
            for upload in photos
        ]


def file_paper(*, act: Act, paper: IssuedPaper, jobs: Iterable[Job]) -> None:
    """Put an issued paper with the jobs it speaks of. Joins the act that issued it."""
    jobs = list(jobs)
    JobPaper.objects.bulk_create(JobPaper(job=job, paper=paper) for job in jobs)
    act.record(
        "paper.filed", subject=paper, jobs=[job.pk for job in jobs], kind=paper.kind, sha256=paper.sha256
    )
