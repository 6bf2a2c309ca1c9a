"""Small fuses: reading the marking, whether one may replace another, and why two standards don't mix.

Sources
    Marking in the order of IEC 60127: characteristic FF, F, M, T, TT; rated current; breaking capacity L, E, H; voltage
    (a marking guide and a fuse maker's table, looked up). L 35 A or ten times the rated current, whichever is more,
    E 150 A, H 1500 A (the same marking guide, looked up).
    UL 248-14: carries 100 %, opens within an hour at 135 % and within two minutes at 200 % (a fuse maker's guide,
    looked up). IEC 60127, quick and time-lag: carries 150 % for an hour up to 6.3 A, half an hour above (a fuse
    maker's article, looked up). That 1 A by IEC is near 1.25 A by UL: from memory.
    American series letters (AGC, MDL, GMA and so on), their sizes, speeds and voltages, and 3AG, which names a size
    alone: fuse makers' catalogs, from memory; that AGC above 10 A and all SFE are for 32 V: the same.
    Same current, same characteristic, voltage not below the line, breaking capacity not lower, never uprate: common
    practice, no source.

The set's own marking and the maker's parts list come first.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from ..in_words import plain
from .refusal import AudioError, refuse_unless_positive


class Characteristic(StrEnum):
    """How fast a fuse opens, by its letter."""

    FF = "FF"
    F = "F"
    M = "M"
    T = "T"
    TT = "TT"

    @property
    def words(self) -> str:
        """The letter in words."""
        return {
            "FF": "very quick-acting",
            "F": "quick-acting",
            "M": "medium time-lag",
            "T": "time-lag",
            "TT": "long time-lag",
        }[self.value]


class Breaking(StrEnum):
    """How large a fault a fuse can break, by its letter."""

    L = "L"
    E = "E"
    H = "H"

    @property
    def words(self) -> str:
        """The letter in words."""
        return {"L": "low", "E": "enhanced", "H": "high"}[self.value]

    def ampere(self, rated: Decimal) -> Decimal:
        """The breaking capacity in ampere of a fuse with this rated current."""
        return {"L": max(Decimal(35), 10 * rated), "E": Decimal(150), "H": Decimal(1500)}[self.value]


MOST_AMPERE = Decimal(100)
"""Above it no fuse of a set is rated; in a glass or ceramic tube of 1/4 inch none above 40 A: catalogs, from memory."""
MOST_IN_A_TUBE = Decimal(40)
SMALL, LARGE = "5 × 20 mm", "1/4 × 1 1/4 in (6.3 × 32 mm)"


@dataclass(frozen=True, slots=True)
class Series:
    """An American series by its letters: size, speed in words, and the voltage in volt up to a current in ampere.

    ``speed``: empty where the letters name a size alone; ``volt_above``: the voltage beyond ``up_to``.
    """

    letters: str
    size: str
    speed: str
    volt: Decimal | None
    up_to: Decimal | None = None
    volt_above: Decimal | None = None
    ceramic: bool = False

    def volt_at(self, ampere: Decimal) -> Decimal | None:
        """The rated voltage at a rated current, as catalogs give it; None where they differ."""
        return self.volt_above if self.up_to is not None and ampere > self.up_to else self.volt


_FAST, _SLOW, _MEDIUM = "fast", "time-delay", "medium time-delay"
_V250, _V32, _TEN = Decimal(250), Decimal(32), Decimal(10)

SERIES: dict[str, Series] = {
    one.letters: one
    for one in (
        Series("AGC", LARGE, _FAST, _V250, _TEN, _V32),
        Series("3AG", LARGE, "", None),
        Series("ABC", LARGE, _FAST, _V250, ceramic=True),
        Series("MDL", LARGE, _SLOW, _V250, Decimal(8), _V32),
        Series("MDQ", LARGE, _SLOW, _V250, Decimal(8), _V32),
        Series("MDA", LARGE, _SLOW, _V250, ceramic=True),
        Series("AGX", "1/4 × 1 in (6.3 × 25 mm)", _FAST, None),
        Series("SFE", "1/4 in, longer for more ampere", _FAST, _V32),
        Series("GMA", SMALL, _FAST, None),
        Series("GMC", SMALL, _MEDIUM, None),
        Series("GMD", SMALL, _SLOW, None),
    )
}
"""By the letters in front of the ampere; all of them are rated by UL's way, whatever their size."""


@dataclass(frozen=True, slots=True)
class Fuse:
    """What a fuse's marking says; None for what isn't marked."""

    marking: str
    ampere: Decimal
    characteristic: Characteristic | None = None
    breaking: Breaking | None = None
    volt: Decimal | None = None
    series: Series | None = None

    @property
    def breaking_ampere(self) -> Decimal | None:
        """The breaking capacity in ampere, or None where no letter says it."""
        return None if self.breaking is None else self.breaking.ampere(self.ampere)

    @property
    def is_iec_marked(self) -> bool:
        """Whether it carries a letter of IEC 60127; without one it may be rated by UL 248-14 or by nobody."""
        return self.characteristic is not None or self.breaking is not None

    def __str__(self) -> str:
        """The marking in words: ``2 A, time-lag (T), low breaking capacity (L, 35 A), 250 V``."""
        said = [_amperes(self.ampere)]
        if self.characteristic is not None:
            said.append(f"{self.characteristic.words} ({self.characteristic})")
        if self.breaking is not None and self.breaking_ampere is not None:
            said.append(
                f"{self.breaking.words} breaking capacity ({self.breaking}, {plain(self.breaking_ampere)} A)"
            )
        if self.series is not None:
            speed = self.series.speed or "its speed not told"
            said.append(
                f"{speed} by UL, {self.series.size} (series {self.series.letters}; check the data sheet)"
            )
        if self.volt is not None:
            said.append(f"{plain(self.volt)} V")
        return ", ".join(said)


_NUMBER = (
    r"(?:(?P<whole>\d{1,2})[ -])?(?P<over>\d{1,2})/(?P<under>\d{1,2})|\d{1,4}[.,]\d{1,3}|[.,]\d{1,3}|\d{1,4}"
)
_VOLT = r"(?P<volt{0}>\d{{1,4}}) ?V(?: ?(?:AC|~))?"
_MARKING = re.compile(
    rf"(?:{_VOLT.format(1)}[ /]*)?"
    rf"(?P<first>FF|F|M|TT|T)? ?"
    rf"(?P<number>{_NUMBER}) ?(?P<unit>MA|A) ?"
    rf"(?P<last>FF|F|M|TT|T)? ?"
    rf"(?P<breaking>[LEH])?"
    rf"(?:[ /]*{_VOLT.format(2)} ?(?P<late>[LEH])?)?",
    re.ASCII,
)
_LONGEST = 40


def read_fuse(text: str) -> Fuse:
    """Read a marking such as ``T2A L 250V``, ``F500mAH250V``, ``3,15 A`` or ``1/2A 250V``; raises AudioError.

    The current needs its unit, and a comma is a decimal mark. What doesn't fit is refused, never guessed.
    """
    if len(text) > _LONGEST:
        raise AudioError("That is longer than a fuse's marking; type only current, letters and voltage.")
    tidy = " ".join(text.upper().split())
    if by_series := _in_a_series(tidy, text):
        return by_series
    match = _MARKING.fullmatch(tidy)
    if match is None:
        raise AudioError(f"“{text.strip()}” doesn't read as a fuse; write it like T2A L 250V.")
    found = match.groupdict()
    for one, other, name in (
        ("first", "last", "characteristic"),
        ("breaking", "late", "breaking capacity"),
        ("volt1", "volt2", "voltage"),
    ):
        if found[one] and found[other]:
            raise AudioError(f"“{text.strip()}” gives the {name} twice.")
    ampere = _ampere(found)
    speed, capacity = found["first"] or found["last"], found["breaking"] or found["late"]
    voltage = found["volt1"] or found["volt2"]
    _refuse_unless_a_fuse(ampere, MOST_AMPERE)
    if voltage is not None:
        refuse_unless_positive(rated_voltage=Decimal(voltage))
    return Fuse(
        marking=text.strip(),
        ampere=ampere,
        characteristic=Characteristic(speed) if speed else None,
        breaking=Breaking(capacity) if capacity else None,
        volt=Decimal(voltage) if voltage else None,
    )


_OF_A_SERIES = re.compile(
    rf"(?P<series>{'|'.join(SERIES)})[ -]*(?P<number>{_NUMBER}) ?(?P<unit>MA|A)?(?:[ /]*{_VOLT.format('')})?",
    re.ASCII,
)


def _in_a_series(tidy: str, text: str) -> Fuse | None:
    """A marking by an American series, ``MDL 2`` or ``AGC-15 32V``: ampere without a unit; None for any other."""
    match = _OF_A_SERIES.fullmatch(tidy)
    if match is None:
        return None
    series, ampere = SERIES[match["series"]], _ampere(match.groupdict())
    _refuse_unless_a_fuse(ampere, MOST_IN_A_TUBE)
    marked = Decimal(match["volt"]) if match["volt"] else series.volt_at(ampere)
    if marked is not None:
        refuse_unless_positive(rated_voltage=marked)
    return Fuse(marking=text.strip(), ampere=ampere, volt=marked, series=series)


def _refuse_unless_a_fuse(ampere: Decimal, most: Decimal) -> None:
    refuse_unless_positive(rated_current=ampere)
    if ampere > most:
        raise AudioError(
            f"Such a fuse is rated for {plain(most)} A at most: look at the marking again, or type mA."
        )


def _ampere(found: dict[str, str | None]) -> Decimal:
    over, under = found["over"], found["under"]
    if over and under:
        if not int(under):
            raise AudioError("A fraction can't have nothing below its line.")
        number = Decimal(found["whole"] or 0) + Decimal(over) / Decimal(under)
    else:
        number = Decimal((found["number"] or "").replace(",", "."))
    return number.scaleb(-3) if found["unit"] == "MA" else number


def objections(original: Fuse, candidate: Fuse, line_volt: Decimal) -> tuple[str, ...]:
    """Why ``candidate`` may not replace ``original`` on this line, one sentence each; empty if nothing speaks against.

    What isn't marked on either can't be compared and is said so.
    """
    refuse_unless_positive(line_voltage=line_volt)
    found = []
    if candidate.ampere != original.ampere:
        found.append(
            f"The rated current must stay {_amperes(original.ampere)}, not {_amperes(candidate.ampere)}."
        )
    if candidate.characteristic is not original.characteristic:
        found.append(_other_characteristic(original, candidate))
    if candidate.volt is None:
        found.append("The replacement's voltage isn't marked.")
    elif candidate.volt < line_volt:
        found.append(
            f"The replacement is rated {plain(candidate.volt)} V, below the line's {plain(line_volt)} V."
        )
    found.extend(_weaker_breaking(original, candidate))
    found.extend(_other_series(original, candidate))
    if candidate.is_iec_marked is not original.is_iec_marked:
        found.append(standards_warning(original.ampere))
    return tuple(found)


def where_enough(original: Fuse, candidate: Fuse, line_volt: Decimal) -> str:
    """Where a fuse of a lower voltage than the original's is enough; empty where its voltage isn't lower, or too low anyhow.

    A set's inner fuse may have to break more than the line: common practice, no source.
    """
    if candidate.volt is None or original.volt is None or not line_volt <= candidate.volt < original.volt:
        return ""
    return (
        f"Rated {plain(candidate.volt)} V where the original has {plain(original.volt)} V: enough in the line itself "
        f"at {plain(line_volt)} V, not where the set has more, such as B+ or behind a transformer."
    )


def _other_characteristic(original: Fuse, candidate: Fuse) -> str:
    if original.series or candidate.series:
        return "A UL speed and an IEC letter are two ways of counting, so the two can't be compared by them."
    if original.characteristic is None or candidate.characteristic is None:
        missing = "original" if original.characteristic is None else "replacement"
        return f"The {missing}'s characteristic isn't marked, so the two can't be compared."
    return (
        f"The characteristic must stay {original.characteristic.words} ({original.characteristic}), "
        f"not {candidate.characteristic.words} ({candidate.characteristic})."
    )


def _weaker_breaking(original: Fuse, candidate: Fuse) -> list[str]:
    needed, given = original.breaking_ampere, candidate.breaking_ampere
    if needed is None:
        return []
    if given is None:
        return ["The replacement's breaking capacity isn't marked."]
    if given < needed:
        return [f"The replacement breaks {plain(given)} A where the original breaks {plain(needed)} A."]
    return []


def _other_series(original: Fuse, candidate: Fuse) -> list[str]:
    """What two American series say against each other: size, speed, and glass for ceramic."""
    old, new = original.series, candidate.series
    if old is None or new is None:
        return []
    found = []
    if old.size != new.size:
        found.append(f"The size must stay {old.size}, not {new.size}.")
    if not old.speed or not new.speed:
        sized = new if old.speed else old
        found.append(f"The speed isn't told by {sized.letters}, which names a size: compare the data sheets.")
    elif old.speed != new.speed:
        found.append(f"The speed must stay {old.speed} ({old.letters}), not {new.speed} ({new.letters}).")
    if old.ceramic and not new.ceramic:
        found.append("The original is ceramic and breaks a larger fault than glass does.")
    return found


UL_OPENS_WITHIN_AN_HOUR = Decimal("1.35")
IEC_CARRIES = Decimal("1.50")
IEC_FULL_HOUR_UP_TO = Decimal("6.3")
UL_PER_IEC = Decimal("1.25")
"""A rough guide for reading parts lists only; never a reason to fit a larger number."""


def standards_warning(ampere: Decimal) -> str:
    """Why a UL and an IEC fuse of the same number aren't the same fuse, with this number's currents."""
    refuse_unless_positive(rated_current=ampere)
    time = "an hour" if ampere <= IEC_FULL_HOUR_UP_TO else "half an hour"
    return (
        f"UL and IEC ratings differ: {_amperes(ampere)} by UL 248-14 opens within an hour at "
        f"{_amperes(ampere * UL_OPENS_WITHIN_AN_HOUR)}, by IEC 60127 it carries {_amperes(ampere * IEC_CARRIES)} for "
        f"{time}. Fit the standard that the set was made for, and never a larger number."
    )


def ul_rating_near(iec_ampere: Decimal) -> Decimal:
    """The UL rating in ampere that roughly behaves like an IEC rating: a guide for reading, not for fitting."""
    refuse_unless_positive(rated_current=iec_ampere)
    return iec_ampere * UL_PER_IEC


def _amperes(ampere: Decimal) -> str:
    return f"{plain(ampere)} A" if ampere >= 1 else f"{plain(ampere.scaleb(3))} mA"
