"""A rate of tax, and the tax on or inside an amount, rounded half up once.

Sources
    EN 16931 BR-CO-17: tax of a category = its base x rate / 100, rounded to the currency's decimals.
    Half up: common practice; the standard's own text on rounding is from memory.
    Margin scheme for second-hand goods, Directive 2006/112/EC Articles 313 to 315 (from memory): the tax is inside the
    seller's margin, and there is none where nothing was gained.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from shop.handbook.money import Money, round_half_up

WHOLE = 1_000_000
"""One hundred per cent, in ten-thousandths of a percent."""

_TYPED = re.compile(r"(?P<whole>[0-9]{1,3})(?:[.,](?P<fraction>[0-9]{1,4}))?\s*%?")


class TaxError(ValueError):
    """Something that tax can't be reckoned from; the message is one sentence for the person."""


@dataclass(frozen=True, slots=True, order=True)
class Percent:
    """A rate from 0 to 100 percent, in ten-thousandths of a percent: 8.25 % is 82500."""

    ten_thousandths: int

    def __post_init__(self) -> None:
        if type(self.ten_thousandths) is not int:
            raise TypeError("A rate is counted in whole ten-thousandths of a percent.")
        if not 0 <= self.ten_thousandths <= WHOLE:
            raise TaxError("A rate is from 0 to 100 percent.")

    @classmethod
    def parse(cls, text: str) -> Percent:
        """Read ``8.25``, ``8,25`` or ``8.25 %``, with up to four decimals; raises TaxError with one sentence."""
        typed = _TYPED.fullmatch(text[:20].strip())
        if not typed or len(text) > 20:
            raise TaxError("A rate is a number of percent with up to four decimals, such as 8.25.")
        return cls(int(typed["whole"] + (typed["fraction"] or "").ljust(4, "0")))

    @property
    def plain(self) -> str:
        """The rate in digits, without sign and without trailing zeros: ``8.25``."""
        whole, fraction = divmod(self.ten_thousandths, 10_000)
        return f"{whole}.{fraction:04d}".rstrip("0").rstrip(".")

    @property
    def decimal(self) -> Decimal:
        """The rate in per cent, exact."""
        return Decimal(self.plain)

    def __str__(self) -> str:
        return f"{self.plain} %"

    def of(self, base: Money) -> Money:
        """The tax on an amount without tax."""
        return Money(round_half_up(base.minor * self.ten_thousandths, WHOLE), base.currency)

    def inside(self, gross: Money) -> Money:
        """The tax that is contained in an amount with tax."""
        return Money(
            round_half_up(gross.minor * self.ten_thousandths, WHOLE + self.ten_thousandths), gross.currency
        )


NOTHING = Percent(0)


def margin_tax(sold: Money, bought: Money, rate: Percent) -> Money:
    """The tax inside the margin of a second-hand thing sold under the margin scheme; none where nothing was gained.

    It belongs in the books and is not shown on the invoice.
    """
    margin = sold - bought
    return rate.inside(max(margin, Money.zero(margin.currency)))
