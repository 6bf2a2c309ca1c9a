"""What comes next for a job, on every page of it and on the first screen: one sentence, one way on, why not more yet, and by
whose move.

The bench knows its own steps by what was written there; this looks at the whole job, across the rooms. Whose move a job is
follows from what comes next (`keep_moves_true`), so that list and page never say two things.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace
from typing import Any

from django.db.models import Exists, F, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django.urls import reverse

from shop.bench.models import Conclusion, Finding, SafetyCheck, SafetyWaiver, SoakTest
from shop.bench.safety import why_not
from shop.counter.models import HowItCame, Job
from shop.counter.said import unread
from shop.counter.stages import OPEN, Outcome, Stage, for_each_open
from shop.dispatch.models import ParcelJob
from shop.frame import clock, spelling
from shop.frame.models import Role
from shop.frame.profile import the_profile
from shop.frame.rooms import open_door
from shop.frame.whose_move import WhoseMove
from shop.keeping.night import Night
from shop.office.models import Authorisation, Estimate, Invoice, ReleaseUnpaid
from shop.office.queries import last_answers, last_noes, since_invoiced
from shop.stockroom.models import PartWanted

Answer = Authorisation.Answer
_TO_A_REPAIR = (Answer.YES, Answer.PARTLY, Answer.MORE, Answer.UP_TO)
_REPAIRED = {Outcome.REPAIRED, Outcome.PARTLY}
_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class Step:
    """What comes next: where it is done and by whom, and why not more than that yet."""

    title: str
    address: str
    act: str
    role: Role
    mover: WhoseMove = WhoseMove.BENCH
    why_not: tuple[str, ...] = ()


@dataclass(slots=True)
class _Facts:
    """What the next step hangs on: a job with the columns of `with_facts`, and what only some pages ask for."""

    job: Job
    is_unread: bool = False
    soak: SoakTest | None = None

    def __getattr__(self, name: str) -> Any:
        """A column that `with_facts` added to the job."""
        return getattr(self.job, f"fact_{name}")


def next_step(job: Job) -> Step | None:
    """What comes next for this job; None once it has ended."""
    return next_steps([job.pk]).get(job.pk)


def next_steps(jobs: Collection[int]) -> dict[int, Step]:
    """What comes next for each of these jobs that is open, in a number of queries that doesn't grow with them."""
    return {pk: _step(facts) for pk, facts in _facts(Job.objects.filter(pk__in=jobs)).items()}


def step_in_a_list(job: Job) -> Step:
    """What comes next for a job of a list that was asked `with_facts`, without a query of its own.

    That nobody has read what the customer wrote is seen by the move, which was written down as the shop's then.
    """
    step = _step(_Facts(job))
    if step.mover != WhoseMove.BENCH and job.whose_move == WhoseMove.BENCH:
        return _to_be_read(job, step)
    return step


def keep_moves_true(jobs: Collection[int]) -> None:
    """Write down whose move these jobs are by what comes next for them. Called at the end of every act for those it touched."""
    ids = sorted(jobs)
    for start in range(0, len(ids), _AT_ONCE):
        _set_moves(Job.objects.filter(pk__in=ids[start : start + _AT_ONCE]))


def look_at_moves_again(night: Night) -> None:
    """Whose move a job is can change with the day alone: an estimate runs out."""
    changed = _set_moves(Job.objects.all())
    night.note(changed, "One job is somebody else’s move by now.", "{} jobs are somebody else’s move by now.")


def _set_moves(jobs: QuerySet[Job]) -> int:
    # the other stages are always the shop's own move; most notes are taken there, and to ask for the facts is dear
    elsewhere = [one for one in OPEN if one.row.whose_move != WhoseMove.BENCH]
    asked = list(jobs.filter(stage__in=elsewhere).values_list("pk", flat=True))
    if not asked:
        return 0
    changed = 0
    for facts in _facts(Job.objects.filter(pk__in=asked)).values():
        mover = _step(facts).mover
        if facts.job.whose_move != mover:
            changed += Job.objects.filter(pk=facts.job.pk, stage=facts.job.stage).update(whose_move=mover)
    return changed


def _step(facts: _Facts) -> Step:
    step = _STEPS[Stage(facts.job.stage)](facts)
    return _to_be_read(facts.job, step) if step.mover != WhoseMove.BENCH and facts.is_unread else step


def _to_be_read(job: Job, step: Step) -> Step:
    card = open_door("records:job_card", job.number)
    title = "The customer wrote: read and answer it."
    return Step(title, f"{card}#words", "Read the message", Role.COUNTER, why_not=(step.title,))


# --- what is asked ----------------------------------------------------------------------------------------------


def _facts(jobs: QuerySet[Job]) -> dict[int, _Facts]:
    found = {job.pk: _Facts(job) for job in with_facts(jobs.filter(stage__among=OPEN))}
    for pk in unread.among(found):
        found[pk].is_unread = True
    proving = [pk for pk, facts in found.items() if facts.job.stage == Stage.PROVING]
    if proving:
        running = SoakTest.objects.filter(job__in=proving, ended_at=None, struck_at=None)
        for soak in running.prefetch_related("checks"):
            found[soak.job_id].soak = soak
    return found


def with_facts(jobs: QuerySet[Job]) -> QuerySet[Job]:
    """The jobs with what their next steps hang on, in the query that asks for them."""
    here, standing = OuterRef("pk"), {"job": OuterRef("pk"), "struck_at__isnull": True}
    wants = PartWanted.objects.filter(job=here, fitted_at=None, dropped_at=None)
    # what the shop still has to do comes before what it waits for
    missing = wants.filter(quantity_thousandths__gt=F("kept_thousandths") + F("fitted_thousandths")).order_by(
        F("order_line__order__sent_at").asc(nulls_first=True), F("order_line").asc(nulls_first=True), "id"
    )
    invoices = Invoice.objects.filter(job_links__job=here, kind=Invoice.Kind.INVOICE)
    issued = invoices.filter(issued_at__isnull=False)
    given = Authorisation.objects.filter(job=here)
    fee = Coalesce(OuterRef("bench_fee_minor"), 0)
    waiting = Estimate.objects.filter(job=here, state=Estimate.State.GIVEN)
    packed = ParcelJob.objects.filter(
        job=here, parcel__unpacked_at=None, parcel__handed_over_at=None, parcel__lost_at=None
    )
    check = SafetyCheck.objects.filter(**standing).order_by("-at", "-id")
    waiver = SafetyWaiver.objects.filter(**standing).order_by("-at", "-id")
    return jobs.select_related("unit__model__maker", "customer", "inbound").annotate(
        fact_is_concluded=Exists(Conclusion.objects.filter(**standing)),
        fact_is_found=Exists(Finding.objects.filter(**standing)),
        fact_is_here=Exists(wants.filter(kept_thousandths__gt=0)),
        fact_want=Subquery(missing.values("pk")[:1]),
        fact_want_called=Subquery(missing.values("description")[:1]),
        fact_order=Subquery(missing.values("order_line__order")[:1]),
        fact_order_number=Subquery(missing.values("order_line__order__number")[:1]),
        fact_order_sent=Subquery(missing.values("order_line__order__sent_at")[:1]),
        fact_is_agreed=Exists(given.filter(answer__in=_TO_A_REPAIR)),
        fact_said_no=Exists(last_noes().filter(job=here)),
        fact_is_yes_since=Exists(
            last_answers().filter(
                job=here, answer__in=_TO_A_REPAIR, authorised_minor__gt=fee, at__gt=OuterRef("ready_at")
            )
        ),
        fact_is_expired=Exists(waiting.filter(valid_until__lt=clock.today())),
        fact_check_outcome=Subquery(check.values("outcome")[:1]),
        fact_check_class=Subquery(check.values("protection_class")[:1]),
        fact_check_at=Subquery(check.values("at")[:1]),
        fact_waived_at=Subquery(waiver.values("at")[:1]),
        fact_is_issued=Exists(issued),
        fact_is_open=Exists(issued.filter(settled_at=None, taken_back_at=None)),
        fact_is_released=Exists(ReleaseUnpaid.objects.filter(job=here)),
        fact_is_more_since=since_invoiced(Job.objects.filter(pk=OuterRef(OuterRef("pk")))).is_any(),
        fact_draft=Subquery(invoices.filter(issued_at=None).order_by("-id").values("pk")[:1]),
        fact_parcel=Subquery(packed.values("parcel")[:1]),
    )


# --- what follows from it ---------------------------------------------------------------------------------------


def _to(room: str, job: Job) -> str:
    return open_door(f"{room}:job", job.number)


def _as_told(title: str, job: Job, mover: WhoseMove = WhoseMove.BENCH) -> Step:
    """The way on that the table of stages names."""
    told = Stage(job.stage).row.next_step
    assert told is not None  # noqa: S101 - every open stage has one
    return Step(title, open_door(told.door, job.number), told.words, told.role, mover)


def _at_the_bench(title: str, job: Job) -> Step:
    return Step(title, _to("bench", job), "To the bench", Role.BENCH)


def _expected(facts: _Facts) -> Step:
    parcel, job = facts.job.inbound, facts.job
    step = _as_told("It is on its way.", job)
    if parcel is not None and parcel.opened_at:
        return replace(step, title="Its parcel was opened: book it in, or call it off if it was not in it.")
    if parcel is not None and parcel.arrived_at:
        return replace(step, title="Its parcel is here.")
    return replace(step, mover=WhoseMove.CARRIER)


def _booked_in(facts: _Facts) -> Step:
    if facts.said_no:
        return _at_the_bench("The customer said no: write down how it ended.", facts.job)
    return _as_told("Find the fault.", facts.job)


def _on_the_bench(facts: _Facts) -> Step:
    job = facts.job
    if facts.said_no and not facts.is_concluded:
        return _at_the_bench("The customer said no: write down how it ended.", job)
    if facts.is_here:
        return _at_the_bench("A part that it waited for is here: fit it.", job)
    if facts.is_concluded:
        proves = job.outcome in _REPAIRED
        title = "Test it: soak test, then the safety check." if proves else "It is concluded: mark it ready."
        return _at_the_bench(title, job)
    if facts.want and not facts.order_sent:
        return _to_order("A part that it needs is not ordered yet.") if not facts.order else _of_order(facts)
    if not facts.is_found:
        return _at_the_bench("Find the fault, and note what you found.", job)
    if not (job.customer.is_shop or facts.is_agreed or job.limit_minor):
        paragraph = the_profile().law.written_estimate
        why = f"the law wants a written estimate first ({paragraph})" if paragraph else "nobody agreed to it"
        return Step(
            "Put what it needs to the customer, before it is repaired.",
            _to("office", job),
            "To the estimate",
            Role.COUNTER,
            why_not=(f"No repair is agreed yet: {why}.",),
        )
    return _at_the_bench("Fix it, and write down what had failed.", job)


def _to_order(title: str) -> Step:
    return Step(title, reverse("stockroom:order_list"), "To order", Role.BENCH)


def _awaiting_word(facts: _Facts) -> Step:
    if facts.is_expired:
        step = _as_told("The estimate has run out: put a new version to the customer.", facts.job)
        return replace(step, act="To the estimate")
    return _as_told("The estimate is with the customer.", facts.job, WhoseMove.CUSTOMER)


def _awaiting_parts(facts: _Facts) -> Step:
    job = facts.job
    if facts.said_no:
        return _at_the_bench("The customer said no: write down how it ended.", job)
    if not facts.want:
        return _at_the_bench("What it waited for is here.", job)
    if not facts.order:
        return _to_order(f"{facts.want_called} is not ordered yet.")
    step = _of_order(facts)
    return replace(step, mover=WhoseMove.SUPPLIER) if facts.order_sent else step


def _of_order(facts: _Facts) -> Step:
    stands = "is on its way" if facts.order_sent else "stands on an order that is not sent"
    page = reverse("stockroom:order", args=[facts.order])
    return Step(f"{facts.want_called} {stands}.", page, facts.order_number, Role.BENCH)


def _proving(facts: _Facts) -> Step:
    soak = facts.soak
    if soak is not None and soak.seconds >= soak.planned_seconds:
        ran = spelling.hours(soak.seconds)
        return _as_told(f"Its soak test has run {ran}: say how it went.", facts.job)
    return _as_told("It is on soak test.", facts.job)


def _ready(facts: _Facts) -> Step:
    """What stands before going home; dispatch itself says all that holds the unit back."""
    job = facts.job
    repaired = job.outcome in _REPAIRED
    if facts.is_yes_since and not repaired:
        return _at_the_bench("The customer said yes since: it goes back on the bench.", job)
    if _owes_its_check(facts):
        address = reverse("bench:safety", args=[job.number])
        return Step("The safety check is owed, before it goes home.", address, "Safety check", Role.BENCH)
    office = Step("", _to("office", job), "Open the job’s money", Role.COUNTER)
    if facts.draft and (facts.is_more_since or not facts.is_issued):
        page = reverse("office:invoice", args=[facts.draft])
        return replace(
            office, title="Look the draft over, and issue the invoice.", address=page, act="To the draft"
        )
    to_charge = repaired or job.bench_fee_minor
    if to_charge and not facts.is_issued and not job.customer.is_shop:
        return replace(office, title="Draft the invoice, before it goes home.")
    if facts.is_more_since:
        return replace(office, title="More was done since the invoice: draft another.")
    if facts.is_open and not facts.is_released:
        return replace(office, title="Its invoice is not paid.", mover=WhoseMove.CUSTOMER)
    return _going_home(facts)


def _owes_its_check(facts: _Facts) -> bool:
    job, check, waiver = facts.job, None, None
    if facts.check_at:
        check = SafetyCheck(
            outcome=facts.check_outcome, protection_class=facts.check_class, at=facts.check_at
        )
    if facts.waived_at:
        waiver = SafetyWaiver(at=facts.waived_at)
    return why_not(job, check, waiver) is not None


def _going_home(facts: _Facts) -> Step:
    job = facts.job
    if facts.parcel is not None:
        return Step(
            "It is packed: hand the parcel over to the carrier.",
            reverse("dispatch:parcel", args=[facts.parcel]),
            "To the parcel",
            Role.COUNTER,
        )
    home = _as_told("", job)
    if job.customer.is_shop:
        return replace(home, title="It is the shop’s own: put it away, or keep it here.")
    if job.how_it_came != HowItCame.PARCEL:
        return replace(home, title="It waits to be collected.", mover=WhoseMove.CUSTOMER)
    if not job.customer.address.strip():
        return Step(
            "Ask for the address that it goes back to.",
            open_door("counter:customer", job.customer_id),
            "To the customer",
            Role.COUNTER,
        )
    return replace(home, title="Pack it, and send it home.")


_STEPS: dict[Stage, Callable[[_Facts], Step]] = for_each_open(
    {
        Stage.EXPECTED: _expected,
        Stage.BOOKED_IN: _booked_in,
        Stage.ON_THE_BENCH: _on_the_bench,
        Stage.AWAITING_WORD: _awaiting_word,
        Stage.AWAITING_PARTS: _awaiting_parts,
        Stage.PROVING: _proving,
        Stage.READY: _ready,
    }
)
