"""Measured devices, and the pairs that can be made of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from shop.frame.formwork import whole_number
from shop.handbook.matching import (
    Basis,
    Device,
    MatchingError,
    Pair,
    SetKind,
    SetReport,
    check_set,
    find_pairs,
    rule_of,
)
from shop.handbook.quantities import Kind, Unreadable, parse
from shop.stockroom.models import MatchedDevice, Part


@dataclass(frozen=True, slots=True)
class FoundPair:
    """A pair, the two devices of the drawer that make it, and what the rule of its kind says of them."""

    pair: Pair
    devices: tuple[MatchedDevice, MatchedDevice]
    report: SetReport


def devices_of(part: Part) -> list[MatchedDevice]:
    """What is kept for matching of a part, by label."""
    return list(
        MatchedDevice.objects.filter(part=part, gone_at=None).select_related("part").order_by("label", "id")
    )


def pairs_of(
    part: Part,
    *,
    within_percent: Decimal,
    vbe_within_volt: Decimal | None,
    wanted: int,
    basis: Basis,
    other: Part | None = None,
) -> list[FoundPair]:
    """The closest pairs of a part's devices, or of them with a complementary part's; raises MatchingError.

    Each is also judged as a set, by the limits that were asked for.
    """
    kept = devices_of(part) + (devices_of(other) if other is not None else [])
    by_name = {_name(device): device for device in kept}
    pairs = find_pairs(
        [_measured(device) for device in kept],
        within_percent=within_percent,
        basis=basis,
        vbe_within_volt=vbe_within_volt,
        wanted=wanted,
        complementary=other is not None,
    )
    kind = SetKind.COMPLEMENTARY if other is not None else SetKind.OUTPUT_PAIR
    rule = rule_of(kind, hfe_percent=within_percent, vbe_volt=vbe_within_volt, basis=basis)
    return [
        FoundPair(
            pair,
            (by_name[pair.low.name], by_name[pair.high.name]),
            check_set(kind, [pair.low, pair.high], rule),
        )
        for pair in pairs
    ]


def pick(pks: Iterable[str]) -> list[MatchedDevice]:
    """The devices of these ids that are still there."""
    ids = {found for pk in pks if (found := whole_number(pk)) is not None}
    return list(MatchedDevice.objects.filter(pk__in=ids, gone_at=None).select_related("part__level"))


def _name(device: MatchedDevice) -> str:
    return f"{device.part.number} {device.label}"


def _measured(device: MatchedDevice) -> Device:
    marking = f"{device.part.designation or device.part.number}"
    if device.group and not marking.upper().endswith(device.group.upper()):
        marking = f"{marking}-{device.group}"
    return Device(
        name=_name(device),
        marking=marking,
        lot=device.date_lot,
        hfe=device.hfe,
        vbe_volt=device.vbe_volts,
        test_ampere=_ampere(device.test_current),
        celsius=device.celsius,
    )


def _ampere(typed: str) -> Decimal | None:
    try:
        return parse(typed, Kind.CURRENT_DC).known if typed else None
    except Unreadable:
        return None


__all__ = ["FoundPair", "MatchingError", "devices_of", "pairs_of", "pick"]
