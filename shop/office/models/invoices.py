"""Invoices and credit notes. An issued one is frozen by the database itself."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from shop.counter.models import Customer, Job
from shop.frame.clock import now
from shop.frame.columns import ExactDecimalField
from shop.frame.guards import AppendOnly, Frozen, FrozenWith
from shop.frame.models import Staff
from shop.frame.seals import SaltField, Sealed
from shop.handbook.money import Money
from shop.keeping.models import IssuedPaper, StoredFile
from shop.office.models.lines import PricedLine

NOTHING_OPEN = """
    {row}.total_minor
    + COALESCE((SELECT SUM(note.total_minor) FROM office_invoice note
        WHERE note.corrects_id = {row}.id AND note.issued_at IS NOT NULL), 0)
    <= COALESCE((SELECT SUM(put.amount_minor) FROM office_allocation put WHERE put.invoice_id = {row}.id), 0)
"""
CREDITED = """
    EXISTS (SELECT 1 FROM office_invoice note WHERE note.corrects_id = {row}.id AND note.issued_at IS NOT NULL)
"""


class Invoice(models.Model):
    """An invoice or a credit note, for one customer and one or more jobs. Drafted, issued once, then frozen.

    The number is taken at issue, in the issuing transaction; a draft has none. `facts` keeps everything the paper said: names,
    addresses, complaint, tax breakdown, authorisations.
    """

    guard = Frozen(
        when="{row}.issued_at IS NOT NULL",
        movable=("settled_at", "taken_back_at"),
        once=(("settled_at", NOTHING_OPEN), ("taken_back_at", CREDITED)),
    )
    sealed = Sealed(personal=("facts", "note"))

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
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="corrected_by",
        db_index=False,
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
        help_text="When nothing was open on it any more.",
    )
    taken_back_at = models.DateTimeField(
        null=True, blank=True, help_text="When credit notes had taken back the whole of it."
    )
    left_out = models.JSONField(
        default=list,
        blank=True,
        help_text="Sources that somebody chose not to charge any more on this draft.",
    )
    typed_for = models.JSONField(
        default=list,
        blank=True,
        help_text="Of a draft over several jobs: which job each line that was typed by hand was first written for.",
    )
    paper = models.ForeignKey(IssuedPaper, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    seal_salt = SaltField()

    class Meta:
        indexes = [
            models.Index(fields=["customer", "-id"], name="office_invoice_of_customer"),
            models.Index(fields=["-issued_at"], name="office_invoice_issued"),
            models.Index(
                # the empty column first: without one to look up, SQLite prefers an index of all that are issued
                fields=["settled_at", "due_date", "id"],
                condition=Q(issued_at__isnull=False, settled_at__isnull=True),
                name="office_invoice_open",
            ),
            models.Index(fields=["issue_date", "id"], name="office_invoice_dated"),
            models.Index(
                fields=["corrects"], condition=Q(corrects__isnull=False), name="office_invoice_corrects"
            ),
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
    guard = FrozenWith(parent="office_invoice", through="invoice_id", when="{row}.issued_at IS NOT NULL")
    sealed = Sealed()

    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="job_links")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["invoice", "job"], name="office_invoice_job_once")]

    def __str__(self) -> str:
        return f"{self.invoice_id}: {self.job_id}"


class InvoiceLine(PricedLine):
    guard = FrozenWith(parent="office_invoice", through="invoice_id", when="{row}.issued_at IS NOT NULL")
    sealed = Sealed()

    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="lines")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    tax_category = models.CharField(max_length=3, blank=True)
    tax_percent = ExactDecimalField(null=True, blank=True)
    sources = models.JSONField(
        default=list, blank=True, help_text="What of the records it charges, see shop/office/charging.py."
    )
    takes_back = models.ForeignKey(
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="taken_back_by",
        help_text="On a credit note: the line that it takes back.",
    )

    class Meta(PricedLine.Meta):
        constraints = [
            models.CheckConstraint(condition=~Q(quantity_thousandths=0), name="office_invoice_line_quantity"),
            models.UniqueConstraint(
                fields=["takes_back"],
                condition=Q(takes_back__isnull=False),
                name="office_line_taken_back_once",
            ),
        ]

    def __str__(self) -> str:
        return self.description

    @property
    def currency(self) -> str:
        return self.invoice.currency


class InvoiceTax(models.Model):
    """One category of the tax breakdown: rounded half up once per category."""

    guard = FrozenWith(parent="office_invoice", through="invoice_id", when="{row}.issued_at IS NOT NULL")
    sealed = Sealed()

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


class EInvoice(models.Model):
    """An issued invoice as data (EN 16931), made in the issuing act: Factur-X inside a PDF/A-3, and UBL. Append-only."""

    guard = AppendOnly()
    sealed = Sealed(personal=("ubl",))

    invoice = models.OneToOneField(Invoice, on_delete=models.PROTECT, related_name="einvoice")
    paper = models.ForeignKey(IssuedPaper, on_delete=models.PROTECT, related_name="+")
    ubl = models.ForeignKey(
        StoredFile,
        on_delete=models.PROTECT,
        null=True,
        related_name="+",
        help_text="None once it was erased.",
    )
    at = models.DateTimeField(default=now)
    seal_salt = SaltField()

    class Meta:
        verbose_name = "e-invoice"

    def __str__(self) -> str:
        return f"e-invoice {self.invoice_id}"


class Charge(models.Model):
    """One thing from the records that an issued invoice charges: the ledger by which nothing is charged twice.

    Written when the invoice is issued. A credit note may set it free again, for another invoice. `line` is empty where
    somebody chose to charge nothing for it.
    """

    guard = Frozen(movable=("released_at", "released_by_id"))
    sealed = Sealed()

    class Source(models.TextChoices):
        STINT = "stint", "Bench time"
        PART = "part", "Part fitted"
        FLAT = "flat", "Flat price"
        FEE = "fee", "Bench fee"
        MINIMUM = "minimum", "Minimum charge"

    source = models.CharField(max_length=8, choices=Source)
    source_id = models.BigIntegerField()
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="charges")
    line = models.ForeignKey(
        InvoiceLine, on_delete=models.PROTECT, null=True, blank=True, related_name="charges"
    )
    at = models.DateTimeField(default=now)
    released_at = models.DateTimeField(null=True, blank=True)
    released_by = models.ForeignKey(
        Invoice, on_delete=models.PROTECT, null=True, blank=True, related_name="releases"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["source", "source_id"],
                condition=Q(released_at__isnull=True),
                name="office_charged_at_most_once",
            ),
            models.CheckConstraint(
                condition=Q(released_at__isnull=True, released_by__isnull=True)
                | Q(released_at__isnull=False, released_by__isnull=False),
                name="office_released_by_a_credit_note",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.source}:{self.source_id}"
