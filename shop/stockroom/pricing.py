"""What a part costs the customer: its own price, else the shop's mark-up bands of the day."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.db.models import QuerySet, Subquery

from shop.frame import spelling
from shop.handbook.money import UnitPrice
from shop.stockroom.models import Part, PartWanted, PriceRule

_STEP = {  # in ten-thousandths of the major unit
    PriceRule.Rounding.CENT: 100,
    PriceRule.Rounding.FIVE: 500,
    PriceRule.Rounding.TEN: 1_000,
    PriceRule.Rounding.WHOLE: 10_000,
}


def price_of(part: Part, unit_cost_ten_thousandths: int, *, on: dt.date) -> int:
    """The unit price in ten-thousandths. Without a price of its own and without a rule, a part is charged at cost."""
    if part.price_ten_thousandths is not None:
        return part.price_ten_thousandths
    return _by_rule(unit_cost_ten_thousandths, _rules_on(on).first())


def price_where_known(part: Part | None, unit_cost_ten_thousandths: int, *, on: dt.date) -> int | None:
    """The unit price of a part fitted; None where there is neither a price nor a cost to reckon it from."""
    if part is None or (part.price_ten_thousandths is None and not unit_cost_ten_thousandths):
        return None
    return price_of(part, unit_cost_ten_thousandths, on=on)


def with_rule(wants: QuerySet[PartWanted], *, on: dt.date) -> QuerySet[PartWanted]:
    """Wants with the mark-up rule of that day, for `price_of_wanted`: a list of them asks for it no more than once."""
    rule = _rules_on(on)
    return wants.annotate(
        rule_bands=Subquery(rule.values("bands")[:1]), rule_rounding=Subquery(rule.values("rounding")[:1])
    )


def price_of_wanted(want: Any) -> int | None:
    """As `price_where_known`, of the part of a want that was read `with_rule`, at what one in the drawer cost."""
    part: Part = want.part
    cost = part.level.average_cost_ten_thousandths
    if part.price_ten_thousandths is not None or not cost:
        return part.price_ten_thousandths
    if want.rule_rounding is None:
        return cost
    return _by_rule(cost, PriceRule(bands=want.rule_bands, rounding=want.rule_rounding))


def _rules_on(on: dt.date) -> QuerySet[PriceRule]:
    """The rules that began by that day, the one that holds first."""
    return PriceRule.objects.filter(from_date__lte=on).order_by("-from_date")


def _by_rule(unit_cost_ten_thousandths: int, rule: PriceRule | None) -> int:
    return unit_cost_ten_thousandths if rule is None else marked_up(unit_cost_ten_thousandths, rule)


def marked_up(unit_cost_ten_thousandths: int, rule: PriceRule) -> int:
    """Cost plus the mark-up of the first band that reaches it, rounded up to the rule's step."""
    bands: list[tuple[int | None, int]] = rule.bands
    for up_to, per_cent in bands:
        if up_to is None or unit_cost_ten_thousandths <= up_to:
            hundredfold = unit_cost_ten_thousandths * (100 + per_cent)
            step = _STEP[PriceRule.Rounding(rule.rounding)] * 100
            return -(-hundredfold // step) * step // 100
    return unit_cost_ten_thousandths


EXAMPLE_COSTS = (500, 5_000, 40_000, 250_000, 1_200_000)


def examples_of(rule: PriceRule, currency: str) -> list[tuple[UnitPrice, UnitPrice]]:
    """What a rule makes of some costs: (cost, price), so that its owner sees what it does."""
    return [(UnitPrice(cost, currency), UnitPrice(marked_up(cost, rule), currency)) for cost in EXAMPLE_COSTS]


def bands_in_words(rule: PriceRule, currency: str) -> list[tuple[str, int]]:
    """The bands as their owner reads them: (up to which cost, mark-up in per cent)."""
    words, below = [], ""
    for up_to, per_cent in rule.bands:
        end = "" if up_to is None else spelling.money(UnitPrice(up_to, currency))
        words.append((f"up to {end}" if end else f"above {below}" if below else "any cost", per_cent))
        below = end
    return words
