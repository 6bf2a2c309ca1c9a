"""Makers, their models, and the units of these models that have come in."""

from __future__ import annotations

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import F, Q

from shop.counter.keys import model_key
from shop.counter.models.people import Customer
from shop.frame.clock import now


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

    I = "I", "Class I (grounded, three prongs)"  # noqa: E741
    II = "II", "Class II (double insulated, two prongs)"
    III = "III", "Class III (safety extra-low voltage)"
    UNKNOWN = "?", "Not known yet"


NOT_KNOWN = model_key("unknown")


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

    @property
    def is_known(self) -> bool:
        """Whether anybody knows which model it is. An older book may tell no more than “unknown turntable”."""
        return not self.folded.startswith(NOT_KNOWN)

    @property
    def kind_in_words(self) -> str:
        """What kind of unit it is; nothing where that is only “other”, which tells nobody anything."""
        return "" if self.kind == Kind.OTHER else Kind(self.kind).label


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
            models.Index(fields=["id"], condition=Q(is_donor=True), name="counter_unit_donors"),
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

    @property
    def year_made(self) -> int | None:
        """The year of make; None where nobody knows it to the year."""
        first, last = self.built_from, self.built_to
        return first.year if first and last and first.year == last.year else None
