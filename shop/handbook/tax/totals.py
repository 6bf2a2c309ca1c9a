"""From priced lines to the totals of an invoice, with one rounding of tax per category.

Sources
    EN 16931-1, formulas as published in ConnectingEurope/eInvoicing-EN16931:
    BR-CO-10 sum of line net amounts (BT-106); BR-CO-11 allowances (BT-107); BR-CO-12 charges (BT-108);
    BR-CO-13 BT-109 = BT-106 - BT-107 + BT-108; BR-CO-14 tax (BT-110) = sum of the categories' tax;
    BR-CO-15 BT-112 = BT-109 + BT-110; BR-CO-16 due BT-115 = BT-112 - paid BT-113 + rounding BT-114;
    BR-CO-17 a category's tax BT-117 = base BT-116 x rate BT-119 / 100, rounded. BR-33, BR-38: a reason for each
    allowance and charge.
    Prices with tax: the tax inside a category's sum is rounded once and the rest is its base, so the customer pays what
    was said; the base is shared out over the lines by largest remainders. A buyer who owes no tax gets it taken out of
    such a price line by line (both common practice, no source).
    Margin scheme wording: Directive 2006/112/EC Article 226(14) (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from shop.handbook.money import Money, round_half_up, share
from shop.handbook.tax.parts_rule import PartsVerdict, parts_rule
from shop.handbook.tax.rates import NOTHING, WHOLE, Percent, TaxError
from shop.handbook.tax.rules import Buyer, Category, LineKind, Standing, TaxRules

MARGIN_WORDING = "Margin scheme — Second-hand goods"
REVERSE_WORDING = "Reverse charge"


@dataclass(frozen=True, slots=True)
class Line:
    """A priced line as typed: with tax inside where the rules are inclusive, else without. Negative on a credit note.

    ``margin``: a second-hand thing sold under the margin scheme, no tax shown.
    """

    kind: LineKind
    amount: Money
    rate: str = "standard"
    margin: bool = False


@dataclass(frozen=True, slots=True)
class Adjustment:
    """An allowance or a charge on the whole invoice, with its reason.

    An allowance without ``kind`` is spread over the categories of the lines in proportion to their sums.
    """

    amount: Money
    reason: str
    kind: LineKind | None = None
    rate: str = "standard"

    def __post_init__(self) -> None:
        if not self.reason.strip():
            raise TaxError("An allowance or a charge needs its reason (EN 16931 BR-33, BR-38).")


@dataclass(frozen=True, slots=True)
class Treatment:
    """How one category of the invoice is taxed, and why."""

    name: str
    category: Category
    percent: Percent
    reason: str
    source: str


@dataclass(frozen=True, slots=True)
class LineTotal:
    """One line or adjustment with its net amount (BT-131, BT-92, BT-99) and its treatment."""

    typed: Money
    net: Money
    treatment: Treatment
    reason: str = ""


@dataclass(frozen=True, slots=True)
class CategoryTotal:
    """One entry of the tax breakdown: code (BT-118), rate (BT-119), base (BT-116), tax (BT-117), reasons (BT-120).

    All lines of one code and rate are one entry, whichever rules put them there.
    """

    category: Category
    percent: Percent
    names: tuple[str, ...]
    reasons: tuple[str, ...]
    sources: tuple[str, ...]
    base: Money
    tax: Money


@dataclass(frozen=True, slots=True)
class TaxNote:
    """A sentence that belongs on the invoice or beside it, with its source."""

    key: str
    sentence: str
    source: str


@dataclass(frozen=True, slots=True)
class Totals:
    """The totals of EN 16931 BG-22 with their breakdown. ``due`` is negative where too much was paid."""

    lines: tuple[LineTotal, ...]
    allowances: tuple[LineTotal, ...]
    charges: tuple[LineTotal, ...]
    categories: tuple[CategoryTotal, ...]
    line_total: Money
    allowance_total: Money
    charge_total: Money
    net: Money
    tax: Money
    gross: Money
    prepaid: Money
    rounding: Money
    due: Money
    parts: PartsVerdict | None
    notes: tuple[TaxNote, ...]

    @property
    def gross_lines(self) -> tuple[Money, ...]:
        """What each line comes to with its tax, as a consumer reads it: lines of a category add up to its base and tax.

        Where the prices contain the tax, what was typed.
        Each line's tax is cut towards zero; the cents left over go to the largest remainders (common practice, no source).
        """
        gross = [line.net for line in self.lines]
        for one in self.categories:
            how = (one.category, one.percent)
            own = [
                at
                for at, line in enumerate(self.lines)
                if (line.treatment.category, line.treatment.percent) == how
            ]
            net = [self.lines[at].net for at in own]
            whole = Money.sum(net, one.tax.currency)
            tax = one.tax if whole == one.base else one.percent.of(whole)
            typed = [self.lines[at].typed for at in own]
            if Money.sum(typed, one.tax.currency) == whole + tax:  # the tax is inside what was typed
                for at, each in zip(own, typed, strict=True):
                    gross[at] = each
                continue
            exact = [Fraction(each.minor * one.percent.ten_thousandths, WHOLE) for each in net]
            for at, each in zip(own, _handed_out(tax, exact), strict=True):
                gross[at] = gross[at] + each
        return tuple(gross)


@dataclass(frozen=True, slots=True)
class _Entry:
    """A line (+1), charge (+1) or allowance (-1) on its way to a net amount.

    ``amount`` is what was typed, less the tax inside it where the buyer owes none.
    """

    typed: Money
    amount: Money
    sign: int
    treatment: Treatment
    reason: str = ""

    @property
    def key(self) -> tuple[Category, Percent]:
        """What lines of one category have in common."""
        return self.treatment.category, self.treatment.percent


def compute(
    lines: Sequence[Line],
    *,
    currency: str,
    rules: TaxRules,
    on: date,
    buyer: Buyer | None = None,
    allowances: Sequence[Adjustment] = (),
    charges: Sequence[Adjustment] = (),
    prepaid: Money | None = None,
    parts_priced: bool = True,
    cash_step: int = 1,
) -> Totals:
    """Reckon an invoice or, with negative amounts, a credit note.

    ``on`` is the day whose rules hold. ``parts_priced``: each part has a price of its own on the invoice (else they are
    in a lump sum). ``cash_step``: the amount due is rounded to a multiple of so many minor units (1: not at all).
    Raises TaxError, NoTaxRule, or MixedCurrencies.
    """
    reckoning = _Reckoning(
        rules, on, buyer or Buyer(), _parts_verdict(lines, currency, rules, priced=parts_priced)
    )
    placed = [reckoning.line(line) for line in lines]
    off = [entry for each in allowances for entry in _allowance(each, placed, reckoning)]
    added = [reckoning.adjustment(each, each.kind or LineKind.OTHER, 1) for each in charges]
    entries = placed + off + added
    nets, categories = _by_category(entries, currency, inclusive=rules.inclusive)
    totals = [
        LineTotal(entry.typed, net if entry.sign > 0 else -net, entry.treatment, entry.reason)
        for entry, net in zip(entries, nets, strict=True)
    ]
    split = len(placed), len(placed) + len(off)
    return _totals(
        (tuple(totals[: split[0]]), tuple(totals[split[0] : split[1]]), tuple(totals[split[1] :])),
        categories,
        prepaid or Money.zero(currency),
        cash_step,
        reckoning.parts,
    )


@dataclass(frozen=True, slots=True)
class _Reckoning:
    """What decides how a line is taxed."""

    rules: TaxRules
    on: date
    buyer: Buyer
    parts: PartsVerdict | None

    def line(self, line: Line) -> _Entry:
        if line.margin:
            source = "Directive 2006/112/EC, Articles 313 and 226(14); read the current text"
            treatment = Treatment("Margin scheme", Category.EXEMPT, NOTHING, MARGIN_WORDING, source)
            return _Entry(line.amount, line.amount, 1, treatment)
        treatment = self._treatment(line.kind, line.rate)
        return _Entry(line.amount, self._owed(line.amount, line.kind, line.rate), 1, treatment)

    def adjustment(self, each: Adjustment, kind: LineKind, sign: int) -> _Entry:
        owed = self._owed(each.amount, kind, each.rate)
        return _Entry(each.amount, owed, sign, self._treatment(kind, each.rate), each.reason)

    def _treatment(self, kind: LineKind, rate: str) -> Treatment:
        for_buyer = self._by_buyer(kind)
        if for_buyer:
            return for_buyer
        if kind is LineKind.PART and self.parts and not self.parts.retailer:
            reason = "Parts are included in the repair; the shop is their consumer."
            return Treatment("Parts included", Category.EXEMPT, NOTHING, reason, self.parts.source)
        rule = self.rules.rule_for(kind, rate, self.on)
        return Treatment(rule.name, rule.category, rule.percent, rule.reason, rule.source)

    def _owed(self, amount: Money, kind: LineKind, rate: str) -> Money:
        if self.rules.inclusive and self._by_buyer(kind):
            return amount - self.rules.rule_for(kind, rate, self.on).percent.inside(amount)
        return amount

    def _by_buyer(self, kind: LineKind) -> Treatment | None:
        reference = self.buyer.reference
        match self.buyer.standing:
            case Standing.EXEMPT:
                return Treatment(
                    "Exempt", Category.EXEMPT, NOTHING, f"Exempt: {reference}", "the customer's certificate"
                )
            case Standing.REVERSE_CHARGE:
                source = "Directive 2006/112/EC, Article 226(4) and (11a); read the current text of (11a)"
                return Treatment("Reverse charge", Category.REVERSE_CHARGE, NOTHING, REVERSE_WORDING, source)
            case Standing.OUT_OF_STATE if kind in self.rules.untaxed_out_of_state:
                reason = f"Shipped out of the state by contract: {reference}"
                return Treatment("Out of state", Category.EXEMPT, NOTHING, reason, "annotation 315.0215")
        return None


def _parts_verdict(
    lines: Sequence[Line], currency: str, rules: TaxRules, *, priced: bool
) -> PartsVerdict | None:
    if not rules.parts_rule:
        return None
    own = [line for line in lines if not line.margin]
    parts = Money.sum((line.amount for line in own if line.kind is LineKind.PART), currency)
    work_kinds = (LineKind.LABOUR, LineKind.BENCH_FEE, LineKind.OTHER)
    work = Money.sum((line.amount for line in own if line.kind in work_kinds), currency)
    return parts_rule(parts, work, priced_separately=priced)


def _allowance(allowance: Adjustment, placed: Sequence[_Entry], reckoning: _Reckoning) -> list[_Entry]:
    """The allowance at its own kind's treatment, or spread over the categories of the lines."""
    if allowance.kind is not None:
        return [reckoning.adjustment(allowance, allowance.kind, -1)]
    groups: dict[tuple[Category, Percent], list[_Entry]] = {}
    for entry in placed:
        groups.setdefault(entry.key, []).append(entry)
    typed = [sum(entry.typed.minor for entry in group) for group in groups.values()]
    if not any(typed) or min(typed) < 0 < max(typed):
        raise TaxError(
            f"Say what the allowance “{allowance.reason}” is for: it can't be spread over these lines."
        )
    parts = share(allowance.amount, [abs(weight) for weight in typed])
    off = []
    for group, whole, part in zip(groups.values(), typed, parts, strict=True):
        if part:
            owed = sum(entry.amount.minor for entry in group) * (1 if whole > 0 else -1)
            amount = Money(round_half_up(part.minor * owed, abs(whole)), part.currency)
            off.append(_Entry(part, amount, -1, group[0].treatment, allowance.reason))
    return off


def _by_category(
    entries: Sequence[_Entry], currency: str, *, inclusive: bool
) -> tuple[list[Money], tuple[CategoryTotal, ...]]:
    """The signed net amount of each entry in their order, and the breakdown in order of first appearance."""
    nets = [entry.amount * entry.sign for entry in entries]
    places: dict[tuple[Category, Percent], list[int]] = {}
    for place, entry in enumerate(entries):
        places.setdefault(entry.key, []).append(place)
    categories = []
    for (category, percent), own in places.items():
        total = Money.sum((nets[place] for place in own), currency)
        tax = percent.inside(total) if inclusive else percent.of(total)
        if inclusive:
            for place, net in zip(own, _spread(total - tax, [nets[at] for at in own], percent), strict=True):
                nets[place] = net
        how = [entries[place].treatment for place in own]
        names, reasons, sources = (
            tuple(dict.fromkeys(value for value in values if value))
            for values in zip(*((each.name, each.reason, each.source) for each in how), strict=True)
        )
        base = total - tax if inclusive else total
        categories.append(CategoryTotal(category, percent, names, reasons, sources, base, tax))
    return nets, tuple(categories)


def _spread(base: Money, gross: Sequence[Money], percent: Percent) -> list[Money]:
    """Net amounts that add up to the base: each cut towards zero, the cents left over to the largest remainders."""
    return _handed_out(
        base, [Fraction(amount.minor * WHOLE, WHOLE + percent.ten_thousandths) for amount in gross]
    )


def _handed_out(total: Money, exact: Sequence[Fraction]) -> list[Money]:
    """Whole minor units near the exact ones that add up to a total, the cents left over to the largest remainders."""
    cut = [int(value) for value in exact]
    left_over = total.minor - sum(cut)
    step = 1 if left_over > 0 else -1
    furthest = sorted(range(len(cut)), key=lambda place: step * (cut[place] - exact[place]))
    for place in furthest[: abs(left_over)]:
        cut[place] += step
    return [Money(minor, total.currency) for minor in cut]


def _totals(
    parts_of: tuple[tuple[LineTotal, ...], tuple[LineTotal, ...], tuple[LineTotal, ...]],
    categories: tuple[CategoryTotal, ...],
    prepaid: Money,
    cash_step: int,
    verdict: PartsVerdict | None,
) -> Totals:
    """Apply BR-CO-10 to BR-CO-16."""
    currency = prepaid.currency
    line_total, allowance_total, charge_total = (
        Money.sum((each.net for each in group), currency) for group in parts_of
    )
    net = line_total - allowance_total + charge_total
    tax = Money.sum((each.tax for each in categories), currency)
    open_amount = net + tax - prepaid
    due = Money(round_half_up(open_amount.minor, cash_step) * cash_step, currency)
    return Totals(
        *parts_of,
        categories,
        line_total,
        allowance_total,
        charge_total,
        net,
        tax,
        net + tax,
        prepaid,
        due - open_amount,
        due,
        verdict,
        _notes([each.treatment for group in parts_of for each in group], verdict),
    )


def _notes(treatments: Sequence[Treatment], verdict: PartsVerdict | None) -> tuple[TaxNote, ...]:
    """The reasons that have to stand on the invoice, each once, and the verdict of the parts rule."""
    notes = {how.reason: TaxNote("no_tax", how.reason, how.source) for how in treatments if how.reason}
    if verdict and verdict.parts:
        notes[verdict.sentence] = TaxNote("parts_rule", verdict.sentence, verdict.source)
    return tuple(notes.values())
