"""Parcels: what a box weighs for the carrier, which box holds, how far it falls, and what to see to while packing.

Everything in ``Decimal``, in inches and pounds or centimeters and kilograms; tariffs are data with a date and a source.

Sources: each module names its own; every tariff and limit is data with its date and its source.
"""

from __future__ import annotations

from shop.handbook.parcels.boxes import (
    COUNTER_ADVICE,
    GRADES,
    BoxGrade,
    BoxPlan,
    advised_edge_crush,
    box_grade,
    box_plan,
)
from shop.handbook.parcels.cautions import (
    Caution,
    LithiumAnswer,
    LithiumInside,
    Trait,
    lithium_rule,
    packing_cautions,
    watt_hours,
)
from shop.handbook.parcels.drops import (
    DROPS,
    SEQUENCE,
    Drop,
    RoughDrops,
    drop_height,
    parcel_kind,
    rough_drops,
)
from shop.handbook.parcels.measures import ParcelError, Size, Weight, parse_size, parse_weight
from shop.handbook.parcels.pricing import (
    DIM_RULES,
    GROUPS,
    SIZE_RULES,
    Billable,
    DimRule,
    SizeRule,
    billable,
    dim_rule,
    rules_met,
)

__all__ = [
    "COUNTER_ADVICE",
    "DIM_RULES",
    "DROPS",
    "GRADES",
    "GROUPS",
    "SEQUENCE",
    "SIZE_RULES",
    "Billable",
    "BoxGrade",
    "BoxPlan",
    "Caution",
    "DimRule",
    "Drop",
    "LithiumAnswer",
    "LithiumInside",
    "ParcelError",
    "RoughDrops",
    "Size",
    "SizeRule",
    "Trait",
    "Weight",
    "advised_edge_crush",
    "billable",
    "box_grade",
    "box_plan",
    "dim_rule",
    "drop_height",
    "lithium_rule",
    "packing_cautions",
    "parcel_kind",
    "parse_size",
    "parse_weight",
    "rough_drops",
    "rules_met",
    "watt_hours",
]
