"""The repair information form of Directive (EU) 2024/1799, in our own words, with its paragraph beside each part.

The form is the shop's choice (Art. 4(1)) and free of charge (Art. 4(2)); its conditions stand for thirty calendar days or longer.
"""

from __future__ import annotations

from shop.counter.papers import postal
from shop.frame import spelling
from shop.frame.clock import day_of
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.handbook.law.terms import Fact as LawFact
from shop.handbook.law.terms import Paper as LawPaper
from shop.handbook.money import Money
from shop.office import legal
from shop.office.models import RepairForm
from shop.office.papers.sheets import by_our_customs, keep_until
from shop.press.building import Fact, Notice, Signature
from shop.press.issuing import PaperWanted


@by_our_customs
def repair_form_sheet(form: RepairForm, *, number: str, by: Staff) -> PaperWanted:
    """The form as given: part one names the repairer, part two the repair."""
    shop, job, given = the_profile(), form.job, day_of(form.given_at)
    model = job.unit.model
    serial = f"serial number {job.unit.serial or 'none found'}"
    goods = f"{model.kind_in_words} {model.maker.name} {model.name}, {serial}".strip()
    return PaperWanted(
        kind="repair_form",
        number=number,
        title=f"Repair information form {number}",
        heading="Repair information form",
        template="papers/office/repair_form.html",
        keep_until=keep_until(LawPaper.REPAIR_FORM, given),
        context={
            "to": postal(job.customer),
            "facts": [
                Fact("Given", spelling.short_day(given), strong=True),
                Fact("Valid until", spelling.short_day(form.valid_until), strong=True),
                Fact("Job", job.number),
            ],
            "repairer": [
                Fact("Repairer", shop.name),
                Fact("Address", ", ".join(shop.address.splitlines())),
                Fact("Telephone", shop.phone or "—"),
                Fact("E-mail", shop.email or "—"),
                Fact("Other ways online", shop.web_address or "None", wide=True),
            ],
            "repair": [
                Fact("Goods", goods, wide=True),
                Fact("Nature of the defect", form.defect, wide=True),
                Fact("Repair suggested", form.repair_kind, wide=True),
                Fact(*_price(form), strong=True),
                Fact("Time needed", f"{form.days_needed} days from the contract"),
                Fact("Temporary replacement", form.replacement),
                Fact("Handed over at", form.handover_place),
                Fact("Further services", form.further_services, wide=True),
                Fact("These conditions are valid until", spelling.day(form.valid_until), strong=True),
                Fact("Additional information", form.more or "None", wide=True),
            ],
            "notices": [
                Notice(
                    "This form costs you nothing. If you accept within its time, its conditions become part of the contract.",
                    citation="Directive (EU) 2024/1799 Art. 4",
                )
            ],
            "signatures": [Signature("For the shop", name=by.signature, day=given), Signature("Customer")],
        },
    )


def _price(form: RepairForm) -> tuple[str, str]:
    amount = spelling.money(Money(form.price_minor, form.currency))
    if not form.price_is_most:
        return "Price", amount
    how = f"; {form.price_how}" if form.price_how else ""
    return "Price, at most", amount + how


def repair_form_lacks(form: RepairForm) -> list[str]:
    """What Annex I asks for and this form would not carry, a sentence each."""
    given = {
        **legal.shop_facts(),
        **legal.unit_facts(form.job),
        LawFact.DEFECT: form.defect,
        LawFact.REPAIR_KIND: form.repair_kind,
        LawFact.PRICE: str(form.price_minor),
        LawFact.DAYS_NEEDED: str(form.days_needed),
        LawFact.REPLACEMENT: form.replacement,
        LawFact.HANDOVER_PLACE: form.handover_place,
        LawFact.FURTHER_SERVICES: form.further_services,
        LawFact.VALID_UNTIL: form.valid_until.isoformat(),
    }
    lacks = the_profile().law.lacks(LawPaper.REPAIR_FORM, given, day_of(form.given_at))
    return list(dict.fromkeys(lack.sentence for lack in lacks))
