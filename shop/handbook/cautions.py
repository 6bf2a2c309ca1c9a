"""Short cautions, shown where the person works: what can hurt, what to do first, and who decides.

Sources
    Each caution's own ``source``. The computed wait comes from ``discharge``.
    Clean Air Act section 608 (40 CFR 82 subpart F): opening a sealed cooling circuit is for certified technicians;
    R-600a and other hydrocarbons are flammable (United States practice, looked up in study guides).
    Isolation transformer, live chassis, picture-tube anode, no isolation transformer for the hot check: service
    manuals (looked up). Series-lamp start-up: repairers' articles (looked up). The rest: common practice, no source.

A caution reminds a competent person; it replaces neither training nor the maker's manual, local codes or a licence.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from enum import StrEnum

from .discharge import Wait


class Trait(StrEnum):
    """What a unit or a job has that can hurt."""

    MAINS = "mains"
    CAPACITORS = "charged capacitors"
    TUBE = "tube"
    CRT = "picture tube"
    LIVE_CHASSIS = "live chassis"
    HEAVY = "heavy"
    HOT = "hot parts"
    REFRIGERANT = "refrigerant"
    LITHIUM = "lithium"
    LASER = "laser"


class Step(StrEnum):
    """Where in the work a caution belongs."""

    LIFTING = "lifting"
    OPENING = "opening"
    WORKING = "working"
    POWERING_UP = "powering up"
    SAFETY_CHECK = "safety check"
    PACKING = "packing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One caution: a title, one or two short sentences, and to whom it defers.

    Shown for a unit that has any of ``traits``, at any of ``steps``.
    """

    key: str
    title: str
    text: str
    defers: str
    traits: frozenset[Trait]
    steps: frozenset[Step]
    source: str


PRACTICE = "common practice, no source"
MANUALS = "service manuals"

CAUTIONS: tuple[Caution, ...] = (
    Caution(
        key="mains-cover",
        title="Before the cover comes off",
        text="Pull the plug; the switch is not enough. Then discharge and measure before touching anything inside.",
        defers="Work on line-voltage circuits only as your local code and license allow.",
        traits=frozenset({Trait.MAINS}),
        steps=frozenset({Step.OPENING}),
        source=PRACTICE,
    ),
    Caution(
        key="charged-capacitors",
        title="Capacitors still charged",
        text="Discharge through a resistor, never with a screwdriver. Measure: below 10 V before touching.",
        defers="The maker's service manual and your training come first.",
        traits=frozenset({Trait.CAPACITORS, Trait.MAINS, Trait.TUBE, Trait.CRT}),
        steps=frozenset({Step.OPENING, Step.WORKING}),
        source=PRACTICE,
    ),
    Caution(
        key="tube-high-voltage",
        title="High voltage in a tube set",
        text="Hundreds of volts DC, and they stay after switching off. One hand, insulated probes, discharge first.",
        defers="If you aren't trained for high voltage, leave it to someone who is.",
        traits=frozenset({Trait.TUBE}),
        steps=frozenset({Step.OPENING, Step.WORKING, Step.POWERING_UP}),
        source=PRACTICE,
    ),
    Caution(
        key="picture-tube",
        title="High voltage in a display",
        text="The anode holds tens of kilovolts: discharge it to the chassis first. The tube can implode; wear goggles.",
        defers="The maker's manual says where and how; leave it to a trained person if you aren't.",
        traits=frozenset({Trait.CRT}),
        steps=frozenset({Step.OPENING, Step.WORKING}),
        source=MANUALS,
    ),
    Caution(
        key="live-chassis",
        title="The chassis may be live",
        text="One side of the line may sit on the metal. Use an isolation transformer while you work on it.",
        defers="Your local code decides how such a set may be handed back.",
        traits=frozenset({Trait.LIVE_CHASSIS}),
        steps=frozenset({Step.OPENING, Step.WORKING, Step.POWERING_UP}),
        source=MANUALS,
    ),
    Caution(
        key="heavy-transformer",
        title="Heavy, and heavier at one end",
        text="The transformer pulls to its side. Lift with the knees, from that side, or ask for a second person.",
        defers="Keep to the lifting limits where you are.",
        traits=frozenset({Trait.HEAVY}),
        steps=frozenset({Step.LIFTING, Step.PACKING}),
        source=PRACTICE,
    ),
    Caution(
        key="hot-parts",
        title="Hot parts",
        text="Heat sinks, tubes, lamps and power resistors burn long after switching off. Let them cool.",
        defers="Follow the maker's manual for covers and airflow while it runs.",
        traits=frozenset({Trait.HOT, Trait.TUBE}),
        steps=frozenset({Step.WORKING, Step.POWERING_UP}),
        source=PRACTICE,
    ),
    Caution(
        key="sealed-cooling",
        title="Sealed cooling parts",
        text="Don't open, cut or heat the cooling circuit: refrigerant is under pressure and may be flammable.",
        defers="Opening it is for a certified refrigerant technician; local law decides.",
        traits=frozenset({Trait.REFRIGERANT}),
        steps=frozenset({Step.OPENING, Step.WORKING}),
        source="40 CFR 82 subpart F as taught for section 608 certification",
    ),
    Caution(
        key="lithium",
        title="Lithium cells",
        text="Swollen, hot or damaged: stop, move it outdoors on something that can't burn. Never solder, pierce or short.",
        defers="Carriers and local rules decide what may be shipped and where old cells go.",
        traits=frozenset({Trait.LITHIUM}),
        steps=frozenset({Step.OPENING, Step.WORKING, Step.PACKING}),
        source=PRACTICE,
    ),
    Caution(
        key="laser",
        title="Invisible laser",
        text="Don't look into the pickup with the player running open, not even from the side.",
        defers="Keep the interlocks working and follow the maker's manual.",
        traits=frozenset({Trait.LASER}),
        steps=frozenset({Step.WORKING, Step.POWERING_UP}),
        source=PRACTICE,
    ),
    Caution(
        key="series-lamp",
        title="First power through a series lamp",
        text="Bright flash, then dim: carry on; stays bright: switch off. The lamp is no isolation: all of it is live.",
        defers="Build and use a lamp box only as your local code allows.",
        traits=frozenset({Trait.MAINS, Trait.TUBE}),
        steps=frozenset({Step.POWERING_UP}),
        source="repairers' articles",
    ),
    Caution(
        key="hot-check-live",
        title="Leakage is measured live",
        text="No isolation transformer for this one check: exposed metal may be live. Probe with one hand.",
        defers="Do it only if you may work live where you are; the maker's manual comes first.",
        traits=frozenset({Trait.MAINS}),
        steps=frozenset({Step.SAFETY_CHECK}),
        source=MANUALS,
    ),
)


def cautions_for(
    traits: Collection[Trait], step: Step | None = None, *, wait: Wait | None = None
) -> tuple[Caution, ...]:
    """The cautions for a unit with these traits, at one step of the work or (None) at all of them, in reading order.

    ``wait``: the computed time to a safe voltage, which is then put before the words about charged capacitors.
    """
    present = frozenset(traits)
    return tuple(
        _with_wait(caution, wait)
        for caution in CAUTIONS
        if caution.traits & present and (step is None or step in caution.steps)
    )


def _with_wait(caution: Caution, wait: Wait | None) -> Caution:
    if wait is None or caution.key != "charged-capacitors":
        return caution
    return replace(
        caution,
        text=f"Wait at least {wait.words} after pulling the plug, then discharge through a resistor. "
        "The bleeder may be open, so measure: below 10 V before touching.",
    )
