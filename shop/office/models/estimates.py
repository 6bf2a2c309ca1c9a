"""The price put to the customer, what was agreed about it, and the customer’s answer."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from shop.counter.models import Job
from shop.frame.clock import now
from shop.frame.guards import AppendOnly, Frozen, FrozenWith
from shop.frame.models import Staff
from shop.frame.seals import SaltField, Sealed
from shop.handbook.money import Money
from shop.keeping.models import IssuedPaper, Picture, StoredFile
from shop.office.models.lines import PricedLine
from shop.office.models.rules import FlatPrice


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


class Estimate(models.Model):
    """One version of the price put to the customer for one job. Once given it is frozen; a change makes the next version."""

    guard = Frozen(when="{row}.state <> 'draft'", movable=("state",))
    sealed = Sealed(personal=("note",))

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
    seal_salt = SaltField()

    class Meta:
        indexes = [models.Index(fields=["state", "given_at"], name="office_estimate_standing")]
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


class EstimateLine(PricedLine):
    guard = FrozenWith(
        parent="office_estimate", through="estimate_id", when="{row}.state <> 'draft'", movable=("accepted",)
    )
    sealed = Sealed()

    estimate = models.ForeignKey(Estimate, on_delete=models.PROTECT, related_name="lines")
    accepted = models.BooleanField(null=True, blank=True)
    gross_minor = models.BigIntegerField(
        null=True, blank=True, help_text="With its tax: what a consumer reads."
    )

    class Meta(PricedLine.Meta):
        constraints = [
            models.CheckConstraint(
                condition=Q(quantity_thousandths__gt=0) | Q(kind="discount"),
                name="office_estimate_line_quantity",
            ),
            models.CheckConstraint(
                condition=Q(amount_minor__gte=0) | Q(kind="discount"),
                name="office_estimate_line_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return self.description

    @property
    def currency(self) -> str:
        return self.estimate.currency

    @property
    def gross(self) -> Money:
        """What the line comes to with its tax."""
        return Money(self.amount_minor if self.gross_minor is None else self.gross_minor, self.currency)


class Authorisation(models.Model):
    """The customer's answer, what it does to what is agreed, and how it was given. Append-only: together they are a ledger.

    Every item that 16 CCR 2722 asks for when it was oral has its column.
    """

    guard = AppendOnly()
    sealed = Sealed(
        personal=(
            *("given_by", "phone_called", "conditions", "additional_work"),
            *("address_seen", "message", "drawing"),
        )
    )

    class Answer(models.TextChoices):
        YES = "yes", "Yes"
        PARTLY = "partly", "Yes, to part of it"
        MORE = "more", "Yes to more, on top of what is agreed"
        UP_TO = "up_to", "Yes, up to a sum in all"
        DIAGNOSIS = "diagnosis", "Find the fault only"
        NO = "no", "No to this estimate"
        WITHDRAWN = "withdrawn", "No repair: takes back what was agreed"

    NOES = (Answer.NO, Answer.WITHDRAWN)

    class How(models.TextChoices):
        IN_PERSON = "in_person", "In person"
        PHONE = "phone", "By phone"
        WRITTEN = "written", "By letter or e-mail"
        SIGNED = "signed", "Name typed and box checked here"
        DRAWN = "drawn", "Signed on the screen here"
        WINDOW = "window", "On the customer's page"

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    estimate = models.ForeignKey(
        Estimate, on_delete=models.PROTECT, null=True, blank=True, related_name="authorisations"
    )
    answer = models.CharField(max_length=9, choices=Answer)
    how = models.CharField(max_length=9, choices=How)
    at = models.DateTimeField(default=now)
    given_by = models.CharField(max_length=160, help_text="Name of the person authorizing.")
    phone_called = models.CharField(max_length=60, blank=True)
    received_by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    conditions = models.TextField(blank=True)
    additional_work = models.TextField(blank=True, help_text="The additional parts and labor.")
    additional_minor = models.BigIntegerField(default=0, help_text="Total additional cost before tax.")
    sum_minor = models.BigIntegerField(
        default=0, help_text="What the answer itself speaks of: the whole, what comes on top, or the limit."
    )
    authorised_minor = models.BigIntegerField(
        default=0, help_text="What may be charged in all after it, before tax."
    )
    begins_early = models.BooleanField(
        null=True,
        blank=True,
        help_text="At a distance: whether work was expressly asked for before the right to withdraw ends.",
    )
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
    seal_salt = SaltField()

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(authorised_minor__gte=0), name="office_authorised_not_negative"
            ),
            models.CheckConstraint(
                condition=~Q(given_by="") | Q(seal_salt=""), name="office_authorisation_names_a_person"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_answer_display()} ({self.get_how_display()})"

    @property
    def person(self) -> str:
        """Who gave it, as long as that is known."""
        return self.given_by or "name erased"
