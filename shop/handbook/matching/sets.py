"""One set of devices against the rule of its kind: type, gain group, lot, hFE, V_BE and how they were measured.

Sources
    hFE within 10 %, 5 % for paralleled devices, V_BE within 10 mV, same lot, gain group, temperature and test current:
    common practice, no source; a maker's own limits come first. V_BE and current by Ebers and Moll: see ``audio``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum

from ..audio import current_ratio
from ..designations import Designation, NoDesignation, Polarity, read_designation
from ..in_words import listed, milliamperes, plain
from .spread import Basis, MatchingError, exact_percent_apart, percent_apart, two_decimals

SAME_TEMPERATURE_KELVIN = Decimal(2)
"""How far apart two temperatures may be and still count as one: about 4 mV of V_BE."""

LARGEST_TELLING_VOLT = Decimal("0.1")
"""Beyond this the ratio of currents says nothing but that the devices don't belong together."""


class SetKind(StrEnum):
    """Why the devices must match."""

    OUTPUT_PAIR = "output pair"
    PARALLELED = "paralleled devices"
    COMPLEMENTARY = "complementary pair"
    CHANNELS = "the same position in both channels"


class Outcome(StrEnum):
    """What a check found."""

    PASS = "pass"  # noqa: S105 - an outcome, not a password
    FAIL = "fail"
    NOT_KNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Device:
    """One device as measured; the sign of V_BE does not matter. A blank or None means that it is not known.

    Raises MatchingError for a marking without a character and for values that no meter shows.
    """

    name: str
    marking: str
    lot: str = ""
    hfe: Decimal | None = None
    vbe_volt: Decimal | None = None
    test_ampere: Decimal | None = None
    celsius: Decimal | None = None

    def __post_init__(self) -> None:
        if self.hfe is not None and not (self.hfe.is_finite() and self.hfe > 0):
            raise MatchingError(f"The hFE of {self.name} must be above zero.")
        if any(
            one is not None and not one.is_finite() for one in (self.vbe_volt, self.test_ampere, self.celsius)
        ):
            raise MatchingError(f"A value of {self.name} is not a number.")
        try:
            read_designation(self.marking)
        except NoDesignation as refused:
            raise MatchingError(f"{self.name}: {refused}") from refused

    @property
    def readings(self) -> tuple[Designation, ...]:
        """What its marking can be."""
        return read_designation(self.marking)

    def types(self) -> frozenset[str]:
        """The type numbers that its marking can stand for."""
        return frozenset(reading.type_number for reading in self.readings)

    def groups(self) -> frozenset[str]:
        """The suffixes that its marking can carry; the empty one if it carries none."""
        return frozenset(reading.suffix for reading in self.readings)

    def polarity(self) -> Polarity | None:
        """The polarity that its designation tells, if all readings that tell one agree."""
        told = {reading.polarity for reading in self.readings if reading.polarity}
        return told.pop() if len(told) == 1 else None


@dataclass(frozen=True, slots=True)
class Rule:
    """How well a set must match; a limit is met when the difference is not above it."""

    hfe_percent: Decimal
    vbe_volt: Decimal
    basis: Basis = Basis.OF_LOWER
    same_lot: bool = True
    opposite_polarity: bool = False


RULES: dict[SetKind, Rule] = {
    SetKind.OUTPUT_PAIR: Rule(Decimal(10), Decimal("0.010")),
    SetKind.PARALLELED: Rule(Decimal(5), Decimal("0.010")),
    SetKind.COMPLEMENTARY: Rule(Decimal(10), Decimal("0.010"), same_lot=False, opposite_polarity=True),
    SetKind.CHANNELS: Rule(Decimal(10), Decimal("0.010")),
}


def rule_of(
    kind: SetKind,
    *,
    hfe_percent: Decimal | None = None,
    vbe_volt: Decimal | None = None,
    basis: Basis | None = None,
) -> Rule:
    """The common rule of a kind with the limits that somebody asked for instead; raises MatchingError for no limit."""
    if hfe_percent is not None and not (hfe_percent.is_finite() and hfe_percent >= 0):
        raise MatchingError("The percentage that is allowed can't be below nothing.")
    if vbe_volt is not None and not (vbe_volt.is_finite() and vbe_volt >= 0):
        raise MatchingError("The voltage that is allowed can't be below nothing.")
    common = RULES[kind]
    return replace(
        common,
        hfe_percent=common.hfe_percent if hfe_percent is None else hfe_percent,
        vbe_volt=common.vbe_volt if vbe_volt is None else vbe_volt,
        basis=basis or common.basis,
    )


@dataclass(frozen=True, slots=True)
class Check:
    """One thing that was compared, with one sentence of what was found."""

    name: str
    outcome: Outcome
    sentence: str


@dataclass(frozen=True, slots=True)
class SetReport:
    """All checks of one set."""

    kind: SetKind
    names: tuple[str, ...]
    checks: tuple[Check, ...]

    @property
    def outcome(self) -> Outcome:
        """Fail if any check fails, not known if any is not known, else pass."""
        found = {check.outcome for check in self.checks}
        for outcome in (Outcome.FAIL, Outcome.NOT_KNOWN):
            if outcome in found:
                return outcome
        return Outcome.PASS


def check_set(kind: SetKind, devices: Sequence[Device], rule: Rule | None = None) -> SetReport:
    """Compare two devices or more by the rule of their kind, or by the model file's own; raises MatchingError."""
    if len(devices) < 2:
        raise MatchingError("A set to be matched has at least two devices.")
    applied = rule or RULES[kind]
    checks = [_polarity(devices) if applied.opposite_polarity else _type(devices), _group(devices)]
    if applied.same_lot:
        checks.append(_lot(devices))
    checks += [_hfe(devices, applied), _vbe(devices, applied)]
    if any(device.test_ampere is not None or device.celsius is not None for device in devices):
        checks.append(_conditions(devices))
    return SetReport(kind, tuple(device.name for device in devices), tuple(checks))


def _type(devices: Sequence[Device]) -> Check:
    common = frozenset.intersection(*(device.types() for device in devices))
    if common:
        return Check("type", Outcome.PASS, f"All are {' or '.join(sorted(common))}.")
    return Check(
        "type", Outcome.FAIL, f"The types differ: {_each(devices, [one.marking for one in devices])}."
    )


def _polarity(devices: Sequence[Device]) -> Check:
    name = "opposite polarity"
    told = [device.polarity() for device in devices]
    if len(devices) != 2:
        return Check(name, Outcome.FAIL, f"A complementary pair has two devices, not {len(devices)}.")
    one, other = told
    if one is None or other is None:
        silent = [device.name for device, polarity in zip(devices, told, strict=True) if polarity is None]
        return Check(name, Outcome.NOT_KNOWN, f"The marking of {listed(silent)} does not tell the polarity.")
    words = _each(devices, [str(one), str(other)])
    if one is other.opposite:
        return Check(name, Outcome.PASS, f"The polarities are opposite: {words}.")
    return Check(name, Outcome.FAIL, f"The polarities are not opposite: {words}.")


def _group(devices: Sequence[Device]) -> Check:
    common = frozenset.intersection(*(device.groups() for device in devices))
    if common == {""}:
        return Check("group", Outcome.PASS, "None carries a suffix or gain group.")
    if common:
        return Check("group", Outcome.PASS, f"All carry {' or '.join(sorted(common))}.")
    words = [" or ".join(sorted(device.groups())) or "none" for device in devices]
    return Check("group", Outcome.FAIL, f"The suffixes or gain groups differ: {_each(devices, words)}.")


def _lot(devices: Sequence[Device]) -> Check:
    lots = ["".join(device.lot.upper().split()) for device in devices]
    missing = [device.name for device, lot in zip(devices, lots, strict=True) if not lot]
    if len(set(lots) - {""}) > 1:
        words = [device.lot.strip() or "not noted" for device in devices]
        return Check("date lot", Outcome.FAIL, f"The date lots differ: {_each(devices, words)}.")
    if missing:
        return Check("date lot", Outcome.NOT_KNOWN, f"No date lot is noted for {listed(missing)}.")
    return Check("date lot", Outcome.PASS, f"All are of the date lot {devices[0].lot.strip()}.")


def _hfe(devices: Sequence[Device], rule: Rule) -> Check:
    values = [device.hfe for device in devices if device.hfe is not None]
    if len(values) < len(devices):
        return Check("hFE", Outcome.NOT_KNOWN, f"hFE was not measured on {_unmeasured(devices, 'hfe')}.")
    limit = f"{plain(rule.hfe_percent)} %"
    exact = {basis: exact_percent_apart(values, basis) for basis in Basis}
    passed = {basis: apart <= rule.hfe_percent for basis, apart in exact.items()}
    words = (
        f"hFE {plain(min(values))} to {plain(max(values))}: {two_decimals(exact[rule.basis])} % {rule.basis}, "
        f"{'within' if passed[rule.basis] else 'more than'} the {limit} allowed"
    )
    (other,) = set(Basis) - {rule.basis}
    if passed[other] is not passed[rule.basis]:
        would = "pass" if passed[other] else "fail"
        words += f"; {other} it would be {percent_apart(values, other)} % and {would}"
    return Check("hFE", Outcome.PASS if passed[rule.basis] else Outcome.FAIL, f"{words}.")


def _vbe(devices: Sequence[Device], rule: Rule) -> Check:
    values = [abs(device.vbe_volt) for device in devices if device.vbe_volt is not None]
    if len(values) < len(devices):
        return Check(
            "V_BE", Outcome.NOT_KNOWN, f"V_BE was not measured on {_unmeasured(devices, 'vbe_volt')}."
        )
    apart = max(values) - min(values)
    passed = apart <= rule.vbe_volt
    words = (
        f"V_BE {millivolts(min(values))} to {millivolts(max(values))} mV: {millivolts(apart)} mV apart, "
        f"{'within' if passed else 'more than'} the {millivolts(rule.vbe_volt)} mV allowed"
    )
    if apart <= LARGEST_TELLING_VOLT:
        ratio = current_ratio(apart).quantize(Decimal("0.01"))
        words += f"; without emitter resistors the currents would be as {ratio} to 1"
    return Check("V_BE", Outcome.PASS if passed else Outcome.FAIL, f"{words}.")


def millivolts(value: Decimal) -> str:
    """A voltage in volt, as a number of millivolts."""
    if not value.is_finite():
        raise MatchingError("A voltage must be a number.")
    return plain(value.scaleb(3))


def _conditions(devices: Sequence[Device]) -> Check:
    """hFE and V_BE compare only at one test current and one temperature."""
    name = "test current and temperature"
    currents = [device.test_ampere for device in devices if device.test_ampere is not None]
    degrees = [device.celsius for device in devices if device.celsius is not None]
    if len(set(currents)) > 1:
        low, high = milliamperes(min(currents)), milliamperes(max(currents))
        return Check(name, Outcome.FAIL, f"The test currents differ, {low} to {high}: measure again at one.")
    if degrees and max(degrees) - min(degrees) > SAME_TEMPERATURE_KELVIN:
        low, high = plain(min(degrees)), plain(max(degrees))
        return Check(name, Outcome.FAIL, f"The temperatures differ, {low} to {high} °C: let them settle.")
    if 0 < len(currents) < len(devices) or 0 < len(degrees) < len(devices):
        return Check(name, Outcome.NOT_KNOWN, "Test current or temperature is noted for some devices only.")
    return Check(name, Outcome.PASS, "All were measured alike.")


def _unmeasured(devices: Sequence[Device], field: str) -> str:
    return listed([device.name for device in devices if getattr(device, field) is None])


def _each(devices: Sequence[Device], words: Sequence[str]) -> str:
    return listed([f"{device.name} {word}" for device, word in zip(devices, words, strict=True)])
