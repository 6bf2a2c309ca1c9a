"""Questions asked of the stockroom. Nothing here writes."""

from __future__ import annotations

from shop.stockroom.queries.finding import (
    PAGE,
    drawers,
    find_parts,
    part_numbered,
    parts_in,
    parts_page,
    whole_parts,
)
from shop.stockroom.queries.ledger import ledger_of
from shop.stockroom.queries.orders import (
    MOST_ORDERS,
    OrderSheet,
    closed_orders,
    delivered_order,
    order_list,
    orders_hold_to_currency,
    orders_in_hand,
    whole_order,
)
from shop.stockroom.queries.returns import (
    credits_owed,
    credits_settled,
    donor_stores,
    donor_units,
)
from shop.stockroom.queries.standing import shortages, standing_of
from shop.stockroom.queries.substitutes import replacements_of, stands_in_of

__all__ = [
    "MOST_ORDERS",
    "PAGE",
    "OrderSheet",
    "closed_orders",
    "credits_owed",
    "credits_settled",
    "delivered_order",
    "donor_stores",
    "donor_units",
    "drawers",
    "find_parts",
    "ledger_of",
    "order_list",
    "orders_hold_to_currency",
    "orders_in_hand",
    "part_numbered",
    "parts_in",
    "parts_page",
    "replacements_of",
    "shortages",
    "standing_of",
    "stands_in_of",
    "whole_order",
    "whole_parts",
]
