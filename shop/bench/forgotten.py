"""A clock that ran on after its person had left: when the work most likely ended."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from statistics import median

from shop.bench.models import Evidence, Finding, Reading, Stint
from shop.counter.models import JobPicture
from shop.frame import clock, spelling

LONG = dt.timedelta(hours=3)
QUIET = dt.timedelta(minutes=90)
AFTER_THE_LAST_LINE = dt.timedelta(minutes=10)
USUAL = dt.timedelta(minutes=45)
LAST_STINTS = 25


@dataclass(frozen=True, slots=True)
class Forgotten:
    """A stint that was most likely forgotten, and when it may have ended, with the reason in a sentence."""

    stint: Stint
    stopped_at: dt.datetime
    why: str

    @property
    def started(self) -> str:
        """Its start, as the form that mends it takes times."""
        return as_local_text(self.stint.started_at)

    @property
    def stopped(self) -> str:
        """The suggested end, as the form that mends it takes times."""
        return as_local_text(self.stopped_at)


def as_local_text(moment: dt.datetime) -> str:
    """A moment to the second in the shop's time zone, as `datetime-local` writes it."""
    return f"{clock.local(moment):%Y-%m-%dT%H:%M:%S}"


def forgotten(stint: Stint | None) -> Forgotten | None:
    """Whether a running stint was forgotten: hours old, and nothing written on its job for long.

    It ended shortly after the last line that its person wrote during it; with no line, after as long as their stints usually
    take (the median of the last ones, three quarters of an hour where there are none). Common practice, no source.
    """
    now = clock.now()
    if stint is None or stint.stopped_at is not None or now - stint.started_at < LONG:
        return None
    last = last_line(stint)
    if last is None:
        end = stint.started_at + usual_length(stint)
        return Forgotten(
            stint, min(end, now), "Nothing was written during it; your stints usually take that long."
        )
    if now - last < QUIET:
        return None
    why = f"The last thing that you wrote during it was at {spelling.moment(last)}."
    return Forgotten(stint, min(last + AFTER_THE_LAST_LINE, now), why)


def last_line(stint: Stint) -> dt.datetime | None:
    """When the stint's person last wrote on its job since it began."""
    written = [
        kind.objects.filter(job_id=stint.job_id, by_id=stint.by_id, at__gt=stint.started_at)
        .order_by("-at")
        .values_list("at", flat=True)
        .first()
        for kind in (Finding, Reading, Evidence)
    ]
    pictures = JobPicture.objects.filter(job_id=stint.job_id, picture__added_at__gt=stint.started_at)
    written.append(pictures.order_by("-id").values_list("picture__added_at", flat=True).first())
    return max((one for one in written if one is not None), default=None)


def usual_length(stint: Stint) -> dt.timedelta:
    """The median of this person's last stints that were stopped and stand."""
    stopped = Stint.objects.filter(by_id=stint.by_id, stopped_at__isnull=False, struck_at__isnull=True)
    times = stopped.order_by("-started_at").values_list("started_at", "stopped_at")[:LAST_STINTS]
    lengths = [(end - start).total_seconds() for start, end in times if end is not None]
    return dt.timedelta(seconds=median(lengths)) if lengths else USUAL
