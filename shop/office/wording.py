"""The office's verbs and things as the journal tells them."""

from __future__ import annotations

from collections.abc import Iterable

from shop.frame.wording import Name
from shop.office.models import Invoice

WORDS = {
    "estimate.drafted": "wrote estimate {version}, {total_minor} before tax",
    "estimate.given": "put estimate {version} to the customer, {total_minor} before tax",
    "estimate.discarded": "threw the draft of estimate {version} away",
    "answer.recorded": "wrote down the customer’s answer: {answer}, {how}; {sum_minor}, {authorised_minor} in all before tax",
    "contract.taken_back": "the customer took a contract back that was concluded at a distance",
    "invoice.drafted": "drafted an invoice over {total_minor}",
    "invoice.left_out": "chose to leave uncharged what is recorded",
    "invoice.discarded": "threw the draft of an invoice away",
    "invoice.issued": "issued {number} over {total_minor}",
    "payment.taken": "took {amount_minor}, {how}",
    "payment.refunded": "paid back {amount_minor}, {how}",
    "deposit.used": "set {amount_minor} of deposits against an invoice",
    "flat_price.chosen": "chose a flat price for the job",
    "flat_price.dropped": "went back to the hour",
    "job.released_unpaid": "released the unit unpaid, with a written reason",
    "letter.made": "made a letter: {kind}",
    "letter.sent": "noted how a letter went: {sent_on}, {sent_how}",
    "paper.emailed": "put a paper into the outbox for the customer",
    "job.left_here": "noted what is known of a unit left here",
    "report.issued": "issued the repair report",
    "repair_form.given": "gave the repair information form, {price_minor}, standing until {valid_until}",
    "einvoice.made": "made the e-invoice",
    "flat_price.added": "offered a flat price",
    "flat_price.changed": "changed a flat price",
    "flat_price.retired": "offered a flat price no more",
    "job.out_of_state": "noted a contract to ship out of the state, or took the note back",
    "office.rules_set": "set the office’s rules from {from_date}",
    "office.rates_set": "set hourly rates from {from_date}",
    "tax_rule.added": "entered a tax rule of {percent} % from {from_date}",
    "tax_rule.ended": "let a tax rule end on {to_date}",
    "tax_rule.set_entered": "entered a ready-made set of tax rules from {from_date}",
}


def invoice_names(ids: Iterable[int]) -> dict[int, Name]:
    """Invoices and credit notes by id."""
    return {one.pk: Name(str(one)) for one in Invoice.objects.filter(pk__in=list(ids))}


NAMERS = {"office.invoice": invoice_names}
