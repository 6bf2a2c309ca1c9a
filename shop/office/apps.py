"""The office is a room of the house: its name, and what it hangs up in other rooms when the house opens."""

from __future__ import annotations

from django.apps import AppConfig

WORDS = {
    "estimate.drafted": "wrote estimate {version}, {total_minor} before tax",
    "estimate.discarded": "threw the draft of estimate {version} away",
    "estimate.given": "put estimate {version} to the customer, {total_minor} before tax",
    "answer.recorded": "wrote down the customer’s answer: {answer}, {how}; {authorised_minor} in all before tax",
    "invoice.drafted": "drafted an invoice over {total_minor}",
    "invoice.discarded": "threw the draft of an invoice away",
    "invoice.issued": "issued {number} over {total_minor}",
    "payment.taken": "took {amount_minor}, {how}",
    "payment.refunded": "paid back {amount_minor}, {how}",
    "deposit.used": "set {amount_minor} of deposits against an invoice",
    "job.released_unpaid": "let the unit leave unpaid, with a written reason",
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
    "flat_price.chosen": "chose a flat price for the job",
    "flat_price.dropped": "went back to the hour",
    "job.out_of_state": "noted a contract to ship out of the state, or took the note back",
    "office.rules_set": "set the office’s rules from {from_date}",
    "office.rates_set": "set hourly rates from {from_date}",
    "tax_rule.added": "entered a tax rule of {percent} % from {from_date}",
    "tax_rule.ended": "let a tax rule end on {to_date}",
    "tax_rule.set_entered": "entered a ready-made set of tax rules from {from_date}",
}


class OfficeConfig(AppConfig):
    name = "shop.office"
    label = "office"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Stand at the way home: nothing leaves while its invoice is open or was never issued. And hang up the account."""
        from shop.counter.moving import guard  # noqa: PLC0415  (models are loaded only now)
        from shop.counter.stages import Stage  # noqa: PLC0415
        from shop.frame import wording  # noqa: PLC0415
        from shop.frame.places import fill  # noqa: PLC0415
        from shop.office.places import account_of_customer  # noqa: PLC0415
        from shop.office.queries import holds_back  # noqa: PLC0415

        guard(Stage.GONE_HOME, holds_back)
        fill("customer-history", account_of_customer, order=50)
        wording.tell(WORDS)
