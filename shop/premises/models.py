"""The facts of the shop itself, and the constraints the database enforces on them."""

from __future__ import annotations

import uuid

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.db.models import F, Q
from django.utils.functional import cached_property

from shop.premises.clock import now


class Role(models.TextChoices):
    """What a member of staff may do. An owner may do everything."""

    COUNTER = "counter", "Counter"
    BENCH = "bench", "Bench"
    OWNER = "owner", "Owner"


class Staff(AbstractUser):
    """Someone who works in the shop. Roles are groups named after `Role`; papers name the person or the employee number."""

    employee_number = models.CharField(max_length=20, blank=True)

    class Meta(AbstractUser.Meta):
        verbose_name = "member of staff"
        verbose_name_plural = "staff"

    @cached_property
    def roles(self) -> frozenset[str]:
        """The names of this person's roles; one query, kept for the life of the object."""
        return frozenset(self.groups.values_list("name", flat=True))

    @property
    def is_owner(self) -> bool:
        """Whether this person may do everything."""
        return self.is_superuser or Role.OWNER in self.roles

    def has_role(self, *roles: str) -> bool:
        """True for any of the roles, and always for an owner."""
        return self.is_owner or not self.roles.isdisjoint(roles)

    @property
    def signature(self) -> str:
        """How papers name this person: full name and employee number, whichever is known (16 CCR 2721(f), 2725(m))."""
        name = self.get_full_name() or self.username
        return f"{name} ({self.employee_number})" if self.employee_number else name


class PaperSize(models.TextChoices):
    A4 = "A4", "A4"
    LETTER = "Letter", "Letter"


class LawProfile(models.TextChoices):
    """Which required lines and notices the papers carry. An aid: the shop checks its local rules."""

    CALIFORNIA = "california", "California"
    US = "us", "United States, general"
    EU = "eu", "European Union"
    UK = "uk", "United Kingdom"
    NONE = "none", "None"


class Measures(models.TextChoices):
    METRIC = "metric", "Centimetres and kilograms"
    IMPERIAL = "imperial", "Inches and pounds"


class ShopProfile(models.Model):
    """The shop as its papers name it. One row, id 1."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    name = models.CharField(max_length=120)
    owner_name = models.CharField(max_length=120, blank=True)
    address = models.TextField(help_text="As it stands on a letter, one line a line.")
    country = models.CharField(max_length=2, default="US", help_text="ISO 3166 two-letter code.")
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    web_address = models.URLField(
        blank=True, help_text="The address a customer's or the bench's camera opens from a QR code."
    )
    registration_label = models.CharField(max_length=80, blank=True)
    registration_number = models.CharField(max_length=40, blank=True)
    tax_number = models.CharField(max_length=40, blank=True)
    currency = models.CharField(max_length=3, default="USD")
    language = models.CharField(
        max_length=10, default="en-US", help_text="BCP 47 tag; dates and money follow it."
    )
    time_zone = models.CharField(max_length=60, default="UTC")
    paper_size = models.CharField(max_length=6, choices=PaperSize, default=PaperSize.LETTER)
    measures = models.CharField(max_length=8, choices=Measures, default=Measures.IMPERIAL)
    line_voltage = models.PositiveSmallIntegerField(default=120)
    line_frequency = models.PositiveSmallIntegerField(default=60)
    law_profile = models.CharField(max_length=12, choices=LawProfile, default=LawProfile.NONE)
    warranty_days = models.PositiveSmallIntegerField(default=90)
    payment_days = models.PositiveSmallIntegerField(default=14)
    logo = models.ForeignKey(
        "premises.Picture", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    owners_need_second_step = models.BooleanField(default=False)
    updated_at = models.DateTimeField(default=now)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="premises_one_shop_profile")]

    def __str__(self) -> str:
        return self.name


class Terms(models.Model):
    """The shop's own terms from a date on; what stood on a claim check can be told for any day."""

    from_date = models.DateField(unique=True)
    text = models.TextField()
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["-from_date"]
        verbose_name_plural = "terms"

    def __str__(self) -> str:
        return f"Terms from {self.from_date}"


class LabelStock(models.Model):
    """The labels that the shop has in its printers. One row, id 1; lengths in tenths of a millimetre."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    sheet = models.CharField(
        max_length=20, blank=True, help_text="Code of the label sheet; empty until chosen."
    )
    shift_x_tenths = models.SmallIntegerField(
        default=0, help_text="What is printed is moved that far to the right."
    )
    shift_y_tenths = models.SmallIntegerField(default=0, help_text="And that far down.")
    roll_width_tenths = models.PositiveSmallIntegerField(default=620)
    roll_height_tenths = models.PositiveSmallIntegerField(default=290)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="premises_one_label_stock")]
        verbose_name_plural = "label stock"

    def __str__(self) -> str:
        return self.sheet or "no label sheet"


class NumberSeries(models.Model):
    """The next number of one series in one year. Taken inside the issuing transaction, so a rollback leaves no gap."""

    name = models.CharField(max_length=20)
    year = models.PositiveSmallIntegerField()
    next_value = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["name", "year"], name="premises_one_series_a_year"),
            models.CheckConstraint(condition=Q(next_value__gte=1), name="premises_series_from_one"),
        ]
        verbose_name_plural = "number series"

    def __str__(self) -> str:
        return f"{self.name} {self.year}: {self.next_value}"

    @property
    def label(self) -> str:
        """The series as a person calls it: “Credit note”."""
        return self.name.replace("_", " ").capitalize()


class JournalHead(models.Model):
    """The last link of the journal's chain. One row, id 1: the lock that every action takes last."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    sequence = models.PositiveBigIntegerField(default=0)
    digest = models.CharField(max_length=64, blank=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="premises_one_journal_head")]

    def __str__(self) -> str:
        return f"journal at {self.sequence}"


class JournalEntry(models.Model):
    """Who did what, when. Append-only by trigger; each entry carries the digest of the one before.

    Holds ids, stage names, sums and hashes; never a name, an address or free text, so that a person can be forgotten and the
    chain still holds. The wording is made when shown.
    """

    sequence = models.PositiveBigIntegerField(primary_key=True)
    at = models.DateTimeField()
    act = models.UUIDField(default=uuid.uuid4, help_text="Shared by all entries of one action.")
    staff = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    verb = models.CharField(max_length=60)
    subject_type = models.CharField(max_length=60, blank=True)
    subject_id = models.BigIntegerField(null=True)
    data = models.JSONField(default=dict)
    previous = models.CharField(max_length=64, blank=True)
    digest = models.CharField(max_length=64, unique=True)

    class Meta:
        indexes = [
            models.Index(fields=["subject_type", "subject_id", "sequence"], name="premises_journal_subject"),
            models.Index(fields=["verb", "sequence"], name="premises_journal_verb"),
        ]
        verbose_name_plural = "journal entries"

    def __str__(self) -> str:
        return f"{self.sequence} {self.verb}"


class JournalTouch(models.Model):
    """Which jobs an entry touches. The job's id is a plain number: jobs stand a floor above."""

    entry = models.ForeignKey(JournalEntry, on_delete=models.PROTECT, related_name="touches")
    job_id = models.BigIntegerField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["entry", "job_id"], name="premises_touch_once")]
        indexes = [models.Index(fields=["job_id", "entry"], name="premises_touch_job")]
        verbose_name_plural = "journal touches"

    def __str__(self) -> str:
        return f"{self.entry_id} -> job {self.job_id}"


class Picture(models.Model):
    """A photograph, upright, without place or camera data, with two smaller copies beside it."""

    file = models.FileField(upload_to="pictures/%Y/%m")
    medium = models.FileField(upload_to="pictures/%Y/%m", blank=True)
    thumbnail = models.FileField(upload_to="pictures/%Y/%m", blank=True)
    sha256 = models.CharField(max_length=64, db_index=True)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    marks = models.JSONField(
        default=list, blank=True, help_text="Arrows and circles, in fractions of the picture."
    )
    added_at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    def __str__(self) -> str:
        return str(self.file.name)


class StoredFile(models.Model):
    """A file that is no photograph: a service manual, a data sheet, a written message."""

    file = models.FileField(upload_to="files/%Y/%m")
    name = models.CharField(max_length=200)
    media_type = models.CharField(max_length=100)
    sha256 = models.CharField(max_length=64, db_index=True)
    size = models.PositiveBigIntegerField()
    added_at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    def __str__(self) -> str:
        return self.name


class IssuedPaper(models.Model):
    """A paper as it was issued: stored once with its hash and never drawn again.

    After its retention year the file is deleted and `deleted_at` set; the hash stays.
    """

    kind = models.CharField(max_length=30)
    number = models.CharField(max_length=60)
    title = models.CharField(max_length=200)
    language = models.CharField(max_length=10)
    file = models.FileField(upload_to="papers/%Y/%m", blank=True)
    sha256 = models.CharField(max_length=64)
    size = models.PositiveIntegerField()
    issued_at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    keep_until = models.DateField(null=True, blank=True)
    deleted_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [models.Index(fields=["kind", "number"], name="premises_paper_kind_number")]

    def __str__(self) -> str:
        return f"{self.kind} {self.number}"


class Message(models.Model):
    """A letter by e-mail in the outbox: written in the action's transaction, sent afterwards, tried again until it went."""

    to = models.EmailField()
    subject = models.CharField(max_length=200)
    body = models.TextField()
    paper = models.ForeignKey(IssuedPaper, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    written_at = models.DateTimeField(default=now)
    tries = models.PositiveSmallIntegerField(default=0)
    last_error = models.CharField(max_length=300, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    set_aside_at = models.DateTimeField(
        null=True, blank=True, help_text="Somebody decided that it is not to be sent."
    )

    class Meta:
        indexes = [models.Index(fields=["sent_at", "written_at"], name="premises_outbox_due")]
        constraints = [
            models.CheckConstraint(
                condition=Q(sent_at__isnull=True) | Q(sent_at__gte=F("written_at")),
                name="premises_sent_after_written",
            )
        ]

    def __str__(self) -> str:
        return f"to {self.to}: {self.subject}"


class NightlyReport(models.Model):
    """What one night's check of the shop's own books found; `faults` are sentences, none on a good night."""

    at = models.DateTimeField(default=now, db_index=True)
    milliseconds = models.PositiveIntegerField()
    entries = models.PositiveBigIntegerField(help_text="Journal entries whose chain was walked.")
    faults = models.JSONField(default=list, blank=True)
    notes = models.JSONField(default=list, blank=True)

    def __str__(self) -> str:
        return f"night of {self.at:%Y-%m-%d}"


class SignInTry(models.Model):
    """Wrong passwords lately, by name and address: each one makes the next try wait longer, and nobody is locked out."""

    key = models.CharField(max_length=64, unique=True)
    failures = models.PositiveSmallIntegerField(default=0)
    last_at = models.DateTimeField(default=now)

    class Meta:
        verbose_name_plural = "sign-in tries"

    def __str__(self) -> str:
        return f"{self.failures} wrong"


class OnceKey(models.Model):
    """A form or a bench entry that has been taken: the same key is never taken twice (double click, outbox sent again)."""

    key = models.UUIDField(primary_key=True)
    verb = models.CharField(max_length=60)
    result_type = models.CharField(max_length=60, blank=True)
    result_id = models.BigIntegerField(null=True)
    taken_at = models.DateTimeField(default=now)

    def __str__(self) -> str:
        return f"{self.verb} {self.key}"
