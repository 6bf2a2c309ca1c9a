"""Jobs like this one, with why: the unit's own, those with a like reading, and those whose complaint says the same."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shop.bench.models import Conclusion
from shop.counter.models import Job
from shop.handbook.words import satisfied_by, stored_tokens
from shop.records.remedies import asked_in_turn, telling_words

SHOWN = 20


@dataclass(frozen=True, slots=True)
class Alike:
    """One job like another: the circle that it was found in, the words that both say, and what put it right."""

    job: Job
    why: str
    said: tuple[str, ...]
    concluded: str


def jobs_like(job: Job) -> list[Alike]:
    """The likest first, each job once. A fixed number of queries."""
    why: dict[int, str] = {}
    for circle, found in asked_in_turn(job.unit.model, job.complaint, job):
        for pk in found:
            if pk != job.pk:
                why.setdefault(pk, circle.name)
        if len(why) >= SHOWN:
            break
    chosen = list(why)[:SHOWN]
    jobs = Job.objects.select_related("unit__model__maker").in_bulk(chosen)
    ended = _conclusions(chosen)
    return [
        Alike(jobs[pk], why[pk], _both_say(job, jobs[pk]), ended.get(pk, "")) for pk in chosen if pk in jobs
    ]


def _conclusions(jobs: Sequence[int]) -> dict[int, str]:
    standing = Conclusion.objects.filter(job__in=jobs, struck_at__isnull=True).order_by("at", "id")
    return {one.job_id: ": ".join(filter(None, (one.failed, one.remedy))) for one in standing}


def _both_say(job: Job, other: Job) -> tuple[str, ...]:
    """The words of the one's complaint that the other's says in some way, as they were typed."""
    said = stored_tokens(other.complaint)
    return tuple(word.typed for word in telling_words(job.complaint) if satisfied_by(word, said) is not None)
