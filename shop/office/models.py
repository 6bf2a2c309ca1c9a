"""Prices, estimates, the customer's yes, invoices and payments. An issued invoice is frozen by the database itself."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from shop.bench.models import WorkKind
from shop.counter.models import Customer, Job
from shop.handbook.money import Money, UnitPrice
from shop.premises.clock import now
from shop.premises.columns import ExactDecimalField
from shop.premises.models import IssuedPaper, Picture, Staff, StoredFile
from shop.premises.profile import the_profile
from shop.stockroom.models import PartState


class LineKind(models.TextChoices):
    """What a line charges for; tax rules go by it."""

    LABOUR = "labour", "Labour"
    PART = "part", "Part"
    BENCH_FEE = "bench_fee", "Bench fee"
    SHIPPING = "shipping", "Shipping"
    OTHER = "other", "Other"


class OfficeRules(models.Model):
    """How the office reckons from a date on: rounding of hours, minimum charge, inclusive prices, limits."""

    class Rounding(models.TextChoices):
        EXACT = "exact", "To the second"
        TENTHS = "tenths", "Tenths of an hour, upward"
        QUARTERS = "quarters", "Quarters of an hour, upward"

    from_date = models.DateField(unique=True)
    rounding = models.CharField(max_length=8, choices=Rounding, default=Rounding.TENTHS)
    minimum_minor = models.BigIntegerField(default=0)
    prices_include_tax = models.BooleanField(default=False)
    estimate_days = models.PositiveSmallIntegerField(default=30)
    parts_rule_1546 = models.BooleanField(
        default=False, help_text="California Reg. 1546: the ten per cent parts rule."
    )
    drawn_signature = models.BooleanField(default=False)
    margin_scheme = models.BooleanField(
        default=False, help_text="Second-hand goods may be sold under the VAT margin scheme."
    )
    einvoice = models.BooleanField(
        default=False, help_text="Make an e-invoice (EN 16931) beside each issued invoice."
    )
    cash_accounting = models.BooleanField(
        default=False, help_text="VAT falls due when the customer pays; invoices say so."
    )
    how_to_pay = models.TextField(
        blank=True, help_text="Stands on invoices, statements and reminders: the account, the ways to pay."
    )
    reminder_days = models.PositiveSmallIntegerField(
        default=7, help_text="Days past due before a reminder is offered, and between two of them."
    )

    class Meta:
        ordering = ["-from_date"]
        verbose_name_plural = "office rules"

    def __str__(self) -> str:
        return f"rules from {self.from_date}"


class LabourRate(models.Model):
    kind = models.CharField(max_length=10, choices=WorkKind)
    from_date = models.DateField()
    hourly_ten_thousandths = models.BigIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["kind", "from_date"], name="office_one_rate_a_day"),
            models.CheckConstraint(
                condition=Q(hourly_ten_thousandths__gte=0), name="office_rate_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} from {self.from_date}"

    @property
    def hourly(self) -> UnitPrice:
        """The rate in the shop’s money."""
        return UnitPrice(self.hourly_ten_thousandths, the_profile().currency)


class FlatPrice(models.Model):
    """A fixed price for common work, whatever the clock says."""

    name = models.CharField(max_length=120, unique=True)
    price_ten_thousandths = models.BigIntegerField()
    covers = models.JSONField(
        default=list, blank=True, help_text="Kinds of work whose hours the price stands for."
    )
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(price_ten_thousandths__gte=0), name="office_flat_not_negative")
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def price(self) -> UnitPrice:
        """The price in the shop’s money."""
        return UnitPrice(self.price_ten_thousandths, the_profile().currency)

    @property
    def covered(self) -> str:
        """The kinds of work it covers, as a person reads them."""
        return ", ".join(WorkKind(kind).label for kind in self.covers)


class FlatWork(models.Model):
    """A flat price that a job is done at: it stands for the hours of the kinds of work that it covers."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    flat_price = models.ForeignKey(FlatPrice, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        verbose_name_plural = "flat work"
        constraints = [models.UniqueConstraint(fields=["job", "flat_price"], name="office_flat_once_a_job")]

    def __str__(self) -> str:
        return f"{self.job_id}: {self.flat_price_id}"


class OutOfState(models.Model):
    """The contract that has a unit shipped out of the state: its parts carry no tax of this state."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="+")
    contract = models.CharField(max_length=120, help_text="What was agreed, and when; stands on the invoice.")
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        verbose_name_plural = "out of state"
        constraints = [
            models.CheckConstraint(condition=~Q(contract=""), name="office_out_of_state_by_contract")
        ]

    def __str__(self) -> str:
        return self.contract


class TaxRule(models.Model):
    """A rate for one kind of line from a date on. `rate` tells several rates of one kind apart (standard, reduced)."""

    name = models.CharField(max_length=60)
    line_kind = models.CharField(max_length=10, choices=LineKind)
    rate = models.CharField(max_length=20, default="standard")
    rate_percent = ExactDecimalField()
    category = models.CharField(
        max_length=3, default="S", help_text="EN 16931 category code: S, Z, E, AE, O."
    )
    from_date = models.DateField()
    to_date = models.DateField(null=True, blank=True)
    source = models.CharField(max_length=200, blank=True)
    reason = models.CharField(
        max_length=200, blank=True, help_text="Stands on the invoice where no tax is charged."
    )

    class Meta:
        indexes = [models.Index(fields=["line_kind", "from_date"], name="office_tax_rule_of_kind")]
        constraints = [
            models.CheckConstraint(
                condition=Q(to_date__isnull=True) | Q(to_date__gte=F("from_date")),
                name="office_tax_rule_in_order",
                violation_error_message="The rule ends before it starts.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.rate_percent} %"


class Estimate(models.Model):
    """One version of the price put to the customer for one job. Once given it is frozen; a change makes the next version."""

    class State(models.TextChoices):
        DRAFT = "draft", "Being written"
        GIVEN = "given", "With the customer"
        ACCEPTED = "accepted", "Accepted"
        PARTLY = "partly", "Accepted in part"
        DECLINED = "declined", "Declined"
        REPLACED = "replaced", "Replaced by a later version"

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    version = models.PositiveSmallIntegerField()
    state = models.CharField(max_length=8, choices=State, default=State.DRAFT)
    currency = models.CharField(max_length=3)
    diagnosis_only = models.BooleanField(default=False)
    lump_sum = models.BooleanField(
        default=False, help_text="One price for the whole; parts are named without prices of their own."
    )
    note = models.TextField(blank=True)
    days_needed = models.PositiveSmallIntegerField(null=True, blank=True)
    written_at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    given_at = models.DateTimeField(null=True, blank=True)
    valid_until = models.DateField(null=True, blank=True)
    total_minor = models.BigIntegerField(default=0, help_text="Before tax: 16 CCR 2722(b).")
    tax_minor = models.BigIntegerField(default=0)
    paper = models.ForeignKey(IssuedPaper, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["job", "version"], name="office_estimate_version_once"),
            models.CheckConstraint(
                condition=Q(state="draft") | Q(given_at__isnull=False),
                name="office_estimate_given_has_a_time",
            ),
            models.CheckConstraint(condition=Q(total_minor__gte=0), name="office_estimate_not_negative"),
        ]

    def __str__(self) -> str:
        return f"estimate {self.version} of {self.job_id}"


class PricedLine(models.Model):
    """A line with a price: description, quantity in thousandths, unit price in ten-thousandths, amount in minor units."""

    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=10, choices=LineKind)
    description = models.CharField(max_length=300)
    quantity_thousandths = models.BigIntegerField(default=1000)
    unit = models.CharField(max_length=10, default="pc", help_text="h for hours, pc for pieces.")
    unit_price_ten_thousandths = models.BigIntegerField()
    amount_minor = models.BigIntegerField()
    net_minor = models.BigIntegerField(default=0, help_text="Without tax, EN 16931 BT-131.")
    rate = models.CharField(max_length=20, default="standard", help_text="Which of several rates of tax.")
    margin = models.BooleanField(default=False, help_text="Second-hand goods under the margin scheme.")
    part_state = models.CharField(max_length=9, choices=PartState, blank=True)
    under_warranty = models.BooleanField(default=False)

    class Meta:
        abstract = True
        ordering = ["position", "id"]

    @property
    def currency(self) -> str:
        """The currency of the paper that the line stands on."""
        raise NotImplementedError

    @property
    def unit_price(self) -> UnitPrice:
        """What one costs."""
        return UnitPrice(self.unit_price_ten_thousandths, self.currency)

    @property
    def amount(self) -> Money:
        """What the line comes to, as priced: with tax inside where the shop’s prices contain it."""
        return Money(self.amount_minor, self.currency)


class EstimateLine(PricedLine):
    estimate = models.ForeignKey(Estimate, on_delete=models.PROTECT, related_name="lines")
    accepted = models.BooleanField(null=True, blank=True)

    class Meta(PricedLine.Meta):
        constraints = [
            models.CheckConstraint(
                condition=Q(quantity_thousandths__gt=0), name="office_estimate_line_quantity"
            ),
            models.CheckConstraint(
                condition=Q(amount_minor__gte=0), name="office_estimate_line_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return self.description

    @property
    def currency(self) -> str:
        return self.estimate.currency


class Authorisation(models.Model):
    """The customer's answer, and how it was given: every item that 16 CCR 2722 asks for when it was oral. Append-only."""

    class Answer(models.TextChoices):
        YES = "yes", "Yes"
        PARTLY = "partly", "Yes, to part of it"
        UP_TO = "up_to", "Yes, up to a sum"
        DIAGNOSIS = "diagnosis", "Find the fault only"
        NO = "no", "No"

    class How(models.TextChoices):
        IN_PERSON = "in_person", "In person"
        PHONE = "phone", "By phone"
        WRITTEN = "written", "By letter or e-mail"
        SIGNED = "signed", "Name typed and ticked here"
        DRAWN = "drawn", "Signed on the screen here"
        WINDOW = "window", "On the customer's page"

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    estimate = models.ForeignKey(
        Estimate, on_delete=models.PROTECT, null=True, blank=True, related_name="authorisations"
    )
    answer = models.CharField(max_length=9, choices=Answer)
    how = models.CharField(max_length=9, choices=How)
    at = models.DateTimeField(default=now)
    given_by = models.CharField(max_length=160, help_text="Name of the person authorising.")
    phone_called = models.CharField(max_length=60, blank=True)
    received_by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    conditions = models.TextField(blank=True)
    additional_work = models.TextField(blank=True, help_text="The additional parts and labour.")
    additional_minor = models.BigIntegerField(default=0, help_text="Total additional cost before tax.")
    authorised_minor = models.BigIntegerField(default=0, help_text="What may be charged in all, before tax.")
    address_seen = models.GenericIPAddressField(null=True, blank=True)
    message = models.ForeignKey(StoredFile, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    drawing = models.ForeignKey(
        Picture,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="A drawn signature.",
    )

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(authorised_minor__gte=0), name="office_authorised_not_negative"
            ),
            models.CheckConstraint(condition=~Q(given_by=""), name="office_authorisation_names_a_person"),
        ]

    def __str__(self) -> str:
        return f"{self.get_answer_display()} ({self.get_how_display()})"


class Invoice(models.Model):
    """An invoice or a credit note, for one customer and one or more jobs. Drafted, issued once, then frozen.

    The number is taken at issue, in the issuing transaction; a draft has none. `facts` keeps everything the paper said: names,
    addresses, complaint, tax breakdown, authorisations.
    """

    class Kind(models.TextChoices):
        INVOICE = "invoice", "Invoice"
        CREDIT_NOTE = "credit_note", "Credit note"

    kind = models.CharField(max_length=11, choices=Kind, default=Kind.INVOICE)
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="+")
    jobs = models.ManyToManyField(Job, through="office.InvoiceJob", related_name="+")
    number = models.CharField(max_length=30, blank=True)
    year = models.PositiveSmallIntegerField(null=True, blank=True)
    sequence = models.PositiveIntegerField(null=True, blank=True)
    currency = models.CharField(max_length=3)
    corrects = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )
    drafted_at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    issued_at = models.DateTimeField(null=True, blank=True)
    issue_date = models.DateField(null=True, blank=True)
    due_date = models.DateField(null=True, blank=True)
    net_minor = models.BigIntegerField(default=0)
    tax_minor = models.BigIntegerField(default=0)
    total_minor = models.BigIntegerField(default=0)
    prepaid_minor = models.BigIntegerField(default=0, help_text="Deposits set against it when it was issued.")
    lump_sum = models.BooleanField(
        default=False, help_text="One price for the whole; parts are named without prices of their own."
    )
    facts = models.JSONField(default=dict, blank=True)
    note = models.TextField(blank=True)
    settled_at = models.DateTimeField(
        null=True,
        blank=True,
        help_text="When nothing was open on it any more; the one column that may change.",
    )
    paper = models.ForeignKey(IssuedPaper, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        indexes = [
            models.Index(fields=["customer", "-id"], name="office_invoice_of_customer"),
            models.Index(fields=["-issued_at"], name="office_invoice_issued"),
            models.Index(
                fields=["due_date", "id"],
                condition=Q(issued_at__isnull=False, settled_at__isnull=True),
                name="office_invoice_open",
            ),
            models.Index(fields=["issue_date", "id"], name="office_invoice_dated"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "year", "sequence"],
                condition=Q(issued_at__isnull=False),
                name="office_number_once",
            ),
            models.UniqueConstraint(
                fields=["number"], condition=~Q(number=""), name="office_printed_number_once"
            ),
            models.CheckConstraint(
                condition=Q(issued_at__isnull=True, number="")
                | Q(
                    issued_at__isnull=False,
                    year__isnull=False,
                    sequence__isnull=False,
                    issue_date__isnull=False,
                    paper__isnull=False,
                )
                & ~Q(number=""),
                name="office_issued_means_numbered_and_on_paper",
            ),
            models.CheckConstraint(
                condition=Q(total_minor=F("net_minor") + F("tax_minor")), name="office_total_adds_up"
            ),
            models.CheckConstraint(
                condition=Q(kind="invoice") | Q(corrects__isnull=False),
                name="office_credit_note_corrects_an_invoice",
            ),
        ]

    def __str__(self) -> str:
        return self.number or f"draft {self.pk}"

    @property
    def open(self) -> Money:
        """What is still owed, where the query that read the row has added up `paid`."""
        return Money(self.total_minor - getattr(self, "paid", 0), self.currency)


class InvoiceJob(models.Model):
    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="job_links")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["invoice", "job"], name="office_invoice_job_once")]

    def __str__(self) -> str:
        return f"{self.invoice_id}: {self.job_id}"


class InvoiceLine(PricedLine):
    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="lines")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    tax_category = models.CharField(max_length=3, blank=True)
    tax_percent = ExactDecimalField(null=True, blank=True)

    class Meta(PricedLine.Meta):
        constraints = [
            models.CheckConstraint(condition=~Q(quantity_thousandths=0), name="office_invoice_line_quantity")
        ]

    def __str__(self) -> str:
        return self.description

    @property
    def currency(self) -> str:
        return self.invoice.currency


class InvoiceTax(models.Model):
    """One category of the tax breakdown: rounded half up once per category."""

    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="taxes")
    category = models.CharField(max_length=3)
    name = models.CharField(max_length=60)
    percent = ExactDecimalField()
    base_minor = models.BigIntegerField()
    tax_minor = models.BigIntegerField()
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        verbose_name_plural = "invoice taxes"
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["invoice", "category", "percent", "name"], name="office_tax_category_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.percent} %"


class Payment(models.Model):
    """Money that came in (or went back, when negative). Append-only; a receipt is printed for each."""

    class Kind(models.TextChoices):
        DEPOSIT = "deposit", "Deposit"
        PAYMENT = "payment", "Payment"
        REFUND = "refund", "Refund"

    class How(models.TextChoices):
        CASH = "cash", "Cash"
        CARD = "card", "Card"
        TRANSFER = "transfer", "Bank transfer"
        CHEQUE = "cheque", "Cheque"
        OTHER = "other", "Other"

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=8, choices=Kind)
    how = models.CharField(max_length=8, choices=How)
    amount_minor = models.BigIntegerField(help_text="Negative for a refund.")
    currency = models.CharField(max_length=3)
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    reference = models.CharField(max_length=80, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="refund", amount_minor__lt=0) | (~Q(kind="refund") & Q(amount_minor__gt=0)),
                name="office_payment_has_a_sign",
                violation_error_message="A payment is more than nothing.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.amount_minor} {self.currency}"


class Allocation(models.Model):
    """Which part of a payment belongs to which job or invoice. Deposits lie on a job until an invoice takes them up."""

    payment = models.ForeignKey(Payment, on_delete=models.PROTECT, related_name="allocations")
    invoice = models.ForeignKey(
        Invoice, on_delete=models.PROTECT, null=True, blank=True, related_name="allocations"
    )
    job = models.ForeignKey(Job, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    amount_minor = models.BigIntegerField()
    at = models.DateTimeField(default=now)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(invoice__isnull=False) | Q(job__isnull=False),
                name="office_allocation_points_somewhere",
            ),
            models.CheckConstraint(condition=~Q(amount_minor=0), name="office_allocation_not_nothing"),
        ]

    def __str__(self) -> str:
        return f"{self.amount_minor} of payment {self.payment_id}"


class ReleaseUnpaid(models.Model):
    """Why a unit may leave with a balance open: a written reason by a named person. Append-only."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    reason = models.TextField()
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=now)

    class Meta:
        verbose_name_plural = "releases unpaid"
        constraints = [models.CheckConstraint(condition=~Q(reason=""), name="office_release_has_a_reason")]

    def __str__(self) -> str:
        return self.reason[:60]


class EInvoice(models.Model):
    """An issued invoice as data (EN 16931), made in the issuing act: Factur-X inside a PDF/A-3, and UBL. Append-only."""

    invoice = models.OneToOneField(Invoice, on_delete=models.PROTECT, related_name="einvoice")
    paper = models.ForeignKey(IssuedPaper, on_delete=models.PROTECT, related_name="+")
    ubl = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=now)

    class Meta:
        verbose_name = "e-invoice"

    def __str__(self) -> str:
        return f"e-invoice {self.invoice_id}"


class Letter(models.Model):
    """A letter that the office made: a statement, a reminder, a notice about a unit left here; and how it went."""

    class Kind(models.TextChoices):
        STATEMENT = "statement", "Statement"
        REMINDER = "reminder", "Reminder"
        COLLECT = "collect", "Notice to collect"
        SALE = "sale", "Notice of intention to sell"

    class Sent(models.TextChoices):
        HANDED = "handed", "Handed over"
        EMAIL = "email", "By e-mail"
        FIRST_CLASS = "first_class", "First-class mail"
        RECORDED = "recorded", "Recorded post"
        REGISTERED = "registered", "Registered letter"

    kind = models.CharField(max_length=10, choices=Kind)
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="+")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    invoice = models.ForeignKey(
        Invoice, on_delete=models.PROTECT, null=True, blank=True, related_name="letters"
    )
    level = models.PositiveSmallIntegerField(default=1, help_text="First, second, third reminder.")
    paper = models.ForeignKey(IssuedPaper, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    sent_on = models.DateField(null=True, blank=True)
    sent_how = models.CharField(max_length=11, choices=Sent, blank=True)
    received_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["at", "id"]
        indexes = [
            models.Index(fields=["customer", "-id"], name="office_letter_of_customer"),
            models.Index(fields=["job", "kind"], name="office_letter_of_job"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(received_on__isnull=True)
                | Q(sent_on__isnull=False, received_on__gte=F("sent_on")),
                name="office_letter_sent_before_received",
                violation_error_message="A letter is received after it was sent.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.pk}"


class LeftHere(models.Model):
    """What is known of a unit that nobody fetches, as the laws on unclaimed goods ask for it."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="+")
    stored_by_agreement = models.BooleanField(default=False)
    summary_signed = models.BooleanField(
        default=False, help_text="The owner signed at intake that the summary of the lien was read."
    )
    sign_posted = models.BooleanField(default=False, help_text="The sign was posted at intake.")
    disputed = models.BooleanField(default=False, help_text="The customer disputes the charges.")
    sale_day = models.DateField(null=True, blank=True)
    sale_place = models.CharField(max_length=200, blank=True, help_text="Time and place of the sale.")
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        verbose_name_plural = "left here"

    def __str__(self) -> str:
        return f"{self.job_id} left here"


class RepairForm(models.Model):
    """The repair information form of Directive (EU) 2024/1799, as given; its conditions stand. Append-only."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    defect = models.TextField()
    repair_kind = models.TextField(help_text="The type of repair suggested.")
    price_minor = models.BigIntegerField(help_text="The price, or the most that it can come to.")
    price_is_most = models.BooleanField(default=False)
    price_how = models.CharField(
        max_length=300, blank=True, help_text="How it is reckoned, where it isn’t fixed."
    )
    currency = models.CharField(max_length=3)
    days_needed = models.PositiveSmallIntegerField()
    replacement = models.CharField(max_length=300, help_text="A temporary replacement and its cost, or none.")
    handover_place = models.CharField(max_length=300)
    further_services = models.CharField(
        max_length=500, help_text="Removal, installation, transport with the cost of each, or none."
    )
    more = models.TextField(blank=True)
    given_at = models.DateTimeField()
    valid_until = models.DateField()
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    paper = models.ForeignKey(IssuedPaper, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["given_at", "id"]
        indexes = [models.Index(fields=["job", "given_at"], name="office_repair_form_of_job")]
        constraints = [
            models.CheckConstraint(condition=Q(price_minor__gte=0), name="office_form_price_not_negative")
        ]

    def __str__(self) -> str:
        return f"repair information form of {self.job_id}"
