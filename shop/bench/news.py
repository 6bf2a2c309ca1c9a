"""The bench's news: soak tests that have run their time, or came to an end."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from django.db.models import Q

from shop.bench.models import SoakTest
from shop.counter.models import Job
from shop.counter.stages import OPEN, Stage
from shop.frame import clock, spelling
from shop.frame.models import Staff
from shop.frame.news import Piece
from shop.frame.rooms import open_door

LATELY = dt.timedelta(days=3)
MOST = 30


def soaks(staff: Staff) -> Iterator[Piece]:
    """Soak tests whose planned time is over, and those that ended lately."""
    now = clock.now()
    late = Q(ended_at__isnull=True) | Q(ended_at__gte=now - LATELY)
    # begins at the jobs that are in the shop, few as they are, not at all the soak tests that ever ran
    here = Job.objects.filter(stage__among=OPEN).values("pk")
    found = SoakTest.objects.filter(late, job_id__in=here, struck_at__isnull=True)
    whole = found.select_related("job__unit__model__maker").prefetch_related("checks")
    for soak in whole.order_by("-at")[:MOST]:
        number, address = soak.job.number, open_door("bench:job", soak.job.number)
        if soak.ended_at is not None:
            yield Piece(
                key=f"soak:{soak.pk}:ended",
                icon="circle-check" if soak.result == SoakTest.Result.PASSED else "triangle-alert",
                title=f"The soak test of {number} ended: {soak.get_result_display().lower()}",
                words=f"{soak.job.unit.model}. {soak.note}".strip(),
                at=soak.ended_at,
                address=address,
            )
        elif soak.job.stage == Stage.PROVING and soak.seconds >= soak.planned_seconds:
            ran = spelling.hours(soak.seconds)
            yield Piece(
                key=f"soak:{soak.pk}:over",
                icon="bell",
                title=f"The soak test of {number} has run its time",
                words=f"{soak.job.unit.model}: {ran}. Look at it, and say how it went.",
                at=now,
                address=address,
            )
