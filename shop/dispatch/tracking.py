"""Tracking numbers: checked where an open rule exists, linked where the shop has set an address."""

from __future__ import annotations

import re

from shop.dispatch.models import Carrier
from shop.frame.refusal import Refusal
from shop.handbook import s10

_PLAIN = re.compile(r"[A-Z0-9 .\-]{4,60}", re.IGNORECASE)


def refuse_wrong_number(tracking: str, carrier: Carrier | None) -> None:
    """Refuse a number that can't be right; an empty one is allowed, for a carrier that gives none."""
    if not tracking:
        return
    if not _PLAIN.fullmatch(tracking):
        raise Refusal("A tracking number is letters and digits, four or more.", field="tracking")
    if carrier is not None and carrier.checks_s10:
        try:
            s10.parse_s10(tracking)
        except ValueError as error:
            raise Refusal(str(error), field="tracking") from error


def tracking_link(tracking: str, carrier: Carrier | None) -> str:
    """The carrier's page for a number, from the address the shop has set; empty without one."""
    if not tracking or carrier is None or "{tracking}" not in carrier.tracking_link:
        return ""
    return carrier.tracking_link.replace("{tracking}", re.sub(r"[^A-Za-z0-9]", "", tracking))
