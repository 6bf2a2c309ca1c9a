"""What the records keep besides the facts of the lower rooms: the search's own rows, and what people keep for searching."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from shop.counter.models import Job, Unit, UnitModel
from shop.premises.clock import now
from shop.premises.models import Staff


class SearchRow(models.Model):
    """One job as the search sees it. Narrow on purpose: what the filters count by stands in one short text.

    `id` runs in date order whatever order jobs were brought in, so the newest are found by id alone (`id_on`).
    """

    id = models.BigIntegerField(primary_key=True)
    job = models.OneToOneField(Job, on_delete=models.CASCADE, related_name="+")
    model = models.ForeignKey(UnitModel, on_delete=models.PROTECT, related_name="+")
    facets = models.CharField(
        max_length=80, help_text="Model, kind, failure mode, outcome and year, with dots."
    )

    class Meta:
        indexes = [models.Index(fields=["model", "-id"], name="records_row_of_model")]

    def __str__(self) -> str:
        return f"search row of {self.job_id}"


class SearchWords(models.Model):
    """The words of one job as the handbook folds, stems and expands them, by where they stand, and its tokens.

    A token (`m_12`, `t_radio`) stands for a fact that the filters ask for; it holds an underscore, which no word does.
    Holds no customer name: customers are found in their own table.
    """

    row = models.OneToOneField(
        SearchRow, on_delete=models.CASCADE, primary_key=True, related_name="words", db_column="id"
    )
    tokens = models.TextField()
    complaint = models.TextField(blank=True)
    findings = models.TextField(blank=True)
    conclusion = models.TextField(blank=True)
    parts = models.TextField(blank=True)
    marks = models.TextField(blank=True, help_text="Serial, evidence markings, date stamps, job number.")

    class Meta:
        verbose_name_plural = "search words"

    def __str__(self) -> str:
        return f"words of {self.row_id}"


class Term(models.Model):
    """A word of the history, in how many jobs it stands, and how somebody wrote it: for ranking and near misses."""

    word = models.CharField(max_length=44, primary_key=True)
    documents = models.PositiveIntegerField()
    written = models.CharField(max_length=44)

    class Meta:
        indexes = [models.Index(fields=["word", "documents"], name="records_term_counted")]

    def __str__(self) -> str:
        return f"{self.word}: {self.documents}"


class SearchState(models.Model):
    """How many jobs the search holds and how long they are in sum; how far a rebuilding has come. One row, id 1."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    documents = models.PositiveBigIntegerField(default=0)
    words = models.PositiveBigIntegerField(default=0)
    version = models.PositiveSmallIntegerField(default=0, help_text="Of the folding that made the rows.")
    built_to = models.BigIntegerField(
        null=True, blank=True, help_text="Last job of a rebuilding that is not done; empty when whole."
    )

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="records_one_search_state")]

    def __str__(self) -> str:
        return f"{self.documents} jobs"


class KnownSerial(models.Model):
    """A unit's serial number as it is folded, for finding it by a part of it."""

    unit = models.OneToOneField(Unit, on_delete=models.CASCADE, primary_key=True, related_name="+")
    serial = models.CharField(max_length=80)

    def __str__(self) -> str:
        return self.serial


class Synonym(models.Model):
    """Words of the shop's own that mean the same; they join the handbook's table."""

    words = models.CharField(max_length=300, help_text="Separated by commas: cap, capacitor, condenser")
    added_at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    def __str__(self) -> str:
        return self.words


class SavedSearch(models.Model):
    """A question that somebody asks again and again; `query` is the search page's query string."""

    name = models.CharField(max_length=80)
    query = models.CharField(max_length=400)
    staff = models.ForeignKey(Staff, on_delete=models.CASCADE, related_name="+")
    saved_at = models.DateTimeField(default=now)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["staff", "name"], name="records_saved_search_name_once")
        ]

    def __str__(self) -> str:
        return self.name
