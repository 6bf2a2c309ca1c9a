"""The facts that all rooms rest on: the shop, its people, its numbers and its journal."""

from __future__ import annotations

import uuid

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.db.models import Q
from django.utils.functional import cached_property

from shop.frame.guards import AppendOnly
from shop.frame.moments import now
from shop.handbook import law as laws


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


class Measures(models.TextChoices):
    METRIC = "metric", "Centimeters and kilograms"
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
    law_profile = models.CharField(max_length=12, choices=laws.names, default=laws.NONE.key)
    warranty_days = models.PositiveSmallIntegerField(default=90)
    payment_days = models.PositiveSmallIntegerField(default=14)
    owners_need_second_step = models.BooleanField(default=False)
    counter_needs_second_step = models.BooleanField(default=False)
    bench_needs_second_step = models.BooleanField(default=False)
    idle_hours_owner = models.PositiveSmallIntegerField(default=14)
    idle_hours_counter = models.PositiveSmallIntegerField(default=14)
    idle_hours_bench = models.PositiveSmallIntegerField(default=16)
    kept_hours = models.PositiveSmallIntegerField(
        default=72, help_text="How long a tablet keeps bench pages that it can open without network."
    )
    bench_fee_ten_thousandths = models.BigIntegerField(
        null=True, blank=True, help_text="What intake suggests for finding the fault, before tax."
    )
    asks_year = models.BooleanField(default=False, help_text="Intake asks for the year of make.")
    asks_address = models.BooleanField(
        default=False, help_text="Intake asks for the address of a customer who has none."
    )
    asks_first_word = models.BooleanField(
        default=False, help_text="Intake asks by when the customer hears what is wrong."
    )
    letters_wait = models.BooleanField(
        default=False, help_text="Letters go only once somebody has looked at them."
    )
    updated_at = models.DateTimeField(default=now)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="frame_one_shop_profile")]

    def __str__(self) -> str:
        return self.name

    @property
    def roles_with_second_step(self) -> frozenset[str]:
        """The roles that the second step at sign-in is required of."""
        needed = {
            Role.OWNER: self.owners_need_second_step,
            Role.COUNTER: self.counter_needs_second_step,
            Role.BENCH: self.bench_needs_second_step,
        }
        return frozenset(str(role) for role, is_needed in needed.items() if is_needed)

    @property
    def law(self) -> laws.LawProfile:
        """The law profile whose lines and notices the papers carry. An aid: the shop checks its local rules."""
        profile = laws.profile_named(self.law_profile)
        return profile.within(self.country, vat_registered=bool(self.tax_number))


class NumberSeries(models.Model):
    """The next number of one series in one year. Taken inside the issuing transaction, so a rollback leaves no gap."""

    name = models.CharField(max_length=20)
    year = models.PositiveSmallIntegerField()
    next_value = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["name", "year"], name="frame_one_series_a_year"),
            models.CheckConstraint(condition=Q(next_value__gte=1), name="frame_series_from_one"),
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
        constraints = [models.CheckConstraint(condition=Q(id=1), name="frame_one_journal_head")]

    def __str__(self) -> str:
        return f"journal at {self.sequence}"


class JournalEntry(models.Model):
    """Who did what, when. Append-only by trigger; each entry carries the digest of the one before.

    Holds ids, stage names, sums and hashes; never a name, an address or free text, so that a person can be forgotten and the
    chain still holds. The wording is made when shown.
    """

    guard = AppendOnly()

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
            models.Index(fields=["subject_type", "subject_id", "sequence"], name="frame_journal_subject"),
            models.Index(fields=["verb", "sequence"], name="frame_journal_verb"),
        ]
        verbose_name_plural = "journal entries"

    def __str__(self) -> str:
        return f"{self.sequence} {self.verb}"


class JournalTouch(models.Model):
    """Which jobs an entry touches. The job's id is a plain number: jobs stand a floor above."""

    guard = AppendOnly()

    entry = models.ForeignKey(JournalEntry, on_delete=models.PROTECT, related_name="touches")
    job_id = models.BigIntegerField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["entry", "job_id"], name="frame_touch_once")]
        indexes = [models.Index(fields=["job_id", "entry"], name="frame_touch_job")]
        verbose_name_plural = "journal touches"

    def __str__(self) -> str:
        return f"{self.entry_id} -> job {self.job_id}"


class OnceKey(models.Model):
    """A form or a bench entry that has been taken: the same key is never taken twice (double click, outbox sent again)."""

    key = models.UUIDField(primary_key=True)
    verb = models.CharField(max_length=60)
    result_type = models.CharField(max_length=60, blank=True)
    result_id = models.BigIntegerField(null=True)
    taken_at = models.DateTimeField(default=now)

    def __str__(self) -> str:
        return f"{self.verb} {self.key}"


class NewsSeen(models.Model):
    """A piece of news that a member of staff has seen."""

    staff = models.ForeignKey(Staff, on_delete=models.CASCADE, related_name="+")
    key = models.CharField(max_length=80)
    at = models.DateTimeField(default=now)

    class Meta:
        verbose_name_plural = "news seen"
        constraints = [models.UniqueConstraint(fields=["staff", "key"], name="frame_news_seen_once")]

    def __str__(self) -> str:
        return self.key
