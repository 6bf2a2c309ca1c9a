"""What the shop keeps: pictures, files, papers as they were issued, letters, what each night's check found, and long work."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from shop.frame.clock import day_of, now
from shop.frame.guards import Frozen
from shop.frame.models import Staff
from shop.frame.seals import Sealed


class Picture(models.Model):
    """A photograph, upright, without place or camera data, with two smaller copies beside it."""

    file = models.FileField(upload_to="pictures/%Y/%m")
    medium = models.FileField(upload_to="pictures/%Y/%m", blank=True)
    thumbnail = models.FileField(upload_to="pictures/%Y/%m", blank=True)
    sha256 = models.CharField(max_length=64, db_index=True)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    marks = models.JSONField(
        default=list, blank=True, help_text="What is drawn over it, in fractions of the picture."
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

    guard = Frozen(movable=("file", "deleted_at"))
    sealed = Sealed()

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
    journal_entry = models.PositiveBigIntegerField(
        default=0, help_text="The journal’s newest entry when it was made, where the paper itself says so."
    )
    journal_digest = models.CharField(max_length=64, blank=True, help_text="The digest of that entry.")

    class Meta:
        indexes = [models.Index(fields=["kind", "number"], name="keeping_paper_kind_number")]

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
    held_at = models.DateTimeField(
        null=True, blank=True, help_text="It waits until somebody has looked at it."
    )

    class Meta:
        indexes = [models.Index(fields=["sent_at", "written_at"], name="keeping_outbox_due")]
        constraints = [
            models.CheckConstraint(
                condition=Q(sent_at__isnull=True) | Q(sent_at__gte=F("written_at")),
                name="keeping_sent_after_written",
            )
        ]

    def __str__(self) -> str:
        return f"to {self.to}: {self.subject}"


class MailServer(models.Model):
    """The server that letters are sent through, where the environment names none. One row, id 1; the password lies apart."""

    class Security(models.TextChoices):
        STARTTLS = "starttls", "STARTTLS"
        TLS = "tls", "TLS from the start"
        NONE = "none", "None"

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    host = models.CharField(max_length=253)
    port = models.PositiveIntegerField()
    security = models.CharField(max_length=8, choices=Security, default=Security.STARTTLS)
    user = models.CharField(max_length=254, blank=True)
    sender = models.EmailField(blank=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="keeping_one_mail_server")]

    def __str__(self) -> str:
        return f"{self.host}:{self.port}"


class LetterText(models.Model):
    """The shop's own words for a kind of letter, with their fields open; without a row the program's stand."""

    kind = models.CharField(max_length=30, unique=True)
    subject = models.CharField(max_length=200)
    body = models.TextField()
    changed_at = models.DateTimeField(default=now)

    def __str__(self) -> str:
        return self.kind


class NightlyReport(models.Model):
    """What one night's check of the shop's own books found; `faults` are sentences, none on a good night."""

    at = models.DateTimeField(default=now, db_index=True)
    milliseconds = models.PositiveIntegerField()
    entries = models.PositiveBigIntegerField(help_text="Journal entries whose chain was walked.")
    digest = models.CharField(
        max_length=64, blank=True, help_text="Of the last of them, as it was that night."
    )
    faults = models.JSONField(default=list, blank=True)
    notes = models.JSONField(default=list, blank=True)

    def __str__(self) -> str:
        return f"night of {day_of(self.at)}"


class Task(models.Model):
    """Long work that somebody asked for, or the clock: how far it is, who does it until when, and what came of it."""

    class State(models.TextChoices):
        WAITING = "waiting", "Waiting"
        RUNNING = "running", "Being done"
        DONE = "done", "Done"
        FAILED = "failed", "Failed"
        STOPPED = "stopped", "Stopped"

    OPEN = (State.WAITING, State.RUNNING)
    OVER = (State.DONE, State.FAILED, State.STOPPED)

    kind = models.CharField(max_length=40)
    title = models.CharField(max_length=200, blank=True)
    about = models.JSONField(default=dict, blank=True)
    same = models.CharField(max_length=80, blank=True, help_text="Of these one is open at a time.")
    slot = models.CharField(
        max_length=80,
        null=True,
        blank=True,
        unique=True,
        help_text="What the clock asked for once, such as a night.",
    )
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+", db_index=False)
    asked_at = models.DateTimeField(default=now)
    due_at = models.DateTimeField(default=now)
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    tries = models.PositiveSmallIntegerField(default=0)
    done = models.PositiveBigIntegerField(default=0)
    done_before = models.PositiveBigIntegerField(default=0, help_text="When this try began.")
    total = models.PositiveBigIntegerField(default=0)
    place = models.JSONField(default=dict, blank=True, help_text="Where it goes on.")
    line = models.CharField(max_length=300, blank=True, help_text="What was said of it last.")
    result = models.JSONField(default=dict, blank=True)
    holder = models.CharField(max_length=32, blank=True, help_text="Who does it; a new name at each claim.")
    held_until = models.DateTimeField(null=True, blank=True)
    stop_asked_at = models.DateTimeField(null=True, blank=True)
    began_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    told_at = models.DateTimeField(null=True, blank=True, help_text="Who asked has read of its end.")

    class Meta:
        # the states are written out: inside Meta the names of the class around it are not known
        indexes = [
            models.Index(
                fields=["due_at"], condition=Q(state__in=["waiting", "running"]), name="keeping_task_open"
            ),
            models.Index(
                fields=["by"],
                condition=Q(told_at__isnull=True, state__in=["done", "failed", "stopped"]),
                name="keeping_task_untold",
            ),
            models.Index(fields=["by", "-id"], name="keeping_task_of_staff"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["same"],
                condition=Q(state__in=["waiting", "running"]) & ~Q(same=""),
                name="keeping_one_task_of_the_same",
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.pk}: {self.state}"
