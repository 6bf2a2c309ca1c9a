"""The story of the earlier repair: all dated traces of one unit, from all its jobs, put together in two sentences."""

from __future__ import annotations

from collections.abc import Iterable

from shop.bench.judging import build_window, from_plain
from shop.bench.models import Evidence, EvidenceKind
from shop.counter.models import Job
from shop.frame import clock
from shop.handbook import originality
from shop.handbook.originality import Mark, Story, WindowError

MARKS = {
    EvidenceKind.DATE_CODE: Mark.PART,
    EvidenceKind.DATE_STAMP: Mark.REPAIR_LABEL,
    EvidenceKind.FACTORY: Mark.FACTORY_STAMP,
}


def earlier_work(job: Job) -> Story | None:
    """What the dated traces of this unit tell together; None where none was noted. One query."""
    noted = Evidence.objects.filter(job__unit_id=job.unit_id, struck_at__isnull=True, kind__in=list(MARKS))
    return story_of(job, noted.order_by("at", "id"))


def story_of(job: Job, noted: Iterable[Evidence]) -> Story | None:
    """The same from traces that were read already; struck ones don't count."""
    standing = [one for one in noted if one.struck_at is None and one.kind in MARKS and one.candidates]
    traces = [as_trace(one) for one in standing]
    if not traces:
        return None
    try:
        return originality.story(build_window(job), traces, clock.today())
    except WindowError:
        # the unit's own window and its model's, one side each, may contradict each other: then the traces speak alone
        return originality.story(originality.Window(), traces, clock.today())


def as_trace(noted: Evidence) -> originality.Evidence:
    """A noted trace as the handbook reckons with it; a chosen reading stands alone."""
    candidates = tuple(from_plain(one) for one in noted.candidates)
    if noted.chosen is not None and noted.chosen < len(candidates):
        candidates = (candidates[noted.chosen],)
    return originality.Evidence(
        where=noted.where,
        mark=MARKS[EvidenceKind(noted.kind)],
        marking=noted.marking,
        candidates=candidates,
        untouched=noted.untouched,
    )
