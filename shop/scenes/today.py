"""What is new in the demo shop today: one example of each piece of news on its first screen."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from shop.bench import actions as bench
from shop.bench.models import SoakTest, Stint
from shop.counter import actions as counter
from shop.counter.models import Job
from shop.counter.stages import Stage
from shop.dispatch import actions as dispatch
from shop.frame import clock
from shop.frame.models import Staff
from shop.frame.news import since
from shop.keeping import outbox
from shop.keeping.models import Message
from shop.office import actions as office
from shop.office.models import Authorisation, Charge
from shop.office.queries.used_up import used_up
from shop.stockroom import actions as stockroom
from shop.window.actions import say_word

KEEP_THEM = "Keep the old parts for me, please."
SEVEN_EIGHTHS = (8, 7)


def todays_news(owner: Staff) -> None:
    """Let customers answer and write, a part and a parcel come, hours run out, a soak end, a letter fail, a cover stay behind."""
    at_work = _at(Stage.ON_THE_BENCH)
    now = clock.now()
    if at_work:
        _part_came(at_work[0], owner, now - dt.timedelta(hours=3))
        _answered(at_work[-1], now - dt.timedelta(hours=2))
    for job in at_work[1:2]:
        _runs_out(job, owner, now - dt.timedelta(hours=2))
        bench.add_finding(
            job=job, text="The other channel’s relay has burned contacts, too.", beyond=True, by=owner
        )
    for job in _at(Stage.PROVING)[:1]:
        _ran_its_time(job, owner, now - dt.timedelta(hours=4))
    for job in _at(Stage.PROVING)[1:]:
        _came_back(job, owner, now - dt.timedelta(hours=1))
    for job in _at(Stage.READY)[:1]:
        say_word(job=job, text="Can I fetch it on Saturday before noon?")
        outbox.write_message(
            to=job.customer.email or "nobody@fennimore.example",
            subject=f"{job.number} is ready",
            body="Your unit is ready to go back to you.",
            by=owner,
        )
        Message.objects.filter(subject=f"{job.number} is ready").update(
            tries=2, last_error="The mail server did not answer."
        )
    for job in _at(Stage.READY)[1:]:
        _charged_and_struck(job, owner, now - dt.timedelta(hours=1))
    for job in _at(Stage.EXPECTED)[:1]:
        if job.inbound is not None and job.inbound.arrived_at is None:
            dispatch.note_arrived(inbound=job.inbound, by=owner)
    gone = Job.objects.filter(stage=Stage.GONE_HOME, stage_since__gte=since(), customer__is_shop=False)
    if (left := gone.order_by("-stage_since").first()) is not None:
        counter.take_accessory(job=left, name="Dust cover", stands_at="A 1", by=owner)


def _at(stage: Stage) -> list[Job]:
    standing = Job.objects.filter(stage=stage, customer__is_shop=False).order_by("id")
    return list(standing.select_related("customer", "inbound", "unit__model__maker"))


def _part_came(job: Job, owner: Staff, at: dt.datetime) -> None:
    want = stockroom.want_part(job=job, description="Idler tire, 24 mm", by=owner, at=at)
    stockroom.note_came(wanted=want, unit_cost_ten_thousandths=61_500, by=owner)


def _came_back(job: Job, owner: Staff, at: dt.datetime) -> None:
    """Its soak test ended with the fault; one that stays on soak test still runs."""
    for soak in SoakTest.objects.filter(job=job, ended_at=None, at__lt=at):
        bench.end_soak(
            soak=soak,
            result=SoakTest.Result.CAME_BACK,
            note="It crawls again as soon as it is warm.",
            by=owner,
            at=at,
        )


def _ran_its_time(job: Job, owner: Staff, at: dt.datetime) -> None:
    """Somebody looked at it again, and by now it has run as long as was planned: how it went is still to be said."""
    for soak in SoakTest.objects.filter(job=job, ended_at=None, at__lt=at):
        bench.add_soak_check(soak=soak, temperature=Decimal(37), by=owner, at=at)


def _charged_and_struck(job: Job, owner: Staff, at: dt.datetime) -> None:
    """An hour that its invoice charges was struck out at the bench afterwards: the office owes a credit."""
    charged = Charge.objects.filter(job=job, source=Charge.Source.STINT, released_at__isnull=True)
    for stint in Stint.objects.filter(pk__in=charged.values("source_id")).order_by("-id")[:1]:
        bench.strike(line=stint, reason="Wrong job", by=owner, at=at)


def _answered(job: Job, at: dt.datetime) -> None:
    office.record_answer(
        job=job,
        answer=Authorisation.Answer.UP_TO,
        how=Authorisation.How.WINDOW,
        given_by=job.customer.name,
        up_to_minor=32_500,
        conditions=KEEP_THEM,
        by=None,
        at=at,
    )


def _runs_out(job: Job, owner: Staff, at: dt.datetime) -> None:
    """Agree to a little more than is worked: seven eighths of it are used."""
    (standing,) = used_up([job])
    more, whole = SEVEN_EIGHTHS
    if standing.used.minor:
        office.record_answer(
            job=job,
            answer=Authorisation.Answer.UP_TO,
            how=Authorisation.How.WRITTEN,
            given_by=job.customer.name,
            up_to_minor=standing.used.minor * more // whole,
            by=owner,
            at=at,
        )
