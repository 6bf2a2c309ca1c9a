"""What the owner sets: rules, rates, flat prices, taxes, each from a day on."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any, TypedDict, Unpack

from django import forms
from django.core.exceptions import ValidationError
from stdnum import bic, iban
from stdnum.exceptions import ValidationError as StdnumError

from shop.bench.models import WorkKind
from shop.frame import clock
from shop.frame.formwork import FieldWords, PlainForm, SumField, TextField, UnitPriceField
from shop.frame.profile import the_profile
from shop.handbook import law, tax
from shop.handbook.law.distance import BY_PROFILE as DISTANCE
from shop.handbook.money import Money, UnitPrice
from shop.office import deposits, einvoice
from shop.office.models import TAXED_KINDS, FlatPrice, OfficeRules
from shop.office.pricing import rates_on, rules_on

BILLED = [kind for kind in WorkKind if kind is not WorkKind.UNBILLED]
FAR_AHEAD = dt.timedelta(days=2 * 366)


class DayField(forms.DateField):
    """A day as the browser sends it."""

    def __init__(self, **kwargs: Unpack[FieldWords]) -> None:
        kwargs.setdefault("widget", forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
        super().__init__(**kwargs)

    def clean(self, value: object) -> dt.date | None:
        """A day between 1990 and two years from now."""
        day: dt.date | None = super().clean(value)
        if day is not None and not dt.date(1990, 1, 1) <= day <= clock.today() + FAR_AHEAD:
            raise ValidationError("The day lies between 1990 and two years from now.")
        return day


class RulesFacts(TypedDict):
    """How the office calculates, as `set_rules` takes it."""

    from_date: dt.date
    rounding: str
    minimum_minor: int
    prices_include_tax: bool
    estimate_days: int
    parts_rule_1546: bool
    margin_scheme: bool
    cash_accounting: bool
    how_to_pay: str
    iban: str
    bic: str
    account_holder: str
    pay_link: str
    reminder_days: int
    einvoice: bool
    drawn_signature: bool
    distance_aids: bool
    deposits_taxed: bool


def californian() -> bool:
    """Whether the shop goes by California's law: its tax rule is offered to nobody else."""
    return the_profile().law_profile == law.CALIFORNIA.key


class RulesForm(PlainForm):
    """How the office calculates from a day on."""

    from_date = DayField(label="In effect from")
    rounding = forms.ChoiceField(
        label="Hours of a job are rounded to", choices=OfficeRules.Rounding, widget=forms.RadioSelect
    )
    minimum = SumField(required=False, label="Minimum labor charge per job")
    prices_include_tax = forms.BooleanField(required=False, label="Prices that are typed contain the tax")
    estimate_days = forms.IntegerField(
        label="Estimates are valid for",
        min_value=1,
        max_value=365,
        widget=forms.NumberInput(attrs={"class": "w-short"}),
    )
    parts_rule_1546 = forms.BooleanField(
        required=False,
        label="California’s ten percent rule decides whether parts are taxed (18 CCR 1546(b))",
    )
    margin_scheme = forms.BooleanField(
        required=False, label="Second-hand goods may be sold under the VAT margin scheme"
    )
    cash_accounting = forms.BooleanField(
        required=False, label="Cash accounting: VAT falls due when the customer pays, and invoices say so"
    )
    how_to_pay = TextField(
        required=False,
        rows=2,
        max_length=1000,
        label="How to pay",
        help_text="Stands on invoices, statements and reminders: the account, the ways to pay.",
    )
    iban = forms.CharField(
        required=False,
        max_length=42,
        label="IBAN",
        help_text="Invoices in euros carry a QR code that fills in the transfer.",
    )
    bic = forms.CharField(
        required=False, max_length=11, label="BIC", help_text="Only where a bank asks for it."
    )
    account_holder = forms.CharField(
        required=False, max_length=70, label="Account holder", help_text="Where it isn’t the shop’s name."
    )
    pay_link = forms.CharField(
        required=False,
        max_length=200,
        label="Link to pay by",
        help_text="Your provider’s address with {reference}, and {amount} and {currency} where it takes them.",
    )
    reminder_days = forms.IntegerField(
        label="Days between due date and reminder",
        min_value=1,
        max_value=180,
        widget=forms.NumberInput(attrs={"class": "w-short"}),
    )
    einvoice = forms.BooleanField(
        required=False, label="Make an e-invoice (EN 16931) beside each issued invoice"
    )
    drawn_signature = forms.BooleanField(
        required=False,
        label="Customers may sign on the screen, with a finger or a mouse: an answer, a collection",
    )

    distance_aids = forms.BooleanField(
        required=False,
        label="Consumers who mail in are told of their right to withdraw, and may use it on their page",
        help_text="Directive 2011/83/EU; Consumer Contracts Regulations 2013. An aid: the shop decides.",
    )

    deposits_taxed = forms.BooleanField(
        required=False,
        label="Deposits carry their tax when they come in, and receipts name it",
        help_text="Directive 2006/112/EC Art. 65; VATA 1994 s. 6(4); MWSTG Art. 40. An aid: the shop decides.",
    )

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        if not deposits.wanted_by():
            del self.fields["deposits_taxed"]
        if the_profile().law_profile not in DISTANCE:
            del self.fields["distance_aids"]
        if not californian() and not self.initial.get("parts_rule_1546"):
            del self.fields["parts_rule_1546"]

    def clean_iban(self) -> str:
        """An account number whose check digits are right (ISO 13616)."""
        typed: str = self.cleaned_data["iban"]
        if not typed:
            return ""
        try:
            return str(iban.validate(typed))
        except StdnumError as error:
            raise ValidationError("That is no IBAN: a digit is wrong or missing.") from error

    def clean_bic(self) -> str:
        """The code of a bank (ISO 9362)."""
        typed: str = self.cleaned_data["bic"]
        if typed and not bic.is_valid(typed):
            raise ValidationError("That is no BIC: eight or eleven letters and digits.")
        return str(bic.compact(typed))

    def clean_pay_link(self) -> str:
        """An address that says which invoice it is for."""
        typed: str = self.cleaned_data["pay_link"]
        if typed and not (typed.startswith("https://") and "{reference}" in typed):
            raise ValidationError("It begins with https:// and has {reference} where the reference goes.")
        return typed

    def clean_einvoice(self) -> bool:
        """Only where the extra is installed."""
        wanted: bool = self.cleaned_data["einvoice"]
        if wanted and not einvoice.is_installed():
            raise ValidationError("Install the optional extra “einvoice” (the package factur-x) first.")
        return wanted

    @classmethod
    def of_today(cls) -> RulesForm:
        """Filled in with what holds today."""
        rules = rules_on(clock.today())
        shown = {name: getattr(rules, name) for name in cls.base_fields if hasattr(rules, name)}
        if rules.minimum_minor:
            shown["minimum"] = Money(rules.minimum_minor, the_profile().currency)
        return cls(initial={**shown, "from_date": clock.today()})

    def facts(self) -> RulesFacts:
        """The rules that were typed."""
        data = self.cleaned_data
        return {
            "from_date": data["from_date"],
            "rounding": data["rounding"],
            "minimum_minor": data["minimum"] or 0,
            "prices_include_tax": data["prices_include_tax"],
            "estimate_days": data["estimate_days"],
            "parts_rule_1546": data.get("parts_rule_1546", False),
            "margin_scheme": data["margin_scheme"],
            "cash_accounting": data["cash_accounting"],
            "how_to_pay": data["how_to_pay"],
            "iban": data["iban"],
            "bic": data["bic"],
            "account_holder": data["account_holder"],
            "pay_link": data["pay_link"],
            "reminder_days": data["reminder_days"],
            "einvoice": data["einvoice"],
            "drawn_signature": data["drawn_signature"],
            "distance_aids": data.get("distance_aids", True),
            "deposits_taxed": data.get("deposits_taxed", True),
        }


class RatesForm(PlainForm):
    """The hourly rate of each kind of work from a day on; an empty one stays as it is."""

    from_date = DayField(label="In effect from")

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        for kind in BILLED:
            self.fields[kind.value] = UnitPriceField(required=False, label=kind.label)

    @classmethod
    def of_today(cls) -> RatesForm:
        """Filled in with what holds today."""
        rates = rates_on(clock.today(), the_profile().currency)
        shown = dict(rates)
        return cls(initial={**shown, "from_date": clock.today()})

    @property
    def rate_fields(self) -> list[object]:
        """The fields of the rates."""
        return [self[kind.value] for kind in BILLED]

    def typed(self) -> dict[str, int]:
        """The hourly rates that were typed, in ten-thousandths by kind of work."""
        data = self.cleaned_data
        return {kind.value: data[kind.value] for kind in BILLED if data.get(kind.value) is not None}


class FlatPriceForm(PlainForm):
    """A fixed price for common work."""

    name = forms.CharField(max_length=120, label="Work", help_text="As it stands on papers.")
    price = UnitPriceField()
    covers = forms.MultipleChoiceField(
        required=False,
        choices=[(kind.value, kind.label) for kind in BILLED],
        widget=forms.CheckboxSelectMultiple,
        label="Stands for the hours of",
        help_text="Those are not charged by the hour besides.",
    )

    @classmethod
    def of(cls, flat: FlatPrice) -> FlatPriceForm:
        """Filled in with a flat price, under a prefix of its own."""
        price = UnitPrice(flat.price_ten_thousandths, the_profile().currency)
        form = cls(prefix=f"f{flat.pk}", initial={"name": flat.name, "price": price, "covers": flat.covers})
        del form.fields["name"]
        return form


class TaxRuleFacts(TypedDict):
    """How some kinds of line are taxed, as `add_tax_rule` takes it."""

    name: str
    kinds: list[str]
    category: str
    rate_percent: Decimal
    rate: str
    from_date: dt.date
    to_date: dt.date | None
    source: str
    reason: str


class TaxRuleForm(PlainForm):
    """How some kinds of line are taxed from a day on."""

    name = forms.CharField(max_length=60, help_text="As it stands on invoices: “VAT”, “Sales tax”.")
    kinds = forms.MultipleChoiceField(
        choices=TAXED_KINDS, widget=forms.CheckboxSelectMultiple, label="For lines of"
    )
    category = forms.ChoiceField(
        choices=[
            ("S", "Taxed"),
            ("Z", "Zero rate"),
            ("E", "Exempt"),
            ("AE", "Reverse charge"),
            ("O", "Outside the tax"),
        ],
        help_text="The category code of EN 16931 (BT-118).",
    )
    percent = forms.CharField(
        max_length=20,
        required=False,
        label="Rate, percent",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "class": "w-short"}),
    )
    rate = forms.CharField(
        max_length=20,
        required=False,
        label="Which rate",
        help_text="Empty: the standard one. Another name, such as “reduced”, tells several apart.",
        widget=forms.TextInput(attrs={"class": "w-short"}),
    )
    from_date = DayField(label="In effect from")
    to_date = DayField(label="Until", required=False)
    source = forms.CharField(max_length=200, help_text="Where it is written, or whose advice it is.")
    reason = forms.CharField(
        max_length=200,
        required=False,
        label="Why no tax is charged",
        help_text="Stands on the invoice where there is none.",
    )

    def clean_percent(self) -> Decimal:
        """A rate with up to four decimals."""
        try:
            return tax.Percent.parse(self.cleaned_data["percent"] or "0").decimal
        except tax.TaxError as error:
            raise ValidationError(str(error)) from error

    def clean(self) -> dict[str, object]:
        """Category, rate and reason have to fit."""
        data = super().clean() or self.cleaned_data
        taxed = data.get("category") == "S"
        if "percent" in data and taxed != (data["percent"] > 0):
            self.add_error("percent", "Only what is taxed has a rate above zero, and it has one.")
        if data.get("category") in {"E", "AE", "O"} and not data.get("reason"):
            self.add_error("reason", "Say why no tax is charged; it stands on the invoice.")
        return data

    def facts(self) -> TaxRuleFacts:
        """The rule that was typed."""
        data = self.cleaned_data
        return {
            "name": data["name"],
            "kinds": data["kinds"],
            "category": data["category"],
            "rate_percent": data["percent"],
            "rate": data["rate"],
            "from_date": data["from_date"],
            "to_date": data["to_date"],
            "source": data["source"],
            "reason": data["reason"],
        }


class EndRulesForm(PlainForm):
    """Until which day rules hold."""

    to_date = DayField(label="In effect until")


class ReadyMadeForm(PlainForm):
    """A ready-made set of tax rules to start from; the rate is always the shop's own entry."""

    SETS = [
        ("california", "California: parts by the ten percent rule, labor and delivery not taxed"),
        ("parts", "A sales tax on parts only"),
        ("all", "A sales tax on parts and labor"),
        ("vat", "VAT on everything, prices without it"),
        ("vat_inside", "VAT on everything, prices with it inside"),
        ("none", "No tax at all"),
    ]
    which = forms.ChoiceField(
        label="Start with",
        choices=lambda: [one for one in ReadyMadeForm.SETS if one[0] != "california" or californian()],
        widget=forms.RadioSelect,
    )
    percent = forms.CharField(
        max_length=20,
        required=False,
        label="Rate, percent",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "class": "w-short"}),
    )
    starts = DayField(label="From")
    source = forms.CharField(max_length=200, help_text="Where the rate is written.")
    reason = forms.CharField(
        max_length=200, required=False, label="Why no tax is charged", help_text="Only with “no tax at all”."
    )

    def clean(self) -> dict[str, object]:
        """Build the set; the handbook's own sentence says what is wrong."""
        data = super().clean() or self.cleaned_data
        if self.errors:
            return data
        try:
            data["rules"] = self._rules(data)
        except tax.TaxError as error:
            self.add_error("percent", str(error))
        return data

    @staticmethod
    def _rules(data: dict[str, Any]) -> tax.TaxRules:
        starts, source, which = data["starts"], data["source"], data["which"]
        if which == "none":
            return tax.no_tax(data["reason"] or "No tax is charged.", source, starts)
        percent = tax.Percent.parse(data["percent"])
        if which == "california":
            return tax.california(percent, starts, source)
        if which in {"vat", "vat_inside"}:
            return tax.value_added_tax(percent, starts, source, inclusive=which == "vat_inside")
        kinds = frozenset({tax.LineKind.PART} if which == "parts" else tax.LineKind)
        return tax.sales_tax(percent, kinds, starts, source)
