"""Customers, makers, models with what is known of them, units, and jobs: one stay of one unit each."""

from __future__ import annotations

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import F, Q

from shop.counter.stages import OUTCOMES_BY_STAGE, Outcome, Stage, WhoseMove
from shop.premises.clock import now
from shop.premises.columns import ExactDecimalField
from shop.premises.models import IssuedPaper, Picture, Staff, StoredFile


class TaxStanding(models.TextChoices):
    """How tax applies to a customer; the office's rules read it."""

    ORDINARY = "ordinary", "Taxed as usual"
    EXEMPT = "exempt", "Exempt"
    REVERSE_CHARGE = "reverse_charge", "Reverse charge"


class Customer(models.Model):
    """Somebody who owns units. `is_shop` is the shop itself, owner of its own and its donor units."""

    name = models.CharField(max_length=160)
    organisation = models.CharField(max_length=160, blank=True)
    address = models.TextField(blank=True, help_text="As typed; printed as typed.")
    country = models.CharField(
        max_length=2, blank=True, help_text="ISO 3166 code where it is not the shop's own."
    )
    phone = models.CharField(max_length=60, blank=True)
    email = models.EmailField(blank=True)
    note = models.TextField(blank=True)
    search_key = models.CharField(
        max_length=400, blank=True, db_index=True, help_text="Folded name and organisation."
    )
    phone_digits = models.CharField(max_length=40, blank=True, db_index=True)
    tax_standing = models.CharField(max_length=16, choices=TaxStanding, default=TaxStanding.ORDINARY)
    tax_number = models.CharField(max_length=40, blank=True)
    is_shop = models.BooleanField(default=False)
    merged_into = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="merged"
    )
    forgotten_at = models.DateTimeField(null=True, blank=True)
    added_at = models.DateTimeField(default=now)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["is_shop"], condition=Q(is_shop=True), name="counter_one_shop_customer"
            ),
            models.CheckConstraint(
                condition=Q(merged_into__isnull=True) | ~Q(merged_into=F("id")),
                name="counter_customer_not_into_itself",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.organisation})" if self.organisation else self.name


class Maker(models.Model):
    name = models.CharField(max_length=120)
    folded = models.CharField(max_length=120, unique=True)
    merged_into = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="merged"
    )

    def __str__(self) -> str:
        return self.name


class Kind(models.TextChoices):
    """What kind of unit a model is. Failure shares and the open repair categories hang on it."""

    AMPLIFIER = "amplifier", "Amplifier"
    RECEIVER = "receiver", "Receiver"
    TUNER = "tuner", "Tuner"
    TAPE_DECK = "tape_deck", "Tape deck"
    TURNTABLE = "turntable", "Turntable"
    CD_PLAYER = "cd_player", "CD player"
    LOUDSPEAKER = "loudspeaker", "Loudspeaker"
    GUITAR_AMP = "guitar_amp", "Guitar amplifier"
    SYNTHESIZER = "synthesizer", "Synthesizer or keyboard"
    EFFECT = "effect", "Effect or mixer"
    RADIO = "radio", "Radio"
    TELEVISION = "television", "Television or display"
    INSTRUMENT = "instrument", "Test instrument"
    POWER_SUPPLY = "power_supply", "Power supply"
    COMPUTER = "computer", "Computer"
    OTHER = "other", "Other"


class ProtectionClass(models.TextChoices):
    """IEC 61140 protection classes, as far as the bench sees them."""

    I = "I", "Class I (earthed, three prongs)"  # noqa: E741
    II = "II", "Class II (double insulated, two prongs)"
    III = "III", "Class III (safety extra-low voltage)"
    UNKNOWN = "?", "Not known yet"


class UnitModel(models.Model):
    """A model: the head of its model file. `folded` is the model number as the search folds it."""

    maker = models.ForeignKey(Maker, on_delete=models.PROTECT, related_name="models")
    name = models.CharField(max_length=120)
    folded = models.CharField(max_length=120)
    kind = models.CharField(max_length=16, choices=Kind, default=Kind.OTHER)
    family = models.CharField(max_length=80, blank=True, help_text="Series that shares most of its circuits.")
    twins = models.ManyToManyField("self", blank=True, help_text="The same chassis under another name.")
    built_from = models.DateField(null=True, blank=True)
    built_to = models.DateField(null=True, blank=True)
    mains = models.BooleanField(default=True)
    protection_class = models.CharField(
        max_length=3, choices=ProtectionClass, default=ProtectionClass.UNKNOWN
    )
    traits = models.JSONField(default=list, blank=True, help_text="Hazards: tube, crt, heavy, lithium, ...")
    weight_grams = models.PositiveIntegerField(null=True, blank=True)
    notes = models.TextField(blank=True)
    merged_into = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="merged"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["maker", "folded"], name="counter_model_once_a_maker"),
            models.CheckConstraint(
                condition=Q(built_from__isnull=True)
                | Q(built_to__isnull=True)
                | Q(built_to__gte=F("built_from")),
                name="counter_model_built_in_order",
                violation_error_message="The end of building lies before its start.",
            ),
        ]
        indexes = [models.Index(fields=["folded"], name="counter_model_folded")]
        verbose_name = "model"

    def __str__(self) -> str:
        return f"{self.maker.name} {self.name}"


class ChannelOf(models.TextChoices):
    NONE = "", "none"
    LEFT = "L", "Left"
    RIGHT = "R", "Right"
    A = "A", "A"
    B = "B", "B"


class TestPoint(models.Model):
    """Where to measure in a model and what is to be expected there. `role` is the isolation rules' word for it."""

    __test__ = False  # the name begins as pytest's classes do
    model = models.ForeignKey(UnitModel, on_delete=models.CASCADE, related_name="test_points")
    name = models.CharField(max_length=80)
    where = models.CharField(max_length=160, blank=True)
    quantity = models.CharField(max_length=20)
    condition = models.CharField(max_length=160, blank=True)
    role = models.CharField(max_length=30, blank=True)
    channel = models.CharField(max_length=1, choices=ChannelOf, default=ChannelOf.NONE, blank=True)
    expected = models.CharField(
        max_length=80, blank=True, help_text="As typed: 12 V ± 5 %, 5 to 20 ohm, at most 50 mV"
    )
    position = models.PositiveSmallIntegerField(default=0)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["position", "id"]

    def __str__(self) -> str:
        return self.name


class OriginalPart(models.Model):
    """What the maker fitted at a position, from the parts list; evidence is held against it."""

    model = models.ForeignKey(UnitModel, on_delete=models.CASCADE, related_name="originals")
    position = models.CharField(max_length=30, help_text="Q701, C12, IC3")
    designation = models.CharField(max_length=60)
    matched_with = models.CharField(
        max_length=60, blank=True, help_text="Positions that must match, e.g. Q702."
    )
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["model", "position", "designation"], name="counter_original_once")
        ]

    def __str__(self) -> str:
        return f"{self.position} {self.designation}"


class SafetyLimits(models.Model):
    """Where this model's maker prints other limits than the common ones. Empty means the handbook's default."""

    model = models.OneToOneField(UnitModel, on_delete=models.CASCADE, related_name="safety_limits")
    hot_leakage_volts = ExactDecimalField(null=True, blank=True)
    cold_min_ohms = ExactDecimalField(null=True, blank=True)
    cold_max_ohms = ExactDecimalField(null=True, blank=True)
    cold_infinite = models.BooleanField(
        default=False, help_text="No return path: nothing but an open circuit passes."
    )
    source = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name_plural = "safety limits"

    def __str__(self) -> str:
        return f"limits of {self.model_id}"


class ModelPaper(models.Model):
    """A manual, a diagram, a picture kept with the model."""

    model = models.ForeignKey(UnitModel, on_delete=models.CASCADE, related_name="papers")
    title = models.CharField(max_length=160)
    file = models.ForeignKey(StoredFile, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    picture = models.ForeignKey(Picture, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    page = models.CharField(max_length=40, blank=True, help_text="Which page matters.")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(file__isnull=False) | Q(picture__isnull=False),
                name="counter_model_paper_has_a_file",
            )
        ]

    def __str__(self) -> str:
        return self.title


class ModelNote(models.Model):
    """Something learnt about a model, often on a job."""

    model = models.ForeignKey(UnitModel, on_delete=models.CASCADE, related_name="learnt")
    text = models.TextField()
    job = models.ForeignKey("counter.Job", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(default=now)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["-at"]

    def __str__(self) -> str:
        return self.text[:60]


class Unit(models.Model):
    """One piece of equipment. The same unit back again is found by model and serial number."""

    model = models.ForeignKey(UnitModel, on_delete=models.PROTECT, related_name="units")
    serial = models.CharField(max_length=80, blank=True)
    serial_folded = models.CharField(max_length=80, blank=True)
    owner = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="units")
    mains = models.BooleanField(default=True)
    line_voltage = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MaxValueValidator(1000)]
    )
    protection_class = models.CharField(
        max_length=3, choices=ProtectionClass, default=ProtectionClass.UNKNOWN
    )
    built_from = models.DateField(null=True, blank=True)
    built_to = models.DateField(null=True, blank=True)
    marks = models.CharField(
        max_length=200, blank=True, help_text="What tells it from its twins: a scratch, a label."
    )
    is_donor = models.BooleanField(default=False)
    merged_into = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="merged"
    )
    added_at = models.DateTimeField(default=now)

    class Meta:
        indexes = [
            models.Index(fields=["serial_folded"], name="counter_unit_serial"),
            models.Index(fields=["model", "serial_folded"], name="counter_unit_model_serial"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(built_from__isnull=True)
                | Q(built_to__isnull=True)
                | Q(built_to__gte=F("built_from")),
                name="counter_unit_built_in_order",
                violation_error_message="The end of building lies before its start.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.model} {self.serial}".rstrip()


class InboundParcel(models.Model):
    """A parcel on its way to the shop, or opened there. It may hold several units."""

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="inbound_parcels")
    carrier = models.CharField(max_length=60, blank=True)
    tracking = models.CharField(max_length=60, blank=True, db_index=True)
    announced_at = models.DateTimeField(default=now)
    arrived_at = models.DateTimeField(null=True, blank=True)
    opened_at = models.DateTimeField(null=True, blank=True)
    packing_state = models.CharField(
        max_length=10,
        blank=True,
        choices=[("sound", "Sound"), ("poor", "Too weak, but the unit is whole"), ("damaged", "Damaged")],
    )
    packing_note = models.TextField(blank=True)

    class Meta:
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
    FETCHED = "fetched", "Fetched by the shop"
    OWN = "own", "The shop's own"


class Job(models.Model):
    """One stay of one unit. `stage` changes only through `shop.counter.stages.move`."""

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
        InboundParcel, on_delete=models.PROTECT, null=True, blank=True, related_name="jobs"
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
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="comebacks"
    )

    class Meta:
        indexes = [
            models.Index(fields=["whose_move", "stage_since"], name="counter_job_move_since"),
            models.Index(fields=["stage", "stage_since"], name="counter_job_stage_since"),
            models.Index(fields=["sequence"], name="counter_job_sequence"),
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
                condition=Q(stage__in=[s for s in Stage.values if s not in OUTCOMES_BY_STAGE])
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


class Accessory(models.Model):
    """Something that came with a unit: a cord, a remote, feet, a manual. It stands on a shelf of its own if it must."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="accessories")
    name = models.CharField(max_length=120)
    stands_at = models.CharField(max_length=40, blank=True)

    class Meta:
        verbose_name_plural = "accessories"

    def __str__(self) -> str:
        return self.name


class StageMove(models.Model):
    """One step of a job from stage to stage. Append-only; turnaround and waiting times are read from here."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="moves")
    from_stage = models.CharField(max_length=14, blank=True)
    to_stage = models.CharField(max_length=14)
    at = models.DateTimeField()
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        indexes = [models.Index(fields=["job", "at"], name="counter_move_of_job")]

    def __str__(self) -> str:
        return f"{self.from_stage} -> {self.to_stage}"


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
