"""What the journal's verbs of the rooms below say in words, and how jobs, customers and units are called in it.

Rooms that tell their own words keep them: these are only filled in where nothing is told yet.
"""

from __future__ import annotations

from collections.abc import Iterable

from django.urls import reverse

from shop.counter.models import Customer, Job, Unit, UnitModel
from shop.frame.wording import Name
from shop.keeping.models import IssuedPaper
from shop.office.models import Invoice

WORDS = {
    # counter
    "customer.added": "wrote a customer down",
    "customer.changed": "put right what is known of a customer: {fields}",
    "customer.merged": "merged two customers that are one",
    "customer.merge_undone": "took a merging of customers back",
    "customer.forgotten": "forgot a customer; books and technical history stay",
    "model.added": "wrote a model down",
    "model.changed": "put right what is known of the model: {fields}",
    "model.merged": "merged two models that are one",
    "model.merge_undone": "took a merging of models back",
    "unit.added": "wrote a unit down",
    "unit.changed": "put right what is known of the unit: {fields}",
    "unit.merged": "merged two units that are one",
    "unit.merge_undone": "took a merging of units back",
    "job.booked_in": "booked it in, {how}",
    "job.announced": "noted that it is on its way by parcel",
    "inbound.arrived": "noted that the parcel arrived",
    "job.moved": "moved it from {from_stage} to {to_stage}",
    "job.put_right": "put right what was written of it: {fields}",
    "job.shelved": "put it on another shelf",
    "job.promised": "promised it for {day}",
    "job.accessory_taken": "took in something that came with it",
    "job.picture_kept": "kept a photograph: {shows}",
    "picture.described": "described a photograph: {shows}",
    "picture.set_aside": "set a photograph aside",
    "job.comeback_noted": "noted it as a comeback",
    "job.comeback_withdrawn": "noted that it is no comeback",
    "paper.filed": "filed a paper with the job: {kind}",
    # bench
    "stint.started": "started the clock: {kind}",
    "stint.stopped": "stopped the clock after {seconds}",
    "stint.mended": "put the times of a stint right: {seconds}",
    "finding.added": "wrote down a finding",
    "reading.added": "took a reading of {quantity}: {verdict}",
    "evidence.added": "noted a trace of earlier work: {kind}",
    "job.concluded": "concluded: {mode}, {outcome}",
    "soak.started": "put it on soak test for {seconds}",
    "soak.checked": "looked at the soak test",
    "soak.ended": "ended the soak test: {result}",
    "safety.checked": "made the safety check: {outcome}",
    "safety.waived": "wrote down why it goes without a safety check",
    "caution.read": "read a caution: {caution}",
    "suggestion.overruled": "overruled a suggestion",
    "line.struck": "struck a line out",
    "damage.reported": "reported damage on the way",
    # stockroom
    "part.fitted": "fitted a part",
    "part.struck": "struck a part out",
    "part.wanted": "noted a part to order",
    "part.kept": "kept a part that had been ordered for it",
    "part.no_longer_wanted": "noted that a part is not wanted any more",
    "part.came": "a part that it waits for came",
    "parts.arrived": "all its parts are here",
    "devices.fitted": "fitted matched devices",
    # office
    "estimate.drafted": "drafted estimate {version} over {total_minor}",
    "estimate.given": "put estimate {version} over {total_minor} to the customer",
    "estimate.discarded": "threw the draft of estimate {version} away",
    "answer.recorded": "wrote the customer’s answer down: {answer}, {how}, {authorised_minor} authorised",
    "invoice.drafted": "drafted an invoice over {total_minor}",
    "invoice.discarded": "threw a draft of an invoice away",
    "invoice.issued": "issued {number} over {total_minor}",
    "payment.taken": "took {amount_minor}, {how}",
    "payment.refunded": "paid {amount_minor} back, {how}",
    "deposit.used": "set a deposit of {amount_minor} against the invoice",
    "flat_price.chosen": "chose a flat price",
    "flat_price.dropped": "dropped the flat price",
    "job.released_unpaid": "let it go with a balance open, and wrote down why",
    # dispatch
    "accessory.checked": "checked something that came with it; goes back: {included}",
    "parcel.packed": "packed it",
    "parcel.unpacked": "opened the parcel again",
    "parcel.handed_over": "handed the parcel over",
    "parcel.delivered": "noted that the parcel was delivered",
    "parcel.lost": "noted that the parcel is lost",
    "job.collected": "handed it over at the counter; shown: {shown}",
    # records
    "search.saved": "kept a search",
    "search.forgotten": "let a kept search go",
    "synonym.added": "taught the search words that mean the same",
    "synonym.changed": "put a row of words right",
    "synonym.dropped": "took a row of words back",
    "batch.started": "took in a list of {rows} old jobs",
    "batch.matched": "said which column of a list holds what",
    "batch.thrown_away": "threw away a list of {rows} old jobs before any came in",
    "jobs.brought_in": "brought in {rows} jobs of an older book",
    "jobs.taken_back_out": "took {rows} jobs that had been brought in out again",
    "book.taken_out": "took everything out into a file",
    "customer.data_handed_out": "handed out everything held on a customer",
}


def untold(told: Iterable[str]) -> dict[str, str]:
    """The words of verbs that no room has told by itself."""
    known = set(told)
    return {verb: words for verb, words in WORDS.items() if verb not in known}


def job_names(ids: Iterable[int]) -> dict[int, Name]:
    """Jobs by id: number and card."""
    rows = Job.objects.filter(pk__in=list(ids)).values_list("pk", "number")
    return {pk: Name(number, reverse("records:job_card", args=[number])) for pk, number in rows}


def customer_names(ids: Iterable[int]) -> dict[int, Name]:
    """Customers by id."""
    found = Customer.objects.filter(pk__in=list(ids))
    return {one.pk: Name(str(one), reverse("counter:customer", args=[one.pk])) for one in found}


def unit_names(ids: Iterable[int]) -> dict[int, Name]:
    """Units by id."""
    found = Unit.objects.filter(pk__in=list(ids)).select_related("model__maker")
    return {one.pk: Name(str(one)) for one in found}


def model_names(ids: Iterable[int]) -> dict[int, Name]:
    """Models by id."""
    found = UnitModel.objects.filter(pk__in=list(ids)).select_related("maker")
    return {one.pk: Name(str(one)) for one in found}


def paper_names(ids: Iterable[int]) -> dict[int, Name]:
    """Issued papers by id."""
    rows = IssuedPaper.objects.filter(pk__in=list(ids)).values_list("pk", "title")
    return {pk: Name(title, reverse("premises:paper", args=[pk])) for pk, title in rows}


def invoice_names(ids: Iterable[int]) -> dict[int, Name]:
    """Invoices and credit notes by id."""
    return {one.pk: Name(str(one)) for one in Invoice.objects.filter(pk__in=list(ids))}


NAMERS = {
    "counter.job": job_names,
    "counter.customer": customer_names,
    "counter.unit": unit_names,
    "counter.unitmodel": model_names,
    "keeping.issuedpaper": paper_names,
    "office.invoice": invoice_names,
}
