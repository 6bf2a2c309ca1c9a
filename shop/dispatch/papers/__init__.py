"""What dispatch prints: the return slip, the label on the parcel, the damage report for a carrier."""

from __future__ import annotations

from shop.dispatch.papers.damage import issue_damage_paper
from shop.dispatch.papers.labels import ADDRESS_LABEL, address_labels
from shop.dispatch.papers.slips import issue_return_slip, return_slip_context

__all__ = [
    "ADDRESS_LABEL",
    "address_labels",
    "issue_damage_paper",
    "issue_return_slip",
    "return_slip_context",
]
