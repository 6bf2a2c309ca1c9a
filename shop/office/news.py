"""The office's news: customers' answers, and jobs on which what is agreed runs out."""

from __future__ import annotations

from collections.abc import Iterator

from django.db.models import QuerySet

from shop.counter.models import Job
from shop.counter.queries import whole_jobs
from shop.counter.stages import OPEN, Stage
from shop.frame import clock, spelling
from shop.frame.models import Role, Staff
from shop.frame.news import Piece, since
from shop.frame.rooms import open_door
from shop.handbook.money import Money
from shop.office.models import Authorisation
from shop.office.queries import struck_since
from shop.office.queries.used_up import UsedUp, by_job, used_up, with_sums

MOST = 30
AT_WORK = (Stage.ON_THE_BENCH, Stage.PROVING)


def office_news(staff: Staff) -> Iterator[Piece]:
    """Customers' answers, and jobs at work on which what is agreed runs out or a further fault was found."""
    # begins at the jobs that are in the shop, not at every answer that was ever given
    here = Job.objects.filter(stage__among=OPEN)
    given = Authorisation.objects.filter(job_id__in=here.values("pk")).select_related(
        "estimate", "job__unit__model__maker", "job__customer"
    )
    answers = list(given.order_by("at", "id"))
    said_last = {one.job_id: one.answer in Authorisation.NOES for one in answers}
    new = [
        one
        for one in answers
        # a yes that was taken back since, or a no that became a yes, is no news any more
        if one.at >= since()
        and one.received_by_id != staff.pk
        and said_last[one.job_id] == (one.answer in Authorisation.NOES)
    ]
    yield from (_answer(staff, one) for one in new[-MOST:])
    if staff.has_role(Role.COUNTER):
        yield from _struck_since(here)
    jobs = list(with_sums(whole_jobs()).filter(stage__in=AT_WORK).order_by("-stage_since")[:MOST])
    for standing in used_up(jobs, by_job(answers)):
        yield from _stop_and_ask(standing)


def _struck_since(here: QuerySet[Job]) -> Iterator[Piece]:
    """What is charged and was struck out at the bench afterwards: the office owes a credit."""
    for one in struck_since(here).select_related("line", "invoice", "job__unit__model__maker")[:MOST]:
        said = one.line.description if one.line else one.get_source_display()
        yield Piece(
            key=f"struck:{one.pk}",
            icon="triangle-alert",
            title=f"Charged and struck out since: {one.job.number}",
            words=f"“{said}” stands on {one.invoice.number}. A credit note over that line takes it off.",
            at=clock.now(),
            address=open_door("office:invoice", one.invoice_id),
        )


def _answer(staff: Staff, one: Authorisation) -> Piece:
    return Piece(
        key=f"answer:{one.pk}",
        icon="circle-check" if one.answer not in Authorisation.NOES else "circle-alert",
        title=f"{one.job.number}: {one.get_answer_display()}",
        words=f"{one.person}, {one.job.unit.model}: {said_of(one)}",
        note=one.conditions,
        at=one.at,
        address=_at_work(staff, one.job),
    )


def said_of(given: Authorisation) -> str:
    """What an answer comes to: the sum that may be charged in all by now, and what it asks besides."""
    whole = spelling.money(Money(given.authorised_minor, given.job.currency))
    if given.answer in Authorisation.NOES:
        return f"{whole} stay agreed." if given.authorised_minor else "Nothing is agreed now."
    limit = "up to " if given.answer == Authorisation.Answer.UP_TO else ""
    return f"{limit}{whole} in all, before tax."


def _stop_and_ask(standing: UsedUp) -> Iterator[Piece]:
    job, address = standing.job, open_door("office:job", standing.job.number)
    for finding in standing.beyond:
        yield Piece(
            key=f"beyond:{finding.pk}",
            icon="triangle-alert",
            title=f"Stop and ask: a further fault in {job.number}",
            words=f"{job.unit.model}: {finding.text[:140]}",
            at=finding.at,
            address=address,
            stops=True,
        )
    if standing.runs_out:
        how = "gone" if standing.is_gone else "nearly"
        spent = f"{spelling.money(standing.used)} of {spelling.money(standing.agreed)} agreed"
        yield Piece(
            key=f"runs-out:{job.pk}:{standing.agreed.minor}:{how}",
            icon="triangle-alert",
            title=f"Stop and ask: what is agreed on {job.number} is {'gone' if how == 'gone' else 'nearly gone'}",
            words=f"{job.unit.model}: {spent}, {standing.per_cent} %.",
            at=clock.now(),
            address=address,
            stops=standing.is_gone,
        )


def _at_work(staff: Staff, job: Job) -> str:
    door = "bench:job" if staff.has_role("bench") else "office:job"
    return open_door(door, job.number)
