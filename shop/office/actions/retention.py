"""What the office erases when the law no longer asks to keep it: names, numbers and words of persons; never a sum, never a date.

It goes with the paper that the rows are behind, in the act that deletes the paper's file. An answer that was given without an
estimate stands behind no paper: the clock of its law profile is asked.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from django.db import models
from django.db.models import ProtectedError

from shop.frame import clock
from shop.frame.journal import Act, acting
from shop.frame.once import keyless
from shop.frame.profile import is_open, the_profile
from shop.frame.seals import SALT
from shop.handbook.law import Paper as LawPaper
from shop.keeping.models import IssuedPaper
from shop.keeping.night import Night
from shop.office.models import Authorisation, EInvoice, Estimate, Invoice, Payment, RepairForm

ROWS_AT_ONCE = 500


@keyless("joined")
def erase_with(act: Act, paper: IssuedPaper) -> None:
    """Erase what names a person in the rows that a paper was made of, in the act that ends its retention."""
    for row in _behind(paper):
        _erase(act, row)


@keyless("clock")
def erase_answers(night: Night) -> None:
    """Erase who gave an answer without an estimate, once papers of its year are kept no longer."""
    if not is_open():
        return
    law, today, last = the_profile().law, clock.day_of(night.at), 0
    alone = Authorisation.objects.filter(estimate=None).exclude(**{SALT: ""}).order_by("pk")
    erased = 0
    while some := list(alone.filter(pk__gt=last)[:ROWS_AT_ONCE]):
        last = some[-1].pk
        for answer in some:
            until = law.keep_until(LawPaper.ESTIMATE, clock.day_of(answer.at))
            if until is not None and until < today:
                with acting(by=None, at=night.at) as act:
                    _erase(act, answer)
                erased += 1
    night.note(erased, "The name behind one answer was erased.", "The names behind {} answers were erased.")


def _behind(paper: IssuedPaper) -> Iterator[models.Model]:
    """The rows that a paper was made of, whose personal columns are still there."""
    own: Iterable[models.QuerySet[models.Model]] = (
        Invoice.objects.filter(paper=paper),
        EInvoice.objects.filter(paper=paper),
        Estimate.objects.filter(paper=paper),
        Authorisation.objects.filter(estimate__paper=paper),
        RepairForm.objects.filter(paper=paper),
        Payment.of_receipt(paper),
    )
    for rows in own:
        yield from rows.exclude(**{SALT: ""})


def _erase(act: Act, row: models.Model) -> None:
    belongings: tuple[models.Model | None, ...] = ()
    jobs: list[int] = []
    match row:
        case Authorisation():
            belongings, jobs = (row.message, row.drawing), [row.job_id]
        case EInvoice():
            belongings = (row.ubl,)
    act.erase(row, jobs=jobs)
    for one in belongings:
        _let_go(one)


def _let_go(kept: models.Model | None) -> None:
    """Drop a file's or picture's row, unless something else speaks of it; the night clears the file away."""
    if kept is not None:
        try:
            kept.delete()
        except ProtectedError:
            return
