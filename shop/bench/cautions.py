"""Which cautions stand on the bench page: by what the unit is, by where the work stands, and whether they were read."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from shop.bench.models import Reservoir
from shop.counter.models import Job, Kind, Unit
from shop.counter.stages import Stage
from shop.handbook.cautions import Caution, Step, Trait, cautions_for
from shop.handbook.discharge import DischargeError, Wait, wait_for

HOLDS_CHARGE = {
    Kind.AMPLIFIER,
    Kind.RECEIVER,
    Kind.GUITAR_AMP,
    Kind.TELEVISION,
    Kind.POWER_SUPPLY,
    Kind.INSTRUMENT,
}
"""Kinds of unit with large reservoir capacitors: common practice, no source."""

PICTURES = {
    "mains-cover": "power",
    "heavy-transformer": "weight",
    "hot-parts": "flame",
    "lithium": "battery-warning",
    "sealed-cooling": "triangle-alert",
    "laser": "triangle-alert",
}


WORDS = {
    "mains-cover": "line",
    "charged-capacitors": "charged capacitors",
    "tube-high-voltage": "high voltage",
    "picture-tube": "picture tube",
    "live-chassis": "live chassis",
    "heavy-transformer": "heavy",
    "series-lamp": "first power",
    "lithium": "lithium cells",
    "sealed-cooling": "sealed cooling",
    "hot-parts": "hot parts",
    "laser": "laser",
}


@dataclass(frozen=True, slots=True)
class Shown:
    """One caution with its picture, and whether this person has read it on this job."""

    caution: Caution
    picture: str
    read: bool

    @property
    def word(self) -> str:
        """The hazard in a word or two, for the strip that tells them all."""
        return WORDS.get(self.caution.key, self.caution.title[0].lower() + self.caution.title[1:])


def traits_of(unit: Unit) -> frozenset[Trait]:
    """What of this unit can hurt: its own mains, its model's traits by name or in words, and what its kind brings."""
    known = {trait.name.casefold(): trait for trait in Trait} | {trait.value: trait for trait in Trait}
    told = {str(one).casefold().replace("-", "_") for one in unit.model.traits}
    traits = {trait for word, trait in known.items() if word in told}
    if unit.mains:
        traits.add(Trait.MAINS)
        if unit.model.kind in HOLDS_CHARGE:
            traits.add(Trait.CAPACITORS)
    if unit.model.kind == Kind.CD_PLAYER:
        traits.add(Trait.LASER)
    return frozenset(traits)


def steps_at(stage: str) -> tuple[Step, ...]:
    """The steps of the work that a job at this stage is about to see."""
    return Stage(stage).row.cautions


def wait_of(reservoir: Reservoir | None) -> Wait | None:
    """How long the model's largest capacitor needs to a safe voltage; None where the model file does not know it."""
    if reservoir is None:
        return None
    try:
        return wait_for(reservoir.volt, reservoir.farad, reservoir.ohm)
    except DischargeError:
        return None


def cautions_of(
    job: Job, steps: Collection[Step], *, read: Collection[str], reservoir: Reservoir | None = None
) -> list[Shown]:
    """The cautions of this unit at these steps in reading order, each once; `read` are the keys of those that were read."""
    traits, wait = traits_of(job.unit), wait_of(reservoir)
    wanted = {caution.key for step in steps for caution in cautions_for(traits, step)}
    return [
        Shown(caution, PICTURES.get(caution.key, "zap"), caution.key in read)
        for caution in cautions_for(traits, wait=wait)
        if caution.key in wanted
    ]
