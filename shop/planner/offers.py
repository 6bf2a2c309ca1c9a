"""What the planner says to the counter: dates to offer, and why a finish date can't be given yet."""

from __future__ import annotations

from django.http import HttpRequest
from django.template.loader import render_to_string

from shop.bench.models import Conclusion
from shop.counter.models import Job, Promise, StageMove
from shop.counter.promising import Offer, offered, why_no_finish
from shop.counter.stages import KNOWN_AFTER, Stage
from shop.planner.models import ForecastState, JobForecast
from shop.stockroom.models import PartWanted

LIKE_WHAT = {"kind": "of its kind", "symptom": "of its kind with the same complaint", "model": "of its model"}


def objection(job: Job) -> str:
    """Why no finish date can be given: the fault isn't known, an answer is owed, or a part isn't even ordered."""
    if job.stage == Stage.AWAITING_WORD:
        return "A finish date is given once the customer has answered the estimate."
    looked_at = StageMove.objects.filter(job=job, to_stage__in=KNOWN_AFTER).exists()
    if not looked_at and not Conclusion.objects.filter(job=job, struck_at__isnull=True).exists():
        return "A finish date is given once the fault is known; until then, the day of the first word."
    wanted = PartWanted.objects.filter(job=job, came_at=None, fitted_at=None, dropped_at=None)
    if wanted.filter(order_line__order__sent_at=None).exists():
        return "A finish date is given once its parts are in or ordered."
    return ""


def offering(job: Job, what: str) -> Offer | None:
    """The forecast's dates, and what they rest on."""
    told = JobForecast.objects.filter(job=job).first()
    if told is None:
        return None
    likely, safe = (
        (told.ready_likely, told.ready_safe)
        if what == Promise.What.READY
        else (told.word_likely, told.word_safe)
    )
    return Offer(likely, safe, rests_on(told)) if likely and safe else None


def rests_on(told: JobForecast) -> str:
    """What the dates of a job rest on, in a sentence for the shop."""
    state = ForecastState.objects.first() or ForecastState()
    like = f"{told.like_jobs} earlier jobs" if told.like_jobs != 1 else "one earlier job"
    which = f" {LIKE_WHAT[told.like_what]}" if told.like_what in LIKE_WHAT else ""
    weeks = f"{state.past_weeks} worked weeks" if state.past_weeks else "the hours as planned"
    thin = "" if told.like_jobs else " There is no history yet: it is mostly assumed."
    wider = (
        f" Widened by {round((state.widened - 1) * 100)} %, as late promises ask."
        if state.widened > 1.05
        else ""
    )
    return f"Based on {like}{which} and {weeks}.{thin}{wider}"


def promise_offers(request: HttpRequest, *, job: Job) -> str:
    """The dates that may be offered, for the counter's page of a job."""
    if Stage(job.stage).row.ahead is None:
        return ""
    offers = {what: offered(job, what) for what in Promise.What.values}
    if why_no_finish(job):
        offers.pop(Promise.What.READY)
    found = [(Promise.What(what).label, what, offer) for what, offer in offers.items() if offer]
    return render_to_string("planner/places/offers.html", {"offers": found, "job": job}, request)
