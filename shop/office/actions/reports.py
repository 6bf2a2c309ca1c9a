"""The repair report and the EU repair information form."""

from __future__ import annotations

import datetime as dt
import uuid

from shop.counter.actions import file_paper
from shop.counter.models import Job
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.handbook import law
from shop.keeping.models import IssuedPaper
from shop.office.models import RepairForm
from shop.office.papers import issue, report_sheet
from shop.office.papers.repair_form import repair_form_lacks, repair_form_sheet
from shop.press.drawing import warm_up


def issue_report(
    *, job: Job, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> IssuedPaper:
    """Issue the repair report; each later one has the next number."""
    warm_up()
    with acting(by=by, at=at, once=once_key) as act:
        earlier = job.papers.filter(paper__kind="repair_report").count()
        paper = issue(report_sheet(job, number=f"{job.number}/{earlier + 1}", by=by), by=by)
        file_paper(act=act, paper=paper, jobs=[job])
        act.record("report.issued", subject=paper, jobs=[job.pk])
    return paper


def give_repair_form(
    *,
    job: Job,
    defect: str,
    repair_kind: str,
    price_minor: int,
    days_needed: int,
    by: Staff,
    price_is_most: bool = False,
    price_how: str = "",
    replacement: str = "",
    handover_place: str = "",
    further_services: str = "",
    more: str = "",
    valid_days: int = law.REPAIR_FORM_DAYS,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> RepairForm:
    """Give the repair information form; its conditions stand for `valid_days`, never fewer than thirty (Art. 4).

    Refuses a form that lacks what Annex I asks for.
    """
    warm_up()
    with acting(by=by, at=at, once=once_key) as act:
        given = act.day
        form = RepairForm(
            job=job,
            defect=defect.strip(),
            repair_kind=repair_kind.strip(),
            price_minor=price_minor,
            price_is_most=price_is_most,
            price_how=price_how.strip(),
            currency=job.currency,
            days_needed=days_needed,
            replacement=replacement.strip() or "none",
            handover_place=handover_place.strip(),
            further_services=further_services.strip() or "none",
            more=more.strip(),
            given_at=act.at,
            valid_until=law.form_stands_until(given, valid_days),
            by=by,
        )
        if lacks := repair_form_lacks(form):
            raise Refusal(" ".join(lacks))
        number = f"{job.number}/{RepairForm.objects.filter(job=job).count() + 1}"
        form.paper = issue(repair_form_sheet(form, number=number, by=by), by=by)
        form.save(force_insert=True)
        file_paper(act=act, paper=form.paper, jobs=[job])
        act.seal(form)
        act.record(
            "repair_form.given",
            subject=form,
            jobs=[job.pk],
            price_minor=price_minor,
            valid_until=form.valid_until,
        )
    return form
