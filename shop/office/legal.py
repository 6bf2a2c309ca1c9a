"""What the shop's law profile asks of the office's papers, held against what they carry. The shop checks its local rules."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

from shop.counter.models import Customer, HowItCame, Job, TaxStanding
from shop.frame.clock import day_of
from shop.frame.profile import the_profile
from shop.handbook.law.terms import Condition, Fact, Lack
from shop.handbook.law.terms import Paper as LawPaper
from shop.handbook.tax import Category
from shop.office.models import Authorisation, Estimate, EstimateLine, Invoice, InvoiceLine, LineKind
from shop.office.pricing import rules_on
from shop.stockroom.models import PartState

ORAL = {Authorisation.How.PHONE, Authorisation.How.IN_PERSON}
SAID = "said"
"""What a fact holds that the paper always carries."""


def reads_gross(customer: Customer) -> bool:
    """Whether prices are put to this customer with their tax: a consumer outside the United States.

    Directive 98/6/EC Art. 2(a) and Directive 2011/83/EU Art. 6(1)(e); United Kingdom: Price Marking Order 2004 and CCR 2013
    Sch. 2(f): the selling price includes tax (from memory).
    """
    return (
        the_profile().country != "US"
        and not customer.organisation
        and customer.tax_standing == TaxStanding.ORDINARY
    )


def shop_facts() -> dict[Fact, str]:
    """What papers say of the shop."""
    shop = the_profile()
    return {
        Fact.SHOP_NAME: shop.name,
        Fact.SHOP_ADDRESS: shop.address,
        Fact.SHOP_PHONE: shop.phone,
        Fact.SHOP_EMAIL: shop.email,
        Fact.SHOP_ONLINE: shop.web_address,
        Fact.SHOP_TAX_NUMBER: shop.tax_number,
        Fact.REGISTRATION_NUMBER: shop.registration_number,
        Fact.REPAIR_ADDRESS: shop.address,
        Fact.HELD_AT: shop.address,
    }


def unit_facts(job: Job) -> dict[Fact, str]:
    """What papers say of the unit and its owner."""
    unit, customer = job.unit, job.customer
    return {
        Fact.CUSTOMER_NAME: customer.name,
        Fact.CUSTOMER_ADDRESS: customer.address,
        Fact.CUSTOMER_TAX_NUMBER: customer.tax_number,
        Fact.UNIT_DESCRIPTION: unit.model.kind_in_words or str(unit.model),
        Fact.UNIT_MAKE: unit.model.maker.name,
        Fact.UNIT_MODEL: unit.model.name,
        Fact.UNIT_SERIAL: unit.serial or "none found",
        Fact.COMPLAINT: job.complaint,
    }


def estimate_lacks(estimate: Estimate, lines: Sequence[EstimateLine], *, on: dt.date) -> list[str]:
    """What the law asks of this estimate and it does not carry, a sentence each."""
    given = {
        **shop_facts(),
        **unit_facts(estimate.job),
        Fact.PARTS: _lines(lines, {LineKind.PART}) or "none",
        Fact.LABOUR: _lines(lines, {LineKind.LABOUR, LineKind.BENCH_FEE}) or "none",
        Fact.TOTAL: str(estimate.total_minor),
    }
    return _sentences(the_profile().law.lacks(LawPaper.ESTIMATE, given, on))


def invoice_lacks(invoice: Invoice, jobs: Sequence[Job], *, by: str, on: dt.date) -> list[str]:
    """What the law asks of this invoice and it does not carry, a sentence each; every unit is looked at."""
    lines = list(invoice.lines.all())
    conditions = invoice_conditions(invoice, jobs, lines, on=on)
    sentences: list[str] = []
    for job in jobs:
        given = {
            **shop_facts(),
            **unit_facts(job),
            Fact.NUMBER: SAID,
            Fact.ISSUED_ON: str(on),
            Fact.SUPPLIED_ON: str(supplied_on(jobs, on)),
            Fact.FILLED_IN_BY: by,
            Fact.PARTS: _lines(lines, {LineKind.PART}) or "none",
            Fact.LABOUR: _lines(lines, {LineKind.LABOUR, LineKind.BENCH_FEE}) or "none",
            Fact.OTHER_CHARGES: _lines(lines, {LineKind.SHIPPING, LineKind.OTHER}) or "none",
            Fact.PART_STATES: SAID,
            Fact.TOTAL: str(invoice.total_minor),
            Fact.UNIT_PRICES: SAID,
            Fact.TAXABLE_AMOUNTS: SAID,
            Fact.TAX_RATES: SAID,
            Fact.TAX_AMOUNT: str(invoice.tax_minor),
            Fact.TAX_WORDING: SAID,
            Fact.NOTICE: SAID,
            Fact.ORAL_CONSENT: SAID,
            Fact.CORRECTED_INVOICE: invoice.corrects.number if invoice.corrects else "",
        }
        sentences += _sentences(the_profile().law.lacks(LawPaper.INVOICE, given, on, conditions))
    return list(dict.fromkeys(sentences))


def invoice_conditions(
    invoice: Invoice, jobs: Sequence[Job], lines: Sequence[InvoiceLine], *, on: dt.date
) -> frozenset[Condition]:
    """Which of the law's conditions hold for an invoice."""
    shop, office = the_profile(), rules_on(on)
    categories = {row.category for row in invoice.taxes.all()}
    holding = {
        Condition.FETCHED: any(job.how_it_came == HowItCame.FETCHED for job in jobs),
        Condition.USED_PARTS: any(line.part_state not in {"", PartState.NEW} for line in lines),
        Condition.ORAL_CONSENT: Authorisation.objects.filter(job__in=jobs, how__in=ORAL).exists(),
        Condition.VAT_REGISTERED: bool(shop.tax_number),
        Condition.SUPPLY_ON_ANOTHER_DAY: supplied_on(jobs, on) != on,
        Condition.CASH_ACCOUNTING: office.cash_accounting,
        Condition.EXEMPT: bool(shop.tax_number) and Category.EXEMPT in categories,
        Condition.REVERSE_CHARGE: Category.REVERSE_CHARGE in categories,
        Condition.MARGIN_SCHEME: any(line.margin for line in lines),
        Condition.CORRECTION: invoice.kind == Invoice.Kind.CREDIT_NOTE,
    }
    return frozenset(condition for condition, holds in holding.items() if holds)


def supplied_on(jobs: Sequence[Job], on: dt.date) -> dt.date:
    """The day on which the work was done: when the last of the units was ready; the day itself where none is yet."""
    ready = [day_of(job.ready_at) for job in jobs if job.ready_at is not None]
    return max(ready) if ready else on


def warranty_words(jobs: Sequence[Job]) -> str:
    """What the shop's own warranty on the repair says; empty where the shop gives none or nothing was repaired."""
    days = the_profile().warranty_days
    if not days or not any(job.outcome in {"repaired", "partly"} for job in jobs):
        return ""
    return (
        f"Warranty on the repair: {days} days from the day you have it back, for the work named here and the parts "
        "fitted. What the law gives you besides is not touched."
    )


def _lines(lines: Sequence[Any], kinds: set[LineKind]) -> str:
    return ", ".join(line.description for line in lines if line.kind in kinds)


def _sentences(lacks: Sequence[Lack]) -> list[str]:
    return list(dict.fromkeys(lack.sentence for lack in lacks))
