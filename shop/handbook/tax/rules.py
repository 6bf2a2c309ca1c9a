"""Tax as rules with dates: which kind of line is taxed how, from which day to which, and by which source.

Sources
    EN 16931-1 (rules as published in ConnectingEurope/eInvoicing-EN16931): BT-118 category codes; BR-S-05 a standard
    rate is above zero; BR-Z-05, BR-E-05, BR-AE-05, BR-O-05 the others are zero; BR-E-10, BR-AE-10, BR-O-10 an
    exemption needs its reason.
    Directive 2006/112/EC Article 226(4): under reverse charge the invoice names the customer's VAT number; (11a) it says
    "Reverse charge" (from memory).
    California: sales and use tax annotation 315.0215 (10/31/88): no sales tax on a retailer's repair parts that the
    contract requires to be shipped out of the state and that are shipped so.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from shop.handbook.tax.rates import NOTHING, Percent, TaxError


class LineKind(StrEnum):
    """What a line charges for."""

    LABOUR = "labour"
    PART = "part"
    BENCH_FEE = "bench_fee"
    SHIPPING = "shipping"
    OTHER = "other"


class Category(StrEnum):
    """EN 16931 BT-118, the tax category code."""

    STANDARD = "S"
    ZERO = "Z"
    EXEMPT = "E"
    REVERSE_CHARGE = "AE"
    WITHIN_THE_UNION = "K"
    EXPORT = "G"
    OUTSIDE = "O"


class Standing(StrEnum):
    """How tax applies to the one who pays."""

    ORDINARY = "ordinary"
    EXEMPT = "exempt"
    REVERSE_CHARGE = "reverse_charge"
    OUT_OF_STATE = "out_of_state"


class NoTaxRule(TaxError):
    """No rule holds for a kind of line on a day: a rate is missing, which is not the same as no tax."""

    def __init__(self, kind: LineKind, rate: str, on: date) -> None:
        self.kind, self.rate, self.on = kind, rate, on
        super().__init__(f"There is no {rate} tax rule for {kind.replace('_', ' ')} on {on.isoformat()}.")


@dataclass(frozen=True, slots=True)
class Buyer:
    """The one who pays. ``reference`` is the exemption certificate, the VAT number or the contract, as printed."""

    standing: Standing = Standing.ORDINARY
    reference: str = ""

    def __post_init__(self) -> None:
        if self.standing is not Standing.ORDINARY and not self.reference.strip():
            raise TaxError(_REFERENCE_WANTED[self.standing])


_REFERENCE_WANTED = {
    Standing.EXEMPT: "An exempt customer needs the certificate or the reason.",
    Standing.REVERSE_CHARGE: "Reverse charge needs the customer's VAT number (Directive 2006/112/EC, Article 226(4)).",
    Standing.OUT_OF_STATE: "Shipping out of the state untaxed needs the contract that requires it (annotation 315.0215).",
}


@dataclass(frozen=True, slots=True)
class TaxRule:
    """How some kinds of line are taxed from ``starts`` to ``ends``, both days included.

    ``rate`` tells several rates for one kind apart ("standard", "reduced"). ``reason`` stands on the invoice where there
    is no tax. ``source`` says where the rule is written, or "from memory", or whose advice it is.
    """

    name: str
    kinds: frozenset[LineKind]
    percent: Percent
    starts: date
    source: str
    ends: date | None = None
    category: Category = Category.STANDARD
    rate: str = "standard"
    reason: str = ""

    def __post_init__(self) -> None:
        if not self.source.strip():
            raise TaxError(f"The rule “{self.name}” needs its source.")
        if self.ends is not None and self.ends < self.starts:
            raise TaxError(f"The rule “{self.name}” ends before it starts.")
        if (self.category is Category.STANDARD) != (self.percent > NOTHING):
            raise TaxError(f"The rule “{self.name}”: only category S has a rate above zero.")
        if self.category not in (Category.STANDARD, Category.ZERO) and not self.reason.strip():
            raise TaxError(f"The rule “{self.name}” needs the reason why nothing is charged.")

    def holds(self, kind: LineKind, rate: str, on: date) -> bool:
        """Whether the rule speaks for this kind of line at this rate on this day."""
        in_time = self.starts <= on and (self.ends is None or on <= self.ends)
        return in_time and kind in self.kinds and rate == self.rate

    def meets(self, other: TaxRule) -> bool:
        """Whether both rules could speak for the same line on some day."""
        apart = (self.ends is not None and self.ends < other.starts) or (
            other.ends is not None and other.ends < self.starts
        )
        return not apart and self.rate == other.rate and bool(self.kinds & other.kinds)


@dataclass(frozen=True, slots=True)
class TaxRules:
    """All the rules of one shop. No two may speak for the same line on the same day.

    ``inclusive``: the prices that people type contain the tax. ``parts_rule``: California's ten percent rule decides
    whether parts are taxed. ``untaxed_out_of_state``: kinds of line free of tax when the contract sends them abroad.
    """

    name: str
    rules: tuple[TaxRule, ...]
    inclusive: bool = False
    parts_rule: bool = False
    untaxed_out_of_state: frozenset[LineKind] = frozenset({LineKind.PART})

    def __post_init__(self) -> None:
        for place, rule in enumerate(self.rules):
            for other in self.rules[place + 1 :]:
                if rule.meets(other):
                    raise TaxError(
                        f"The rules “{rule.name}” and “{other.name}” hold for the same line on the same day."
                    )

    def rule_for(self, kind: LineKind, rate: str, on: date) -> TaxRule:
        """The one rule for a kind of line at a rate on a day; raises NoTaxRule."""
        for rule in self.rules:
            if rule.holds(kind, rate, on):
                return rule
        raise NoTaxRule(kind, rate, on)
