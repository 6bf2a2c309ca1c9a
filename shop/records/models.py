"""What the records keep besides the facts of the lower rooms: the search's own rows, and what people keep for searching."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from shop.counter.models import Job, Unit, UnitModel
from shop.counter.stages import Stage
from shop.frame.clock import now
from shop.frame.columns import RowIdField
from shop.frame.models import Staff


class SearchRow(models.Model):
    """One job as the search sees it. Narrow on purpose: what the filters count by stands in one short text.

    `id` runs in date order whatever order jobs were brought in, so the newest are found by id alone (`id_on`).
    """

    id = RowIdField(primary_key=True)
    job = models.OneToOneField(Job, on_delete=models.CASCADE, related_name="+")
    # the index below serves it
    model = models.ForeignKey(UnitModel, on_delete=models.PROTECT, related_name="+", db_index=False)
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
    All stand in one text, because ranking reads it of a thousand jobs (`shop.records.searching.rows.BETWEEN` parts it).
    Holds no customer name: customers are found in their own table.
    """

    row = models.OneToOneField(
        SearchRow, on_delete=models.CASCADE, primary_key=True, related_name="words", db_column="id"
    )
    words = models.TextField(
        help_text="Tokens and the words of serial and job number; then complaint, findings, conclusion, parts, marks."
    )

    class Meta:
        verbose_name_plural = "search words"

    def __str__(self) -> str:
        return f"words of {self.row_id}"


class SearchTexts(models.Model):
    """What the search shows of one job, as it was written: in one piece, so that a page of hits reads one row for each."""

    row = models.OneToOneField(
        SearchRow, on_delete=models.CASCADE, primary_key=True, related_name="texts", db_column="id"
    )
    shown = models.TextField(help_text="JSON; see `shop.records.searching.rows.shown_text`.")

    class Meta:
        verbose_name_plural = "search texts"

    def __str__(self) -> str:
        return f"texts of {self.row_id}"


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


class Batch(models.Model):
    """One spreadsheet of old jobs that is being brought in, step by step, or was."""

    class State(models.TextChoices):
        MATCHING = "matching", "Columns to be matched"
        RUNNING = "running", "Being imported"
        DONE = "done", "Imported"
        UNDONE = "undone", "Undone"

    name = models.CharField(max_length=200)
    file = models.FileField(upload_to="brought-in/%Y/%m")
    header = models.JSONField(default=list)
    header_row = models.PositiveIntegerField(
        default=1, help_text="The row of the sheet that holds the headings."
    )
    columns = models.JSONField(default=dict, help_text="Place of the column by what it holds.")
    outcome_words = models.JSONField(default=dict, help_text="What the list’s words for outcomes mean.")
    notices = models.JSONField(default=list, help_text="Sentences about how the file was read.")
    rows = models.PositiveIntegerField(default=0)
    done = models.PositiveIntegerField(default=0, help_text="Rows dealt with so far.")
    place = models.PositiveBigIntegerField(default=0, help_text="Where in the file the next row begins.")
    state = models.CharField(max_length=8, choices=State, default=State.MATCHING)
    made_at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        verbose_name_plural = "batches"

    def __str__(self) -> str:
        return self.name


class BroughtRow(models.Model):
    """One row of a batch: the job that it became, that it was here already, or why it could not be taken."""

    batch = models.ForeignKey(Batch, on_delete=models.CASCADE, related_name="outcomes")
    number = models.PositiveIntegerField(help_text="The row’s number in the sheet.")
    digest = models.CharField(
        max_length=64, db_index=True, help_text="Of what the row says: known again in any file."
    )
    job = models.ForeignKey(Job, on_delete=models.CASCADE, null=True, related_name="+")
    again = models.BooleanField(default=False, help_text="It had been brought in before.")
    sentence = models.CharField(max_length=300, blank=True, help_text="Why it was not taken.")
    taken_back_at = models.DateTimeField(null=True, blank=True)
    stage = models.CharField(
        max_length=14, choices=Stage, blank=True, help_text="Where the job stood when it came in."
    )
    provider = models.CharField(
        max_length=120, blank=True, help_text="Who published the row; blank for the shop’s own."
    )
    their_number = models.CharField(max_length=60, blank=True, help_text="The job’s number in the list.")
    category = models.CharField(
        max_length=60, blank=True, help_text="Product category of the Open Repair Data Standard."
    )
    barrier = models.CharField(
        max_length=120, blank=True, help_text="Why it was not repaired, by that standard."
    )
    country = models.CharField(
        max_length=3, blank=True, help_text="Where it was published: three letters, ISO 3166-1."
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["batch", "number"], name="records_brought_row_once"),
            models.UniqueConstraint(
                fields=["digest"],
                condition=Q(again=False, job__isnull=False),
                name="records_brought_job_once",
            ),
        ]

    def __str__(self) -> str:
        return f"row {self.number} of {self.batch_id}"


class OutcomeWord(models.Model):
    """What a word for an outcome means in the lists that this shop brings in, as somebody chose it."""

    word = models.CharField(max_length=120, primary_key=True, help_text="As its key is folded.")
    means = models.CharField(max_length=14)

    def __str__(self) -> str:
        return f"{self.word}: {self.means}"


class Library(models.Model):
    """Records that somebody else published, kept to be read beside the shop's own: no jobs, in no figure.

    A newer edition takes the place of the whole of an older one by the same publisher.
    """

    class State(models.TextChoices):
        CHOOSING = "choosing", "Categories to be chosen"
        READING = "reading", "Being read"
        READY = "ready", "Here to be asked"

    provider = models.CharField(max_length=120, help_text="Who published most of it.")
    attribution = models.CharField(max_length=200, help_text="What stands beside every record of it.")
    name = models.CharField(max_length=200, help_text="Of the file.")
    file = models.FileField(upload_to="libraries/%Y/%m")
    header = models.JSONField(default=list)
    header_row = models.PositiveIntegerField(default=1)
    columns = models.JSONField(default=dict)
    categories = models.JSONField(default=dict, help_text="How many rows each product category has.")
    chosen = models.JSONField(default=list, help_text="The categories that are kept.")
    rows = models.PositiveIntegerField(default=0)
    done = models.PositiveIntegerField(default=0)
    place = models.PositiveBigIntegerField(default=0, help_text="Where in the file the next row begins.")
    kept = models.PositiveIntegerField(default=0, help_text="Records that can be asked.")
    state = models.CharField(max_length=8, choices=State, default=State.CHOOSING)
    made_at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        verbose_name_plural = "libraries"

    def __str__(self) -> str:
        return self.provider


class Passage(models.Model):
    """One record of a library: a text beside the jobs that the search finds."""

    library = models.ForeignKey(Library, on_delete=models.CASCADE, related_name="passages")
    title = models.CharField(max_length=250)
    text = models.TextField()
    told = models.CharField(max_length=200, blank=True, help_text="How it ended, as far as it is said.")
    number = models.CharField(max_length=60, blank=True, help_text="The record’s own number.")
    day = models.DateField(null=True)
    words = models.TextField(help_text="Title and text as the search folds them.")

    def __str__(self) -> str:
        return self.title


class Merge(models.Model):
    """Two customers, units or models that were found to be one: what was moved, so that it can be taken back."""

    class Kind(models.TextChoices):
        CUSTOMER = "customer", "Customers"
        UNIT = "unit", "Units"
        MODEL = "model", "Models"

    kind = models.CharField(max_length=8, choices=Kind)
    gone_id = models.BigIntegerField(help_text="The one that is no longer offered.")
    kept_id = models.BigIntegerField()
    moved = models.JSONField(
        default=dict, help_text="Ids of the rows that point to the kept one now, by table and column."
    )
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    undone_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.kind} {self.gone_id} into {self.kept_id}"
