"""Jobs: one stay of one unit each, with how it came, what came with it, and each step that it took."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from shop.counter.models.people import Customer
from shop.counter.models.units import Unit
from shop.counter.stages import END_WITH_OUTCOME, OPEN, HangsOn, Outcome, Stage
from shop.frame.clock import now
from shop.frame.guards import AppendOnly, never_deleted
from shop.frame.models import Staff
from shop.frame.whose_move import WhoseMove
from shop.keeping.models import IssuedPaper, Picture


class PackingState(models.TextChoices):
    """How a parcel's packing stood up to the road."""

    SOUND = "sound", "Sound"
    POOR = "poor", "Too weak, but the unit is whole"
    DAMAGED = "damaged", "Damaged"


class InboundParcel(models.Model):
    """A parcel on its way to the shop, or opened there. It may hold several units."""

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="inbound_parcels")
    carrier = models.CharField(max_length=60, blank=True)
    tracking = models.CharField(max_length=60, blank=True, db_index=True)
    announced_at = models.DateTimeField(default=now)
    arrived_at = models.DateTimeField(null=True, blank=True)
    opened_at = models.DateTimeField(null=True, blank=True)
    packing_state = models.CharField(max_length=10, blank=True, choices=PackingState)
    packing_note = models.TextField(blank=True)
    packing_kept_at = models.CharField(
        max_length=60, blank=True, help_text="Where box and cushion are kept for the way back."
    )
    locks_found = models.CharField(
        max_length=120, blank=True, help_text="Transport locks and screws that were in place."
    )

    class Meta:
        indexes = [
            models.Index(
                fields=["arrived_at"], condition=Q(opened_at__isnull=True), name="counter_parcel_unopened"
            ),
            models.Index(fields=["packing_state", "-opened_at"], name="counter_parcel_packing"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(opened_at__isnull=True) | Q(arrived_at__isnull=False),
                name="counter_parcel_arrives_then_opens",
            )
        ]

    def __str__(self) -> str:
        return self.tracking or f"parcel of {self.customer_id}"


class HowItCame(models.TextChoices):
    CARRIED_IN = "carried_in", "Carried in"
    PARCEL = "parcel", "By parcel"
    FETCHED = "fetched", "Picked up by the shop"
    OWN = "own", "The shop's own"


class Job(models.Model):
    """One stay of one unit. `stage` changes only through `shop.counter.moving.move`."""

    guard = never_deleted()

    number = models.CharField(max_length=16, unique=True)
    year = models.PositiveSmallIntegerField()
    sequence = models.PositiveIntegerField()
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="jobs")
    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="jobs")
    stage = models.CharField(max_length=14, choices=Stage, default=Stage.BOOKED_IN)
    stage_since = models.DateTimeField(default=now)
    whose_move = models.CharField(max_length=8, choices=WhoseMove, default=WhoseMove.BENCH)
    outcome = models.CharField(max_length=14, choices=Outcome, blank=True)
    complaint = models.TextField(help_text="In the customer's own words.")
    condition = models.TextField(blank=True)
    shelf = models.CharField(max_length=40, blank=True)
    how_it_came = models.CharField(max_length=10, choices=HowItCame, default=HowItCame.CARRIED_IN)
    inbound = models.ForeignKey(
        InboundParcel, on_delete=models.PROTECT, null=True, blank=True, related_name="jobs", db_index=False
    )
    currency = models.CharField(max_length=3)
    agreed_value_minor = models.BigIntegerField(null=True, blank=True)
    limit_minor = models.BigIntegerField(
        null=True, blank=True, help_text="Agreed beforehand: up to this, before tax."
    )
    bench_fee_minor = models.BigIntegerField(null=True, blank=True)
    wants_parts_back = models.BooleanField(
        default=False, help_text="Asked for the replaced parts when it was taken in."
    )
    accepted_by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    announced_at = models.DateTimeField(null=True, blank=True)
    booked_in_at = models.DateTimeField(null=True, blank=True)
    ready_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    answer_owed_since = models.DateTimeField(null=True, blank=True)
    part_owed_since = models.DateTimeField(null=True, blank=True)
    promised_for = models.DateField(null=True, blank=True)
    comeback_of = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="comebacks", db_index=False
    )

    class Meta:
        indexes = [
            # few jobs are open, however many there were: what is asked of them begins here
            models.Index(
                fields=["whose_move", "stage_since"], condition=Q(stage__in=OPEN), name="counter_job_open"
            ),
            models.Index(fields=["promised_for"], condition=Q(stage__in=OPEN), name="counter_job_promised"),
            models.Index(fields=["stage", "stage_since"], name="counter_job_stage_since"),
            models.Index(fields=["sequence"], name="counter_job_sequence"),
            # most have none: an index of all would be taken for one that finds nothing out
            models.Index(fields=["inbound"], condition=Q(inbound__isnull=False), name="counter_job_inbound"),
            models.Index(
                fields=["comeback_of"], condition=Q(comeback_of__isnull=False), name="counter_job_comeback"
            ),
            models.Index(fields=["unit", "-id"], name="counter_job_of_unit"),
            models.Index(fields=["customer", "-id"], name="counter_job_of_customer"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["year", "sequence"], name="counter_job_number_once"),
            models.CheckConstraint(condition=Q(stage__in=Stage.values), name="counter_job_stage_is_known"),
            models.CheckConstraint(
                condition=Q(stage__in=[Stage.EXPECTED, Stage.CALLED_OFF]) | Q(booked_in_at__isnull=False),
                name="counter_job_here_means_booked_in",
            ),
            models.CheckConstraint(
                condition=Q(stage__in=[s for s in Stage.values if s not in END_WITH_OUTCOME])
                | ~Q(outcome=""),
                name="counter_job_ended_has_outcome",
            ),
            models.CheckConstraint(
                condition=Q(agreed_value_minor__isnull=True) | Q(agreed_value_minor__gte=0),
                name="counter_job_value_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(limit_minor__isnull=True) | Q(limit_minor__gte=0),
                name="counter_job_limit_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(bench_fee_minor__isnull=True) | Q(bench_fee_minor__gte=0),
                name="counter_job_bench_fee_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return self.number


class AccessoryHere(models.Manager["Accessory"]):
    """What really came: without what was announced and wasn't in the box."""

    def get_queryset(self) -> models.QuerySet[Accessory]:
        """Those that are here."""
        return super().get_queryset().filter(missing_at=None)


class Accessory(models.Model):
    """Something that came with a unit: a cord, a remote, feet, a manual. It stands on a shelf of its own if it must."""

    objects = models.Manager()
    here = AccessoryHere()

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="accessories")
    name = models.CharField(max_length=120)
    stands_at = models.CharField(max_length=40, blank=True)
    missing_at = models.DateTimeField(
        null=True, blank=True, help_text="It was announced or written down, and is not here."
    )

    class Meta:
        verbose_name_plural = "accessories"

    def __str__(self) -> str:
        return self.name


class StageMove(models.Model):
    """One step of a job from stage to stage. Append-only; turnaround and waiting times are read from here."""

    guard = AppendOnly()

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="moves")
    from_stage = models.CharField(max_length=14, blank=True)
    to_stage = models.CharField(max_length=14)
    at = models.DateTimeField()
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        indexes = [models.Index(fields=["job", "at"], name="counter_move_of_job")]

    def __str__(self) -> str:
        return f"{self.from_stage} -> {self.to_stage}"


class Promise(models.Model):
    """A date that the customer was given, or that one was taken back. Append-only: each is held against what came."""

    class What(models.TextChoices):
        WORD = "word", "First word"
        READY = "ready", "Ready"

    Because = HangsOn

    guard = AppendOnly()

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="promises")
    what = models.CharField(max_length=5, choices=What)
    day = models.DateField(null=True, blank=True, help_text="Empty: the date was taken back.")
    because = models.CharField(max_length=8, choices=Because, blank=True)
    likely = models.DateField(null=True, blank=True, help_text="Even odds, by the forecast of the day.")
    safe = models.DateField(
        null=True, blank=True, help_text="Kept in about 85 %, by the forecast of the day."
    )
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        indexes = [
            models.Index(fields=["job", "what", "-id"], name="counter_promise_of_job"),
            models.Index(fields=["at"], name="counter_promise_at"),
        ]

    def __str__(self) -> str:
        return f"{self.get_what_display()} by {self.day}"


class JobPicture(models.Model):
    """A photograph of a job, and what it shows."""

    class Shows(models.TextChoices):
        INTAKE = "intake", "As it came in"
        PACKING = "packing", "The packing"
        BEFORE = "before", "Before"
        BENCH = "bench", "On the bench"
        AFTER = "after", "After"

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="pictures")
    picture = models.ForeignKey(Picture, on_delete=models.PROTECT, related_name="+")
    shows = models.CharField(max_length=8, choices=Shows, default=Shows.BENCH)
    caption = models.CharField(max_length=200, blank=True)
    pair = models.ForeignKey("self", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    in_report = models.BooleanField(default=False)
    for_customer = models.BooleanField(default=False)
    struck_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.caption or self.get_shows_display()


class JobPaper(models.Model):
    """Which issued papers speak of which jobs; a paper may cover several."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="papers")
    paper = models.ForeignKey(IssuedPaper, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "paper"], name="counter_job_paper_once")]

    def __str__(self) -> str:
        return f"{self.job_id}: {self.paper_id}"
