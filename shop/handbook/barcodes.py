"""Code 128 for tags and labels: from a text to the widths of its bars, ready to be drawn as SVG.

Sources
    ISO/IEC 15417 (Code 128): code sets A, B and C, start values 103 to 105, check value modulo 103, stop pattern of
    13 modules. No copy of the standard was seen; the table of widths agrees, value by value, with the symbols that
    another implementation writes (see the tests).
    Quiet zone of ten modules on either side: ISO/IEC 15417, from memory.
    ISO/IEC 18004 (QR): side of 17 + 4 x version modules, quiet zone of four, the 45 signs of its alphanumeric mode: from
    memory, held against another implementation in the tests. QR symbols themselves are drawn by a library.
    The worked check value of ``PJJ123C`` in set A (54): the public article on Code 128.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

QUIET_MODULES = 10
"""White modules that must be left free before the first and after the last bar."""

LONGEST_TEXT = 80
"""A longer text makes a symbol that no hand-held reader spans; a tag has eight characters."""

START = {"A": 103, "B": 104, "C": 105}
SWITCH_TO = {"A": 101, "B": 100, "C": 99}
STOP = (2, 3, 3, 1, 1, 1, 2)

_WIDTHS = """
    212222 222122 222221 121223 121322 131222 122213 122312 132212 221213 221312 231212
    112232 122132 122231 113222 123122 123221 223211 221132 221231 213212 223112 312131
    311222 321122 321221 312212 322112 322211 212123 212321 232121 111323 131123 131321
    112313 132113 132311 211313 231113 231311 112133 112331 132131 113123 113321 133121
    313121 211331 231131 213113 213311 213131 311123 311321 331121 312113 312311 332111
    314111 221411 431111 111224 111422 121124 121421 141122 141221 112214 112412 122114
    122411 142112 142211 241211 221114 413111 241112 134111 111242 121142 121241 114212
    124112 124211 411212 421112 421211 212141 214121 412121 111143 111341 131141 114113
    114311 411113 411311 113141 114131 311141 411131 211412 211214 211232
"""
WIDTHS: tuple[tuple[int, ...], ...] = tuple(
    tuple(int(width) for width in pattern) for pattern in _WIDTHS.split()
)
"""Bar, space, bar, space, bar, space of each value 0 to 105, in modules; each sums to 11."""


class BarcodeError(ValueError):
    """A text that Code 128 can't carry; the message is one sentence for the person."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One black bar: where it begins, counted from the outer edge of the quiet zone, and its width, in modules."""

    at: int
    width: int


@dataclass(frozen=True, slots=True)
class Code128:
    """One symbol: the text it says and its values from the start character to the check character."""

    text: str
    values: tuple[int, ...]

    @property
    def check(self) -> int:
        """The check value, 0 to 102."""
        return self.values[-1]

    @property
    def widths(self) -> tuple[int, ...]:
        """Widths of bars and spaces by turns, beginning and ending with a bar, in modules, without quiet zones."""
        return tuple(width for value in self.values for width in WIDTHS[value]) + STOP

    @property
    def modules(self) -> int:
        """Width of the symbol without quiet zones: 11 for each value and 13 for the stop."""
        return 11 * len(self.values) + sum(STOP)

    @property
    def modules_with_quiet(self) -> int:
        """Width of the symbol with both quiet zones: the width of the drawing."""
        return self.modules + 2 * QUIET_MODULES

    def bars(self) -> Iterator[Bar]:
        """The black bars from left to right."""
        at = QUIET_MODULES
        for index, width in enumerate(self.widths):
            if index % 2 == 0:
                yield Bar(at, width)
            at += width

    def path(self, height: int) -> str:
        """The bars as the ``d`` of one SVG path in a box of ``modules_with_quiet`` by ``height`` modules."""
        return "".join(f"M{bar.at} 0h{bar.width}v{height}h-{bar.width}z" for bar in self.bars())


def code128(text: str, code_set: str | None = None) -> Code128:
    """Encode ASCII text; with no code set given, in the fewest symbols that switching between the sets allows.

    ``code_set`` ``"A"``, ``"B"`` or ``"C"`` holds the whole text in that one set. Raises BarcodeError when the text
    is empty, too long, not ASCII, or not in the set.
    """
    if not text:
        raise BarcodeError("A barcode needs at least one character.")
    if len(text) > LONGEST_TEXT:
        raise BarcodeError(f"A barcode on a label carries at most {LONGEST_TEXT} characters.")
    if not text.isascii():
        raise BarcodeError("A Code 128 barcode carries plain letters, digits and signs only.")
    values = _shortest(text) if code_set is None else (START[code_set], *_in_one_set(text, code_set))
    return Code128(text, (*values, check_value(values)))


def check_value(values: tuple[int, ...]) -> int:
    """The start value plus each data value times its place (from 1), modulo 103."""
    return weighted_sum(values) % 103


def weighted_sum(values: tuple[int, ...]) -> int:
    """The sum that the check value is the remainder of; ``values`` begins with the start value."""
    return values[0] + sum(place * value for place, value in enumerate(values[1:], start=1))


def _value(text: str, at: int, code_set: str) -> tuple[int, int] | None:
    """The value of what stands at a place, and how many characters it takes; None when the set lacks it."""
    if code_set == "C":
        pair = text[at : at + 2]
        return (int(pair), 2) if len(pair) == 2 and pair.isdigit() else None
    code = ord(text[at])
    if code_set == "A":
        return ((code + 64) % 96, 1) if code < 96 else None
    return (code - 32, 1) if code >= 32 else None


def _in_one_set(text: str, code_set: str) -> list[int]:
    values = []
    at = 0
    while at < len(text):
        found = _value(text, at, code_set)
        if found is None:
            raise BarcodeError(f"“{text}” can't be written in code set {code_set} alone.")
        values.append(found[0])
        at += found[1]
    return values


def _shortest(text: str) -> tuple[int, ...]:
    """Start and data values with the fewest symbols: worked out from the end of the text, set by set.

    Ties keep to the set in use, then to B, then to C, then to A. The one-character shift between A and B is not used.
    """
    stay: dict[str, tuple[int, ...]] = {}
    after: list[dict[str, tuple[int, ...]]] = [dict.fromkeys("BCA", ())]
    for at in range(len(text) - 1, -1, -1):
        stay = {}
        for code_set in "BCA":
            found = _value(text, at, code_set)
            if found and code_set in (rest := after[found[1] - 1]):
                stay[code_set] = (found[0], *rest[code_set])
        after = [{code_set: _best_from(stay, code_set) for code_set in "BCA"}, *after[:1]]
    return min(((START[code_set], *values) for code_set, values in stay.items()), key=len)


def _best_from(stay: dict[str, tuple[int, ...]], code_set: str) -> tuple[int, ...]:
    """The shortest values from a place on when ``code_set`` is in use there: stay in it, or switch first."""
    own = [stay[code_set]] if code_set in stay else []
    switched = [(SWITCH_TO[other], *values) for other, values in stay.items() if other != code_set]
    return min(own + switched, key=len)


QR_QUIET_MODULES = 4
"""White modules that must be left free around a QR symbol."""

_QR_ALPHANUMERIC = frozenset("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")


def qr_side(version: int) -> int:
    """Modules along one side of a QR symbol of version 1 to 40, without its quiet zone."""
    if not 1 <= version <= 40:
        raise BarcodeError("A QR symbol has a version from 1 to 40.")
    return 17 + 4 * version


def is_qr_alphanumeric(text: str) -> bool:
    """Whether a QR symbol can pack the text in two signs per eleven bits: capitals, digits and a few signs only.

    An address written so needs a smaller symbol; only its scheme and host may be put in capitals without asking.
    """
    return bool(text) and _QR_ALPHANUMERIC.issuperset(text)
