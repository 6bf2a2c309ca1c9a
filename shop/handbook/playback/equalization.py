"""Equalization by time constants: what a reproducing amplifier must do at a frequency, against its gain at 1 kHz.

Sources
    RIAA 3180, 318 and 75 µs: RIAA 1954, IEC 60098; the amendment of 1976 adds 7950 µs in reproduction only (from memory,
    as all numbers here). Reel: NAB 1965, 3180 and 50 µs at 7 1/2 and 15 in/s, 3180 and 90 µs below; IEC 60094-1, 70 µs at
    7 1/2, 35 µs at 15 and 30 in/s (IEC1), AES 17.5 µs at 30 in/s, none of them with a bass constant. Cassette: IEC 60094-1,
    3180 µs with 120 µs (type I) or 70 µs (types II and IV). FM: 75 µs in the Americas and Korea, 50 µs elsewhere.
    Tape: constants are those of the flux on the tape; the amplifier behind an ideal head (voltage as the rate of change
    of flux) does the reverse. Real heads lose treble, so a machine's amplifier gives somewhat more than this.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from ..refusal import refuse_outside

REFERENCE_HZ = Decimal(1000)


class Curve(StrEnum):
    """An equalization, by the name under which a person looks for it."""

    RIAA = "riaa"
    RIAA_IEC = "riaa-iec"
    CASSETTE_120 = "cassette-120"
    CASSETTE_70 = "cassette-70"
    NAB_FAST = "nab-fast"
    NAB_SLOW = "nab-slow"
    IEC_70 = "iec-70"
    IEC_35 = "iec-35"
    AES_30 = "aes-30"
    FM_75 = "fm-75"
    FM_50 = "fm-50"

    @property
    def words(self) -> str:
        """The curve in words."""
        return _FACTS[self].words

    @property
    def constants_us(self) -> tuple[Decimal, ...]:
        """Its time constants in microseconds, the longest first."""
        return tuple(sorted((*_FACTS[self].poles, *_FACTS[self].zeros), reverse=True))


@dataclass(frozen=True, slots=True)
class _Facts:
    """Constants in µs: poles, zeros; ``blocks`` adds a zero at zero frequency, ``integrates`` a pole there."""

    words: str
    poles: tuple[Decimal, ...]
    zeros: tuple[Decimal, ...]
    blocks: bool = False
    integrates: bool = False


_Us = Decimal
_RIAA_POLES, _RIAA_ZERO = (_Us(3180), _Us(75)), (_Us(318),)


def _tape(words: str, treble: str, *, bass: bool) -> _Facts:
    """Flux falls above 1/treble and rises below 1/bass; behind a head that gives the rate of change, the reverse."""
    if bass:
        return _Facts(words, (_Us(3180),), (_Us(treble),))
    return _Facts(words, (), (_Us(treble),), integrates=True)


_FACTS: dict[Curve, _Facts] = {
    Curve.RIAA: _Facts("Record, RIAA", _RIAA_POLES, _RIAA_ZERO),
    Curve.RIAA_IEC: _Facts(
        "Record, RIAA with the IEC amendment", (*_RIAA_POLES, _Us(7950)), _RIAA_ZERO, blocks=True
    ),
    Curve.CASSETTE_120: _tape("Cassette, 120 µs (type I)", "120", bass=True),
    Curve.CASSETTE_70: _tape("Cassette, 70 µs (types II and IV)", "70", bass=True),
    Curve.NAB_FAST: _tape("Reel, NAB, 7 1/2 and 15 in/s", "50", bass=True),
    Curve.NAB_SLOW: _tape("Reel, 3 3/4 and 1 7/8 in/s", "90", bass=True),
    Curve.IEC_70: _tape("Reel, IEC, 7 1/2 in/s", "70", bass=False),
    Curve.IEC_35: _tape("Reel, IEC, 15 in/s", "35", bass=False),
    Curve.AES_30: _tape("Reel, AES, 30 in/s", "17.5", bass=False),
    Curve.FM_75: _Facts("FM, 75 µs (Americas, Korea)", (_Us(75),), ()),
    Curve.FM_50: _Facts("FM, 50 µs (elsewhere)", (_Us(50),), ()),
}


def corner_hz(microsecond: Decimal) -> Decimal:
    """The corner frequency of a time constant: 1 / (2π · τ)."""
    refuse_outside(Decimal("0.01"), 1_000_000, "µs", time_constant=microsecond)
    return Decimal(repr(1e6 / (2 * math.pi * float(microsecond))))


def gain_db(curve: Curve, hertz: Decimal) -> Decimal:
    """What reproduction gives at a frequency against 1 kHz, in dB; 1 Hz to 200 kHz."""
    refuse_outside(1, 200_000, "Hz", frequency=hertz)
    level = _level(curve)
    return Decimal(repr(round(level(float(hertz)) - level(float(REFERENCE_HZ)), 9)))


def _level(curve: Curve) -> Callable[[float], float]:
    facts = _FACTS[curve]

    def level(hertz: float) -> float:
        omega = 2 * math.pi * hertz
        squares = [1 + (omega * float(each) * 1e-6) ** 2 for each in facts.zeros]
        below = [1 + (omega * float(each) * 1e-6) ** 2 for each in facts.poles]
        slope = (omega**2 if facts.blocks else 1.0) / (omega**2 if facts.integrates else 1.0)
        return 10 * math.log10(math.prod(squares) * slope / math.prod(below))

    return level
