"""Numbers as they stand in a sentence: no exponent, no digit invented, none lost from what was typed.

Sources
    The International System of Units (SI), 9th edition, 5.4: a space between number and unit, the prefix written
    with its unit (from memory). Typed values are repeated as typed; only computed values are rounded, half up.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal


def _must_be_a_number(value: Decimal) -> None:
    if not value.is_finite():
        raise ValueError("Only a number can be written in words.")


def plain(value: Decimal) -> str:
    """The number in full, without exponent and without trailing zeros: ``Decimal("1E+6")`` is ``1000000``."""
    _must_be_a_number(value)
    if not value:
        return "0"
    return f"{value.normalize():f}"


def rounded(value: Decimal, digits: int = 3) -> str:
    """A computed number to ``digits`` significant digits, half up, trailing zeros kept: 0.5018 is ``0.502``."""
    _must_be_a_number(value)
    if not value:
        return "0"
    step = Decimal(1).scaleb(value.adjusted() - digits + 1)
    cut = value.quantize(step, rounding=ROUND_HALF_UP)
    if cut.adjusted() > value.adjusted():  # 9.996 carries to 10.0, not to 10.00
        cut = cut.quantize(step.scaleb(1), rounding=ROUND_HALF_UP)
    return f"{cut:f}"


def ohms(value: Decimal) -> str:
    """A resistance given in ohm, in Ω, kΩ or MΩ as a bench meter would show it; infinity is ``infinite``."""
    if value.is_infinite() and value > 0:
        return "infinite"
    _must_be_a_number(value)
    size = abs(value)
    if size >= 1_000_000:
        return f"{plain(value.scaleb(-6))} MΩ"
    if size >= 1_000:
        return f"{plain(value.scaleb(-3))} kΩ"
    return f"{plain(value)} Ω"


def volts(value: Decimal) -> str:
    """A voltage given in volt, in V."""
    return f"{plain(value)} V"


def milliamperes(value: Decimal) -> str:
    """A typed current given in ampere, in mA: the unit in which leakage limits are printed."""
    return f"{plain(value.scaleb(3))} mA"


def listed(words: Sequence[str]) -> str:
    """The words as a list in a sentence: ``a``, ``a and b``, ``a, b and c``."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
