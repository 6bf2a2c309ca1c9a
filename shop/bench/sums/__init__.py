"""The sums of the bench: the handbook's arithmetic asked for by hand, beside what the readings of a job ask of it.

Nothing is kept; with a job beside it, an answer can be noted there as a finding.
"""

from __future__ import annotations

from shop.bench.sums.amplifiers import AMPLIFIERS, TUBES
from shop.bench.sums.asking import SumForm
from shop.bench.sums.markings import ColorsSum, DateSum, DeviceSum, OutletSum, SafetyMarkSum, SourceSum
from shop.bench.sums.mechanics import MECHANICS
from shop.bench.sums.output_stage import BaseEmitterSum, IdleSum, JunctionSum, OffsetSum, PowerSum
from shop.bench.sums.power_line import DischargeSum, FuseSum, LampSum, LineSum
from shop.bench.sums.replacing import REPLACING
from shop.bench.sums.small_parts import MotorSum, PotSum, ValueSum
from shop.bench.sums.supply import LINE_SIDE, SUPPLY
from shop.bench.sums.tape_and_disc import TAPE_AND_DISC

GROUPS: tuple[tuple[str, tuple[type[SumForm], ...]], ...] = (
    ("Output stage", (OffsetSum, IdleSum, PowerSum, BaseEmitterSum, JunctionSum)),
    ("Line and first start", (LampSum, LineSum, FuseSum, DischargeSum, *LINE_SIDE)),
    ("Supply", SUPPLY),
    ("Parts", (*REPLACING, PotSum, MotorSum)),
    ("Amplifiers and loudspeakers", AMPLIFIERS),
    ("Tubes", TUBES),
    ("Tape and disc", TAPE_AND_DISC),
    ("Mechanics", MECHANICS),
    ("Marks", (ValueSum, DateSum, DeviceSum, ColorsSum, SafetyMarkSum, SourceSum, OutletSum)),
)

SUMS: dict[str, type[SumForm]] = {one.slug: one for _, sums in GROUPS for one in sums}

__all__ = ["GROUPS", "SUMS"]
