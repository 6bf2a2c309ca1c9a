"""Letters to customers and the papers that laws ask for: reminders, units left here, the repair information form."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from shop.counter.models import Customer, Job
from shop.frame.clock import now
from shop.frame.guards import AppendOnly
from shop.frame.models import Staff
from shop.frame.seals import SaltField, Sealed
from shop.keeping.models import IssuedPaper
from shop.office.models.invoices import Invoice


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
        RECORDED = "recorded", "Certified or recorded mail"
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

    guard = AppendOnly()
    sealed = Sealed(personal=("defect", "handover_place", "more"))

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    defect = models.TextField()
    repair_kind = models.TextField(help_text="The type of repair suggested.")
    price_minor = models.BigIntegerField(help_text="The price, or the most that it can come to.")
    price_is_most = models.BooleanField(default=False)
    price_how = models.CharField(
        max_length=300, blank=True, help_text="How it is calculated, where it isn’t fixed."
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
    seal_salt = SaltField()

    class Meta:
        ordering = ["given_at", "id"]
        indexes = [models.Index(fields=["job", "given_at"], name="office_repair_form_of_job")]
        constraints = [
            models.CheckConstraint(condition=Q(price_minor__gte=0), name="office_form_price_not_negative")
        ]

    def __str__(self) -> str:
        return f"repair information form of {self.job_id}"
