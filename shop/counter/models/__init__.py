"""Customers, makers, models with what is known of them, units, and jobs: one stay of one unit each."""

from __future__ import annotations

from shop.counter.models.jobs import (
    Accessory,
    HowItCame,
    InboundParcel,
    Job,
    JobPaper,
    JobPicture,
    PackingState,
    Promise,
    StageMove,
)
from shop.counter.models.known import (
    ChannelOf,
    ModelNote,
    ModelPaper,
    OriginalPart,
    SafetyLimits,
    TestPoint,
    TestsBy,
)
from shop.counter.models.people import Customer, TaxStanding
from shop.counter.models.units import Kind, Maker, ProtectionClass, Unit, UnitModel

__all__ = [
    "Accessory",
    "ChannelOf",
    "Customer",
    "HowItCame",
    "InboundParcel",
    "Job",
    "JobPaper",
    "JobPicture",
    "Kind",
    "Maker",
    "ModelNote",
    "ModelPaper",
    "OriginalPart",
    "PackingState",
    "Promise",
    "ProtectionClass",
    "SafetyLimits",
    "StageMove",
    "TaxStanding",
    "TestPoint",
    "TestsBy",
    "Unit",
    "UnitModel",
]
