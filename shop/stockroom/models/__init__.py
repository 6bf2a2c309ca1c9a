"""Parts, where they lie, what came and went of them, what is on order, and what was fitted on which job."""

from __future__ import annotations

from shop.stockroom.models.orders import Order, OrderLine, PartSentBack, StillInside
from shop.stockroom.models.stock import (
    LedgerEntry,
    MatchedDevice,
    Part,
    PartNumber,
    PartState,
    PriceRule,
    StockLevel,
    Substitute,
    Supplier,
)
from shop.stockroom.models.used import PartFitted, PartWanted

__all__ = [
    "LedgerEntry",
    "MatchedDevice",
    "Order",
    "OrderLine",
    "Part",
    "PartFitted",
    "PartNumber",
    "PartSentBack",
    "PartState",
    "PartWanted",
    "PriceRule",
    "StillInside",
    "StockLevel",
    "Substitute",
    "Supplier",
]
