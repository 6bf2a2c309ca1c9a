"""Level on tape: short-circuit flux in nanoweber per meter, by two ways of measuring it.

Sources
    The same tape reads 0.75 dB more by IEC's (DIN's) way of measuring than by ANSI's: the Dolby level of cassettes,
    200 nWb/m by ANSI, is 218 nWb/m by IEC (makers of calibration tapes say so; from memory). Reference levels: cassette
    250 nWb/m and reel 320 nWb/m by IEC, NAB operating level 185 nWb/m by ANSI (all from memory). dB = 20 log of the ratio.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from ..refusal import Refused, refuse_outside

IEC_OVER_ANSI_DB = Decimal("0.75")


class Method(StrEnum):
    """How a fluxivity was measured."""

    IEC = "IEC"
    ANSI = "ANSI"


@dataclass(frozen=True, slots=True)
class Level:
    """A reference level: its name, nWb/m, and by which method that number is meant."""

    name: str
    nwb_m: Decimal
    method: Method


LEVELS: dict[str, Level] = {
    "dolby": Level("Dolby level of cassettes", Decimal(200), Method.ANSI),
    "iec-cassette": Level("IEC reference level of cassettes", Decimal(250), Method.IEC),
    "din-reel": Level("IEC reference level of reel tape (DIN)", Decimal(320), Method.IEC),
    "nab": Level("NAB operating level", Decimal(185), Method.ANSI),
    "plus3": Level("250 nWb/m, called +3 (2.6 dB over 185)", Decimal(250), Method.ANSI),
    "plus6": Level("6 dB over 185 nWb/m", Decimal(370), Method.ANSI),
}


def converted(nwb_m: Decimal, measured: Method, wanted: Method) -> Decimal:
    """The fluxivity by the other method, in nWb/m."""
    refuse_outside(1, 3000, "nWb/m", flux=nwb_m)
    if measured is wanted:
        return nwb_m
    step = Decimal(10) ** (IEC_OVER_ANSI_DB / 20)
    return nwb_m * step if wanted is Method.IEC else nwb_m / step


def apart_db(first: Decimal, first_by: Method, second: Decimal, second_by: Method) -> Decimal:
    """How many dB the first flux lies over the second, both in nWb/m and brought to one method."""
    ratio = converted(first, first_by, Method.IEC) / converted(second, second_by, Method.IEC)
    return 20 * ratio.log10()


def level_named(name: str) -> Level:
    """A reference level by its key; raises Refused for one that isn't in the table."""
    if name not in LEVELS:
        raise Refused("Choose one of the reference levels.")
    return LEVELS[name]
