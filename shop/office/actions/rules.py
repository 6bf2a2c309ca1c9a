"""How the office calculates from a day on: rules, rates, flat prices, taxes. What is invoiced keeps the rules of its day."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Collection, Sequence
from decimal import Decimal

from shop.counter.models import Job
from shop.frame.journal import Act, acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.handbook import tax
from shop.office import charging, taxing
from shop.office.models import (
    Charge,
    FlatPrice,
    FlatWork,
    Invoice,
    InvoiceLine,
    LabourRate,
    OfficeRules,
    OutOfState,
    TaxRule,
)


def set_rules(
    *,
    from_date: dt.date,
    by: Staff,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
    **rules: object,
) -> OfficeRules:
    """Set how the office reckons from a day on; `rules` are columns of `OfficeRules`. The same day again replaces that day’s."""
    with acting(by=by, at=at, once=once_key) as act:
        _refuse_invoiced(from_date)
        row, _ = OfficeRules.objects.update_or_create(from_date=from_date, defaults=rules)
        act.record("office.rules_set", subject=row, from_date=from_date)
    return row


def set_rates(
    *,
    from_date: dt.date,
    rates: dict[str, int],
    by: Staff,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> list[LabourRate]:
    """Set the hourly rates, in ten-thousandths by kind of work, from a day on."""
    if not rates:
        raise Refusal("Say at least one rate.")
    with acting(by=by, at=at, once=once_key) as act:
        _refuse_invoiced(from_date)
        rows = [
            LabourRate.objects.update_or_create(
                kind=kind, from_date=from_date, defaults={"hourly_ten_thousandths": rate}
            )[0]
            for kind, rate in rates.items()
        ]
        act.record("office.rates_set", from_date=from_date, kinds=sorted(rates))
        act.made(rows[0])
    return rows


def add_flat_price(
    *,
    name: str,
    price_ten_thousandths: int,
    by: Staff,
    covers: Collection[str] = (),
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> FlatPrice:
    """Offer common work at a fixed price; `covers` are the kinds of work whose hours it stands for."""
    with acting(by=by, at=at, once=once_key) as act:
        if FlatPrice.objects.filter(name__iexact=name.strip()).exists():
            raise Refusal("There is a flat price of that name already.", field="name")
        flat = FlatPrice.objects.create(
            name=name.strip(), price_ten_thousandths=price_ten_thousandths, covers=sorted(covers)
        )
        act.record("flat_price.added", subject=flat, price_ten_thousandths=price_ten_thousandths)
    return flat


def change_flat_price(
    *,
    flat: FlatPrice,
    price_ten_thousandths: int,
    by: Staff,
    covers: Collection[str] = (),
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> FlatPrice:
    """Change what it costs and covers from now on; estimates and invoices written before keep their lines."""
    with acting(by=by, at=at, once=once_key) as act:
        flat.price_ten_thousandths, flat.covers = price_ten_thousandths, sorted(covers)
        flat.save(update_fields=["price_ten_thousandths", "covers"])
        act.record("flat_price.changed", subject=flat, price_ten_thousandths=price_ten_thousandths)
    return flat


def retire_flat_price(
    *, flat: FlatPrice, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> FlatPrice:
    """Offer it no more; jobs that are done at it keep it."""
    with acting(by=by, at=at, once=once_key) as act:
        FlatPrice.objects.filter(pk=flat.pk, retired_at__isnull=True).update(retired_at=act.at)
        act.record("flat_price.retired", subject=flat)
    return flat


def choose_flat_price(
    *,
    job: Job,
    flat: FlatPrice,
    by: Staff,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> FlatWork:
    """Do a job, or a part of it, at a flat price."""
    with acting(by=by, at=at, once=once_key) as act:
        if FlatWork.objects.filter(job=job, flat_price=flat).exists():
            raise Refusal("This job is done at that price already.")
        work = FlatWork.objects.create(job=job, flat_price=flat, at=act.at, by=by)
        act.record("flat_price.chosen", subject=work, jobs=[job.pk], flat_price=flat.pk)
    return work


def drop_flat_price(
    *,
    job: Job,
    work: FlatWork,
    by: Staff,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Job:
    """Reckon by the hour after all."""
    with acting(by=by, at=at, once=once_key) as act:
        if charging.named(Charge.Source.FLAT, work.pk) in charging.charged_on([job]):
            raise Refusal("This flat price is charged on an invoice: credit that first.")
        act.record("flat_price.dropped", subject=job, jobs=[job.pk], flat_price=work.flat_price_id)
        FlatWork.objects.filter(pk=work.pk, job=job).delete()
    return job


def ship_out_of_state(
    *, job: Job, contract: str, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Job:
    """Note the contract that has the unit shipped out of the state; an empty one takes the note back."""
    with acting(by=by, at=at, once=once_key) as act:
        if contract.strip():
            facts = {"contract": contract.strip(), "at": act.at, "by": by}
            OutOfState.objects.update_or_create(job=job, defaults=facts)
        else:
            OutOfState.objects.filter(job=job).delete()
        act.record("job.out_of_state", subject=job, jobs=[job.pk], out=bool(contract.strip()))
    return job


def add_tax_rule(
    *,
    name: str,
    kinds: Collection[str],
    rate_percent: Decimal,
    category: str,
    from_date: dt.date,
    source: str,
    by: Staff,
    rate: str = taxing.STANDARD,
    to_date: dt.date | None = None,
    reason: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> list[TaxRule]:
    """Enter how some kinds of line are taxed from a day on. Rules that speak for the same line on one day are refused."""
    if not kinds:
        raise Refusal("Check the kinds of line that it is for.", field="kinds")
    with acting(by=by, at=at, once=once_key) as act:
        charged = InvoiceLine.objects.filter(invoice__issue_date__gte=from_date, kind__in=kinds)
        if charged.exists():
            _refuse_invoiced(from_date)
        rows = TaxRule.objects.bulk_create(
            TaxRule(
                name=name.strip(),
                line_kind=kind,
                rate=rate.strip() or taxing.STANDARD,
                rate_percent=rate_percent,
                category=category,
                from_date=from_date,
                to_date=to_date,
                source=source.strip(),
                reason=reason.strip(),
            )
            for kind in kinds
        )
        taxing.tax_rules(from_date)
        _note_rules(act, "tax_rule.added", rows)
    return rows


def end_tax_rules(
    *,
    rules: Sequence[TaxRule],
    to_date: dt.date,
    by: Staff,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Sequence[TaxRule]:
    """Let rules hold until a day and no longer. A rule is never changed otherwise: its successor starts the day after."""
    with acting(by=by, at=at, once=once_key) as act:
        if to_date < act.day - dt.timedelta(days=1):
            _refuse_invoiced(to_date + dt.timedelta(days=1), field="to_date")
        for rule in rules:
            if to_date < rule.from_date:
                raise Refusal("A rule can’t end before it starts.", field="to_date")
            rule.to_date = to_date
            rule.save(update_fields=["to_date"])
        _note_rules(act, "tax_rule.ended", rules)
    return rules


def start_with(
    *, ready_made: tax.TaxRules, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> list[TaxRule]:
    """Enter a ready-made set of the handbook in place of rules that still hold; those end the day before.

    Whether prices contain the tax and California's rule on parts go into the office's rules of the same day.
    """
    starts = ready_made.rules[0].starts
    with acting(by=by, at=at, once=once_key) as act:
        _refuse_invoiced(starts)
        holding = list(TaxRule.objects.filter(to_date__isnull=True))
        TaxRule.objects.filter(to_date__isnull=True, from_date__gte=starts).delete()
        TaxRule.objects.filter(to_date__isnull=True).update(to_date=starts - dt.timedelta(days=1))
        rows = TaxRule.objects.bulk_create(
            TaxRule(
                name=rule.name,
                line_kind=kind.value,
                rate=rule.rate,
                rate_percent=rule.percent.decimal,
                category=rule.category.value,
                from_date=rule.starts,
                to_date=rule.ends,
                source=rule.source,
                reason=rule.reason,
            )
            for rule in ready_made.rules
            for kind in sorted(rule.kinds)
        )
        _carry_rules(starts, inclusive=ready_made.inclusive, parts_rule=ready_made.parts_rule)
        act.record("tax_rule.set_entered", from_date=starts, rules=len(rows), before=len(holding))
        act.made(rows[0])
    return rows


def _carry_rules(starts: dt.date, *, inclusive: bool, parts_rule: bool) -> None:
    """The office's rules of a day, as they were but for how tax is reckoned."""
    row = OfficeRules.objects.filter(from_date__lte=starts).order_by("-from_date").first()
    if row is None or row.from_date != starts:
        row = row or OfficeRules(from_date=starts)
        row.pk, row.from_date, row._state.adding = None, starts, True
    row.prices_include_tax, row.parts_rule_1546 = inclusive, parts_rule
    row.save()


def _note_rules(act: Act, verb: str, rules: Sequence[TaxRule]) -> None:
    first = rules[0]
    act.record(
        verb,
        subject=first,
        percent=str(first.rate_percent),
        category=first.category,
        kinds=sorted(rule.line_kind for rule in rules),
        from_date=first.from_date,
        to_date=first.to_date,
    )


def _refuse_invoiced(day: dt.date, *, field: str = "from_date") -> None:
    """Rules can't be written into days on which invoices have been issued by others."""
    last = Invoice.objects.filter(issue_date__gte=day).order_by("-issue_date").first()
    if last is not None:
        raise Refusal(
            f"Invoices have been issued since that day, the last on {last.issue_date}: let it take effect on a later day.",
            field=field,
        )
