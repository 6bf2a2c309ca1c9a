"""What a law profile is made of: the lines and notices that papers need, duties, and how long papers are kept.

Sources
    None of its own; each line carries its paragraph. "Confirmed" means that the paragraph's text was read as looked up
    on the profile's date; everything else is from memory or cut off, and says so instead of filling in words.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

CHECK_LOCALLY = "An aid, not legal advice: laws differ from place to place and change, so the shop must check its local rules."
NOT_CONFIRMED = "not confirmed"


class Paper(StrEnum):
    """The papers and letters that laws ask something of."""

    CLAIM_CHECK = "claim_check"
    ESTIMATE = "estimate"
    INVOICE = "invoice"
    SIMPLIFIED_INVOICE = "simplified_invoice"
    REPAIR_FORM = "repair_form"
    COLLECT_LETTER = "collect_letter"
    SALE_LETTER = "sale_letter"


class Fact(StrEnum):
    """What can stand on a paper; a paper hands in the facts it carries under these keys."""

    SHOP_NAME = "shop_name"
    SHOP_ADDRESS = "shop_address"
    SHOP_PHONE = "shop_phone"
    SHOP_EMAIL = "shop_email"
    SHOP_ONLINE = "shop_online"
    SHOP_TAX_NUMBER = "shop_tax_number"
    REGISTRATION_NUMBER = "registration_number"
    REPAIR_ADDRESS = "repair_address"
    CUSTOMER_NAME = "customer_name"
    CUSTOMER_ADDRESS = "customer_address"
    CUSTOMER_TAX_NUMBER = "customer_tax_number"
    UNIT_DESCRIPTION = "unit_description"
    UNIT_MAKE = "unit_make"
    UNIT_MODEL = "unit_model"
    UNIT_SERIAL = "unit_serial"
    COMPLAINT = "complaint"
    DEFECT = "defect"
    REPAIR_KIND = "repair_kind"
    RECEIVED_ON = "received_on"
    ACCEPTED_BY = "accepted_by"
    FILLED_IN_BY = "filled_in_by"
    ISSUED_ON = "issued_on"
    SUPPLIED_ON = "supplied_on"
    NUMBER = "number"
    PARTS = "parts"
    LABOUR = "labour"
    OTHER_CHARGES = "other_charges"
    PART_STATES = "part_states"
    TOTAL = "total"
    PRICE = "price"
    DAYS_NEEDED = "days_needed"
    REPLACEMENT = "replacement"
    HANDOVER_PLACE = "handover_place"
    FURTHER_SERVICES = "further_services"
    VALID_UNTIL = "valid_until"
    UNIT_PRICES = "unit_prices"
    TAXABLE_AMOUNTS = "taxable_amounts"
    TAX_RATES = "tax_rates"
    TAX_AMOUNT = "tax_amount"
    TAX_WORDING = "tax_wording"
    CORRECTED_INVOICE = "corrected_invoice"
    NOTICE = "notice"
    ORAL_CONSENT = "oral_consent"
    HELD_AT = "held_at"
    READY = "ready"
    AMOUNT_OWED = "amount_owed"
    SALE_DAY = "sale_day"
    SALE_TIME_AND_PLACE = "sale_time_and_place"


class Condition(StrEnum):
    """When a line is asked for."""

    ALWAYS = "always"
    FETCHED = "fetched"
    USED_PARTS = "used_parts"
    PICTURE_TUBE = "picture_tube"
    ORAL_CONSENT = "oral_consent"
    VAT_REGISTERED = "vat_registered"
    SUPPLY_ON_ANOTHER_DAY = "supply_on_another_day"
    CASH_ACCOUNTING = "cash_accounting"
    SELF_BILLING = "self_billing"
    EXEMPT = "exempt"
    REVERSE_CHARGE = "reverse_charge"
    MARGIN_SCHEME = "margin_scheme"
    CORRECTION = "correction"
    MONEY_OWED = "money_owed"
    SMALL_CHARGES = "small_charges"


@dataclass(frozen=True, slots=True)
class Requirement:
    """One line or notice that has to stand on a paper.

    ``paragraph`` is the letter or point cited, ``what`` says in our words what must stand there, ``needs`` names the
    facts, ``text`` is wording that the law itself prescribes, to be printed as it is. ``starts``: asked for from then on.
    """

    key: str
    paper: Paper
    paragraph: str
    what: str
    needs: tuple[Fact, ...] = ()
    confirmed: bool = True
    condition: Condition = Condition.ALWAYS
    text: str = ""
    prominent: bool = False
    starts: date | None = None

    @property
    def standing(self) -> str:
        """The paragraph as shown beside the line, with "not confirmed" where it wasn't."""
        return self.paragraph if self.confirmed else f"{self.paragraph} ({NOT_CONFIRMED})"


@dataclass(frozen=True, slots=True)
class Duty:
    """Something that the shop has to do, or may not do, without a line on a paper."""

    key: str
    paragraph: str
    what: str
    confirmed: bool = True
    condition: Condition = Condition.ALWAYS


class Counted(StrEnum):
    """From when the years of a retention are counted, and to when."""

    YEAR_END = "to the end of the calendar year"
    DAY = "from the day"
    TAX_YEAR = "to 31 January, from the tax year that ends on 5 April"


@dataclass(frozen=True, slots=True)
class Retention:
    """How long a kind of paper is kept, at least, as ``counted`` says. ``condition``: only where it holds of the shop."""

    papers: frozenset[Paper]
    years: int
    paragraph: str
    confirmed: bool = True
    counted: Counted = Counted.YEAR_END
    condition: Condition = Condition.ALWAYS

    def until(self, issued: date) -> date:
        """The last day on which a paper issued on a day is kept."""
        match self.counted:
            case Counted.DAY:
                year = issued.year + self.years
                leap = (issued.month, issued.day) == (2, 29)
                return date(year, 2, 28) if leap else issued.replace(year=year)
            case Counted.TAX_YEAR:
                ends = issued.year + ((issued.month, issued.day) > (4, 5))
                return date(ends + self.years, 1, 31)
        return date(issued.year + self.years, 12, 31)


INVOICES = frozenset({Paper.INVOICE, Paper.SIMPLIFIED_INVOICE})
BESIDE = frozenset(Paper) - INVOICES


def kept_alike(
    years: int, paragraph: str = "papers beside the invoice: common practice, no source"
) -> Retention:
    """The other papers of a job, kept as long as the invoice they belong to unless a law speaks of them."""
    return Retention(BESIDE, years, paragraph, confirmed=False)


def kept_from_memory(years: int, paragraph: str) -> tuple[Retention, ...]:
    """Invoices kept so many years by a paragraph that is cited from memory, and the papers beside them as long."""
    return Retention(INVOICES, years, f"{paragraph} (read the current text)", confirmed=False), kept_alike(
        years
    )


@dataclass(frozen=True, slots=True)
class Lack:
    """A fact that a paper doesn't carry although a line asks for it."""

    requirement: Requirement
    fact: Fact

    @property
    def sentence(self) -> str:
        """For the person who fills the paper in."""
        return f"{self.requirement.standing}: {self.fact.replace('_', ' ')} is missing."


EVERYWHERE = ""
"""Any country of a profile."""


def _paragraph_in(country: str, paragraphs: tuple[tuple[str, str], ...]) -> str:
    by_country = dict(paragraphs)
    return by_country.get(country, by_country.get(EVERYWHERE, ""))


@dataclass(frozen=True, slots=True)
class LawProfile:
    """The rules of one place as looked up on a day. `countries`: where a shop most likely goes by it (ISO 3166 two letters).

    `codes`: how its paragraphs begin, so that nobody is told another place's law. `written_estimate`: the paragraph that
    wants an estimate in writing before work is charged, empty where none was found. `value_added_tax`: prices, papers and tax
    rules go by VAT. `national`: how long papers are kept in a country of it, where that was looked up. `deposit_tax`: by
    country, or for all of them under `EVERYWHERE`, the paragraph that taxes a deposit when it comes in. `supply_dated`: likewise
    the paragraph that wants the day of supply on an invoice with tax although it is the day of issue.
    """

    key: str
    name: str
    looked_up: date
    requirements: tuple[Requirement, ...] = ()
    duties: tuple[Duty, ...] = ()
    retention: tuple[Retention, ...] = ()
    warranty: str = ""
    replaced_parts: str = ""
    unclaimed: tuple[str, ...] = ()
    countries: frozenset[str] = frozenset()
    codes: tuple[str, ...] = ()
    written_estimate: str = ""
    value_added_tax: bool = False
    national: tuple[tuple[str, tuple[Retention, ...]], ...] = ()
    deposit_tax: tuple[tuple[str, str], ...] = ()
    supply_dated: tuple[tuple[str, str], ...] = ()
    check_locally: str = CHECK_LOCALLY

    def deposits_taxed_by(self, country: str) -> str:
        """The paragraph by which a deposit is taxed on receipt, and not with the invoice; empty where none is known."""
        return _paragraph_in(country, self.deposit_tax)

    def supply_dated_by(self, country: str) -> str:
        """The paragraph by which the day of supply stands on each invoice with tax; empty where only another day has to."""
        return _paragraph_in(country, self.supply_dated)

    def within(self, country: str, *, vat_registered: bool = True) -> LawProfile:
        """The profile with the retention of one of its countries, where that is known, and of shops with or without VAT."""
        rules = dict(self.national).get(country, self.retention)
        if not vat_registered:
            rules = tuple(rule for rule in rules if rule.condition is not Condition.VAT_REGISTERED)
        return self if rules == self.retention else replace(self, retention=rules)

    def cited(self, paragraph: str) -> str:
        """The paragraph in brackets after a space, for a sentence; empty where it is another place's law."""
        return f" ({paragraph})" if paragraph.startswith(self.codes) and self.codes else ""

    def lines_for(
        self, paper: Paper, on: date, conditions: frozenset[Condition] = frozenset()
    ) -> tuple[Requirement, ...]:
        """The lines that a paper needs on a day: those always asked for and those of the conditions that apply."""
        wanted = conditions | {Condition.ALWAYS}
        return tuple(
            line
            for line in self.requirements
            if line.paper is paper and line.condition in wanted and (line.starts is None or line.starts <= on)
        )

    @property
    def has_repair_form(self) -> bool:
        """Whether it knows a form that tells the customer, before the work, what a repair will be and cost."""
        return any(line.paper == Paper.REPAIR_FORM for line in self.requirements)

    def lacks(
        self,
        paper: Paper,
        given: Mapping[Fact, str],
        on: date,
        conditions: frozenset[Condition] = frozenset(),
    ) -> tuple[Lack, ...]:
        """What a paper with the given facts still lacks; a fact that is empty counts as missing."""
        return tuple(
            Lack(line, fact)
            for line in self.lines_for(paper, on, conditions)
            for fact in line.needs
            if not given.get(fact, "").strip()
        )

    def keep_until(self, paper: Paper, issued: date) -> date | None:
        """The last day until which an issued paper is kept; None where no rule is known."""
        days = [rule.until(issued) for rule in self.retention if paper in rule.papers]
        return max(days, default=None)

    @property
    def unconfirmed(self) -> tuple[str, ...]:
        """The paragraphs whose text wasn't read, for the shop to look up."""
        rules: tuple[Requirement | Duty | Retention, ...] = (
            *self.requirements,
            *self.duties,
            *self.retention,
        )
        return tuple(dict.fromkeys(rule.paragraph for rule in rules if not rule.confirmed))
