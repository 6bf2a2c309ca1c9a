"""Money in whole minor units, unit prices in ten-thousandths, and the one way of rounding them.

Sources
    ISO 4217, list one: the number of decimals of each currency (0, 2 or 3).
    Unicode CLDR, through Babel: which currencies are in use, and their usual sign.
    EN 16931-1: amounts have at most the currency's decimals (rules BR-DEC-*); an item's net price, BT-146, is not
    limited to two, so a unit price keeps four and only the line amount becomes money.
    Rounding half up, away from zero for negative amounts, so that a credit note is the exact mirror of its invoice
    (common practice; the text of EN 16931 on rounding is from memory).
    Splitting without losing a cent: the method of largest remainders (common practice).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import total_ordering

from babel import Locale
from babel.core import get_global

LARGEST_WHOLE = 999_999_999_999
"""What may stand before the decimal mark when an amount is typed; far above any repair, far below a 64-bit integer."""

PRICE_DIGITS = 4
QUANTITY_DIGITS = 3


@dataclass(frozen=True, slots=True)
class Currency:
    """One currency: its decimals, the signs that may be typed beside an amount, and its customary decimal mark.

    The mark only settles an amount such as ``1,234``, which reads as thousands or as decimals; where custom differs
    from country to country (the euro) there is none, and such an amount is refused rather than guessed.
    """

    code: str
    digits: int
    signs: tuple[str, ...] = ()
    mark: str | None = None


_DIGITS_NOT_TWO = {
    **dict.fromkeys(("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF"), 0),
    **dict.fromkeys(("UGX", "VND", "VUV", "XAF", "XOF", "XPF"), 0),
    **dict.fromkeys(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"), 3),
}
"""By ISO 4217. CLDR counts the decimals in everyday use instead: none for the forint, which invoices have two of."""

_TYPED: dict[str, tuple[tuple[str, ...], str | None]] = {
    "AUD": (("A$", "$"), "."),
    "BHD": ((), "."),
    "BRL": (("R$",), ","),
    "CAD": (("C$", "$"), None),
    "CHF": (("Fr.", "Fr"), None),
    "CLP": (("$",), ","),
    "CZK": (("Kč",), ","),
    "DKK": (("kr.", "kr"), ","),
    "EUR": (("€",), None),
    "GBP": (("£",), "."),
    "HUF": (("Ft",), ","),
    "INR": (("₹", "Rs.", "Rs"), "."),
    "IQD": ((), "."),
    "ISK": (("kr.", "kr"), ","),
    "JOD": ((), "."),
    "JPY": (("¥", "￥", "円"), "."),
    "KRW": (("₩",), "."),
    "KWD": ((), "."),
    "LYD": ((), "."),
    "MXN": (("$",), "."),
    "NOK": (("kr.", "kr"), ","),
    "NZD": (("NZ$", "$"), "."),
    "OMR": ((), "."),
    "PLN": (("zł",), ","),
    "RON": (("lei",), ","),
    "SEK": (("kr.", "kr"), ","),
    "SGD": (("S$", "$"), "."),
    "TND": ((), "."),
    "TRY": (("₺",), ","),
    "USD": (("US$", "$"), "."),
    "ZAR": (("R",), None),
}
"""Signs that people type beside an amount, and the customary mark, where more is known than CLDR's one sign."""


SUCCEEDED_BY = {"BGN": "EUR"}
"""What this CLDR still counts as tender, and what took its place: Bulgaria has the euro since 1 January 2026 (from memory)."""


def _currencies() -> dict[str, Currency]:
    """Every currency that is legal tender somewhere by CLDR."""
    used = get_global("territory_currencies").values()
    codes = {
        code for rows in used for code, _, end, tender in rows if tender and end is None
    } - SUCCEEDED_BY.keys()
    signs = Locale("en").currency_symbols
    return {
        code: Currency(
            code,
            _DIGITS_NOT_TWO.get(code, 2),
            *_TYPED.get(code, ((signs[code],) if code in signs else (), None)),
        )
        for code in sorted(codes)
    }


CURRENCIES = _currencies()


class MoneyError(ValueError):
    """An amount that can't be read or worked with; the message is one sentence for the person."""


class UnknownCurrency(MoneyError):
    """A currency that is not in the table."""

    def __init__(self, code: str) -> None:
        self.code = code
        super().__init__(f"The currency “{_shortened(str(code))}” is not in the table.")


class MixedCurrencies(MoneyError):
    """Two amounts of different currencies met in one sum, difference or comparison."""

    def __init__(self, left: str, right: str) -> None:
        self.left, self.right = left, right
        super().__init__(f"Amounts in {left} and in {right} can't be put together.")


def currency_named(code: str) -> Currency:
    """The table's entry for an ISO 4217 code such as ``USD``; raises UnknownCurrency."""
    try:
        return CURRENCIES[code]
    except KeyError:
        raise UnknownCurrency(code) from None


def round_half_up(numerator: int, denominator: int) -> int:
    """The whole number nearest to numerator / denominator; a tie goes away from zero. The denominator is positive."""
    if denominator <= 0:
        raise ValueError("A denominator must be positive.")
    size = (2 * abs(numerator) + denominator) // (2 * denominator)
    return size if numerator >= 0 else -size


@total_ordering
@dataclass(frozen=True, slots=True)
class Money:
    """An amount in whole minor units (cents, pence, yen) of one currency.

    Amounts of one currency add, subtract, negate, compare and multiply by whole numbers; mixing currencies raises
    MixedCurrencies (only ``==`` answers False instead). Add a list with ``Money.sum(amounts, currency)``.
    """

    minor: int
    currency: str

    def __post_init__(self) -> None:
        _must_be_whole(self.minor)
        currency_named(self.currency)

    @classmethod
    def zero(cls, currency: str) -> Money:
        """Nothing, in this currency."""
        return cls(0, currency)

    @classmethod
    def sum(cls, amounts: Iterable[Money], currency: str) -> Money:
        """All the amounts together; no amounts make zero of the currency."""
        total = cls.zero(currency)
        for amount in amounts:
            total = total + amount
        return total

    @classmethod
    def from_decimal(cls, value: Decimal, currency: str) -> Money:
        """An exact decimal in major units, rounded half up once to the currency's decimals."""
        numerator, denominator = value.as_integer_ratio()
        return cls(round_half_up(numerator * 10 ** currency_named(currency).digits, denominator), currency)

    @classmethod
    def parse(cls, text: str, currency: str, mark: str | None = None) -> Money:
        """Read an amount as a person types it: ``12.50``, ``12,50``, ``1 234,50``, ``$1,234.50``, ``-3``.

        ``mark`` is the reader's decimal mark, ``.`` or ``,``: it settles only what would read two ways (``1,234``).
        Raises MoneyError with one sentence.
        """
        money = currency_named(currency)
        return cls(_read(text, money, money.digits, mark), currency)

    @property
    def decimal(self) -> Decimal:
        """The amount in major units, exact."""
        return Decimal(self.minor).scaleb(-currency_named(self.currency).digits)

    @property
    def plain(self) -> str:
        """The amount in digits with a decimal point and no grouping, as ``parse`` reads it back: ``-1234.50``."""
        return _plain(self.minor, currency_named(self.currency).digits)

    def __str__(self) -> str:
        return f"{self.plain} {self.currency}"

    def __bool__(self) -> bool:
        return self.minor != 0

    def __add__(self, other: Money) -> Money:
        if not isinstance(other, Money):
            return NotImplemented
        return Money(self.minor + self._same(other).minor, self.currency)

    def __sub__(self, other: Money) -> Money:
        if not isinstance(other, Money):
            return NotImplemented
        return Money(self.minor - self._same(other).minor, self.currency)

    def __mul__(self, times: int) -> Money:
        if not isinstance(times, int):
            return NotImplemented
        return Money(self.minor * times, self.currency)

    __rmul__ = __mul__

    def __neg__(self) -> Money:
        return Money(-self.minor, self.currency)

    def __abs__(self) -> Money:
        return Money(abs(self.minor), self.currency)

    def __lt__(self, other: Money) -> bool:
        if not isinstance(other, Money):
            return NotImplemented
        return self.minor < self._same(other).minor

    def _same(self, other: Money) -> Money:
        if other.currency != self.currency:
            raise MixedCurrencies(self.currency, other.currency)
        return other


@dataclass(frozen=True, slots=True)
class UnitPrice:
    """A price for one (an hour, a piece, a metre) in ten-thousandths of the major unit; never negative (BR-27).

    A line that takes something off has a negative quantity, or is an allowance.
    """

    ten_thousandths: int
    currency: str

    def __post_init__(self) -> None:
        _must_be_whole(self.ten_thousandths)
        currency_named(self.currency)
        if self.ten_thousandths < 0:
            raise MoneyError("A price can't be negative: use a negative quantity or an allowance.")

    @classmethod
    def parse(cls, text: str, currency: str, mark: str | None = None) -> UnitPrice:
        """Read a price with up to four decimals, as ``Money.parse`` reads an amount; raises MoneyError."""
        return cls(_read(text, currency_named(currency), PRICE_DIGITS, mark), currency)

    @classmethod
    def of(cls, amount: Money) -> UnitPrice:
        """The price that is exactly this amount for one."""
        return cls(
            amount.minor * 10 ** (PRICE_DIGITS - currency_named(amount.currency).digits), amount.currency
        )

    def times(self, quantity_thousandths: int) -> Money:
        """The line amount for a quantity in thousandths (2.5 hours is 2500), rounded half up once."""
        _must_be_whole(quantity_thousandths)
        scale = 10 ** currency_named(self.currency).digits
        product = self.ten_thousandths * quantity_thousandths * scale
        return Money(round_half_up(product, 10 ** (PRICE_DIGITS + QUANTITY_DIGITS)), self.currency)

    @property
    def decimal(self) -> Decimal:
        """The price in major units, exact."""
        return Decimal(self.ten_thousandths).scaleb(-PRICE_DIGITS)

    @property
    def plain(self) -> str:
        """The price in digits: the currency's decimals where they suffice, else four; ``parse`` reads it back."""
        digits = currency_named(self.currency).digits
        step = 10 ** (PRICE_DIGITS - digits)
        if self.ten_thousandths % step == 0:
            return _plain(self.ten_thousandths // step, digits)
        return _plain(self.ten_thousandths, PRICE_DIGITS)

    def __str__(self) -> str:
        return f"{self.plain} {self.currency}"


def share(total: Money, weights: Sequence[int]) -> tuple[Money, ...]:
    """Split an amount in proportion to whole, non-negative weights; the parts always add up to the whole.

    Each part is rounded down, then the cents left over go to the largest remainders, the earlier part first on a tie.
    """
    whole = sum(weights)
    if whole <= 0 or any(weight < 0 for weight in weights):
        raise MoneyError("Weights must be whole numbers, none negative and not all zero.")
    sign = -1 if total.minor < 0 else 1
    split = [divmod(abs(total.minor) * weight, whole) for weight in weights]
    parts = [part for part, _ in split]
    left_over = abs(total.minor) - sum(parts)
    by_remainder = sorted(range(len(parts)), key=lambda index: -split[index][1])
    for index in by_remainder[:left_over]:
        parts[index] += 1
    return tuple(Money(sign * part, total.currency) for part in parts)


_GROUPING = " \u00a0\u202f'’"
_SEPARATORS = ".," + _GROUPING
_GROUPED = re.compile(rf"[1-9][0-9]{{0,2}}(?:(?P<by>[{_SEPARATORS}])[0-9]{{3}})(?:(?P=by)[0-9]{{3}})*")
_DIGITS = re.compile(r"[0-9]+")
_INDIAN = re.compile(r"(?P<whole>[1-9][0-9]?(?:,[0-9]{2})+,[0-9]{3})(?:\.(?P<fraction>[0-9]+))?")
"""Lakh and crore: a group of three, then groups of two. No other country groups so, and the point is its mark."""
_NO_CENTS = re.compile(r"(?P<whole>.*[0-9])(?:,-|,–|,—|/-)")
"""Kroner and rupees without minor units, as a Danish or an Indian price is written: ``1.234,-``, ``500/-``."""


def _must_be_whole(number: object) -> None:
    if type(number) is not int:
        raise TypeError(f"Money is counted in whole numbers, not in {type(number).__name__}.")


def _plain(scaled: int, digits: int) -> str:
    sign = "-" if scaled < 0 else ""
    whole, fraction = divmod(abs(scaled), 10**digits)
    return f"{sign}{whole}.{fraction:0{digits}d}" if digits else f"{sign}{whole}"


def _shortened(text: str) -> str:
    return text if len(text) <= 24 else text[:24] + "…"


def _read(text: str, currency: Currency, digits: int, mark: str | None) -> int:
    """The typed number times 10**digits; ``digits`` is the most decimals that it may have."""
    typed = text[:80].strip()
    if not typed:
        raise MoneyError(f"Enter an amount, such as {_plain(1250, currency.digits)}.")
    sign, body = _without_signs(typed, currency)
    readings = _readings(body) if len(text) <= 80 else []
    if not readings:
        raise MoneyError(
            f"“{_shortened(typed)}” is not an amount in {currency.code}: write digits, such as 12."
        )
    if len(readings) > 1:
        readings = [reading for reading in readings if _suits(reading, body, mark or currency.mark)]
    if not readings:
        raise MoneyError(
            f"“{_shortened(typed)}” can be read two ways: write it without a thousands separator."
        )
    whole, fraction = readings[0]
    if len(fraction) > digits:
        allowed = f"at most {digits} decimals" if digits else "no decimals"
        raise MoneyError(
            f"“{_shortened(typed)}” has too many decimals: {currency.code} takes {allowed} here."
        )
    if int(whole) > LARGEST_WHOLE:
        raise MoneyError(f"“{_shortened(typed)}” is too large: the most is {LARGEST_WHOLE}.")
    return sign * int(whole + fraction.ljust(digits, "0"))


def _without_signs(typed: str, currency: Currency) -> tuple[int, str]:
    """Take off one minus or plus and the currency's own code or sign, before or after, each at most once."""
    sign, body = _signed(typed)
    for name in (currency.code, *currency.signs):
        if body.startswith(name):
            body = body[len(name) :].strip()
            break
        if body.endswith(name):
            body = body[: -len(name)].strip()
            break
    if not sign:
        sign, body = _signed(body)
    if whole := _NO_CENTS.fullmatch(body):
        body = whole["whole"]
    return sign or 1, body


def _signed(text: str) -> tuple[int, str]:
    """The sign that a text begins with, 0 for none, and what follows it."""
    if text.startswith("+"):
        return 1, text[1:].strip()
    if text.startswith(("-", "\N{MINUS SIGN}")):
        return -1, text[1:].strip()
    return 0, text


def _readings(body: str) -> list[tuple[str, str]]:
    """Every way to read digits and separators as (whole digits, fraction digits)."""
    found = []
    if indian := _INDIAN.fullmatch(body):
        return [(indian["whole"].replace(",", ""), indian["fraction"] or "")]
    whole = _whole(body, "")
    if whole:
        found.append((whole, ""))
    for mark in ".,":
        before, present, fraction = body.rpartition(mark)
        whole = _whole(before, mark) if before else "0"
        if present and whole and _DIGITS.fullmatch(fraction):
            found.append((whole, fraction))
    return found


def _whole(text: str, mark: str) -> str:
    """The digits of a whole number, grouped or not; empty when it is neither, or grouped by the decimal mark."""
    if _DIGITS.fullmatch(text):
        return text
    grouped = _GROUPED.fullmatch(text)
    if grouped and grouped["by"] != mark:
        return text.replace(grouped["by"], "")
    return ""


def _suits(reading: tuple[str, str], body: str, mark: str | None) -> bool:
    """Whether a reading of one separator and three digits fits the decimal mark."""
    if mark is None:
        return False
    return bool(reading[1]) == (mark in body)
