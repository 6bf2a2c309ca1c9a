"""The shop's tax rules as the handbook reckons with them. An aid: the shop enters its own rates and their source."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Sequence
from decimal import Decimal

from shop.counter.models import Customer, Job, TaxStanding
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.handbook import tax
from shop.handbook.money import Money
from shop.office.models import OutOfState, TaxRule
from shop.office.pricing import PricedItem, rules_on

STANDARD = "standard"
Group = tuple[str, Decimal, str, dt.date, dt.date | None, str, str, str]


def tax_rules(on: dt.date) -> tax.TaxRules:
    """All rules as one set; a kind of line without a rule of the shop is not taxed, and says so.

    Where VAT is charged, everything is taxed by some rule, at nothing too: a line without one is refused where it is priced.
    """
    groups: dict[Group, set[tax.LineKind]] = defaultdict(set)
    for row in TaxRule.objects.all():
        group = (
            row.name,
            row.rate_percent,
            row.category,
            row.from_date,
            row.to_date,
            row.source,
            row.rate,
            row.reason,
        )
        groups[group].add(tax.LineKind(row.line_kind))
    office = rules_on(on)
    try:
        rules = [_rule(group, frozenset(kinds)) for group, kinds in groups.items()]
        if (missing := _without_rule(rules, on)) and not _charges_vat():
            rules.append(_not_taxed(missing, on))
        return tax.TaxRules(
            name="the shop’s rules",
            rules=tuple(rules),
            inclusive=office.prices_include_tax,
            parts_rule=office.parts_rule_1546,
        )
    except tax.TaxError as error:
        raise Refusal(f"{error} Put the tax rules right first.") from error


def _rule(group: Group, kinds: frozenset[tax.LineKind]) -> tax.TaxRule:
    name, percent, category, starts, ends, source, rate, reason = group
    return tax.TaxRule(
        name=name,
        kinds=kinds,
        percent=tax.Percent.parse(str(percent)),
        starts=starts,
        ends=ends,
        source=source or "entered by the shop",
        category=tax.Category(category),
        rate=rate,
        reason=reason or ("" if category in {"S", "Z"} else name),
    )


def _charges_vat() -> bool:
    """Whether the shop goes by VAT and is registered for it."""
    shop = the_profile()
    return shop.law.value_added_tax and bool(shop.tax_number)


def _without_rule(rules: Sequence[tax.TaxRule], on: dt.date) -> frozenset[tax.LineKind]:
    return frozenset(
        kind for kind in tax.LineKind if not any(rule.holds(kind, STANDARD, on) for rule in rules)
    )


def _not_taxed(kinds: frozenset[tax.LineKind], on: dt.date) -> tax.TaxRule:
    return tax.TaxRule(
        name="Not taxed",
        kinds=kinds,
        percent=tax.Percent.parse("0"),
        starts=on,
        ends=on,
        source="the shop has no rule for it",
        category=tax.Category.OUTSIDE,
        reason="Not taxed.",
    )


def rates_in_use() -> list[str]:
    """The names of the rates that the shop’s rules tell apart, the standard one first."""
    names = set(TaxRule.objects.values_list("rate", flat=True).distinct())
    return [STANDARD, *sorted(names - {STANDARD})]


def buyer_of(customer: Customer, jobs: Collection[Job] = ()) -> tax.Buyer:
    """How tax applies to a customer, and to jobs whose units a contract has shipped out of the state.

    Refuses jobs of both sorts together: their parts are taxed differently, so they need invoices of their own.
    """
    standing = {
        TaxStanding.ORDINARY: tax.Standing.ORDINARY,
        TaxStanding.EXEMPT: tax.Standing.EXEMPT,
        TaxStanding.REVERSE_CHARGE: tax.Standing.REVERSE_CHARGE,
    }[TaxStanding(customer.tax_standing)]
    contracts = dict(OutOfState.objects.filter(job__in=jobs).values_list("job", "contract"))
    if standing is not tax.Standing.ORDINARY or not contracts:
        return tax.Buyer(standing, customer.tax_number)
    if len(contracts) < len(jobs):
        raise Refusal(
            "Some of these units are shipped out of the state by contract and some are not: put them on invoices "
            "of their own."
        )
    return tax.Buyer(tax.Standing.OUT_OF_STATE, "; ".join(dict.fromkeys(contracts.values())))


def totals(
    items: Sequence[PricedItem],
    *,
    customer: Customer,
    currency: str,
    on: dt.date,
    prepaid: Money | None = None,
    jobs: Collection[Job] = (),
    lump_sum: bool = False,
) -> tax.Totals:
    """Net, tax by category and gross of priced lines; a missing certificate or number is refused in a sentence.

    `lump_sum`: the parts have no prices of their own, which California allows up to ten per cent (18 CCR 1546(b)).
    """
    lines = [
        tax.Line(tax.LineKind(item.of_kind or item.kind), item.amount, rate=item.rate, margin=item.margin)
        for item in items
    ]
    try:
        buyer = buyer_of(customer, jobs)
        reckoned = tax.compute(
            lines,
            currency=currency,
            rules=tax_rules(on),
            on=on,
            buyer=buyer,
            prepaid=prepaid,
            parts_priced=not lump_sum,
        )
    except tax.NoTaxRule as error:
        raise Refusal(
            f"{error} Enter how that is taxed under Taxes, from today on or before; 0 % with its reason where it is not."
        ) from error
    except tax.TaxError as error:
        raise Refusal(str(error)) from error
    if lump_sum and reckoned.parts is not None and reckoned.parts.must_show:
        raise Refusal(
            f"{reckoned.parts.sentence} One price for the whole won’t do ({reckoned.parts.source})."
        )
    return reckoned
