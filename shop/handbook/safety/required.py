"""Which tests a repaired unit needs before it goes home.

Sources
    Hot and cold check after servicing: service manuals (looked up), the usual practice for 100 to 127 V sets.
    Touch current by the IEC 60990 network after servicing: service manuals quoting IEC 60065 (looked up).
    Visual inspection, protective conductor, insulation and leakage currents by protection class: VDE 0701-0702:2008
    as tabled in an appliance tester's manual, continued by EN 50678:2020 (looked up). Where the insulation test
    can't be made, the leakage currents stand in for it (an appliance tester's manual, looked up).
    Leakage of a grounded unit is read with its grounding conductor open: ANSI C101.1, now UL 101 (from memory); that
    the conductor is measured again once it is closed: common practice, no source.
    Which style a line voltage suggests, and what a class III unit gets outside Europe: common practice, no source.

These are aids: the shop's own law and licensed practice decide which tests are owed.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from .limits import SafetyError

HIGHEST_HUNDRED_VOLT_LINE = Decimal(130)
"""Line voltages of the 100, 110, 120 and 127 V countries lie below, those of 220, 230 and 240 V far above."""


class ProtectionClass(StrEnum):
    """IEC 61140: earthed metal (I), double insulation (II), safety extra-low voltage (III).

    A set with a two-wire cord and no mark is tested as class II, the stricter of the two it may be.
    """

    I = "I"  # noqa: E741 (the standard's own name)
    II = "II"
    III = "III"


class Profile(StrEnum):
    """The style of the after-repair test; the value is what a table keeps."""

    LEAKAGE = "leakage"
    NETWORK = "network"
    EN_50678 = "en_50678"

    @property
    def label(self) -> str:
        """The style on a screen or a card."""
        return _PROFILE_LABELS[self]


_PROFILE_LABELS = {
    Profile.LEAKAGE: "cold and hot leakage checks",
    Profile.NETWORK: "cold check and touch current (IEC 60990)",
    Profile.EN_50678: "after-repair test (EN 50678)",
}


class SafetyTest(StrEnum):
    """One test of the safety check, in the order in which they are made; the value is what a table keeps."""

    VISUAL = "visual"
    CONDUCTOR = "conductor"
    COLD = "cold"
    INSULATION = "insulation"
    HOT = "hot"
    NETWORK = "network"
    CONDUCTOR_CURRENT = "conductor_current"
    TOUCH_CURRENT = "touch_current"

    @property
    def label(self) -> str:
        """The test's name within a sentence."""
        return _TEST_LABELS[self]

    @property
    def how(self) -> str:
        """How the test is made, to stand beside its fields."""
        return _TEST_WAYS[self]


_TEST_LABELS = {
    SafetyTest.VISUAL: "visual inspection",
    SafetyTest.CONDUCTOR: "protective conductor",
    SafetyTest.COLD: "cold check",
    SafetyTest.INSULATION: "insulation",
    SafetyTest.HOT: "hot leakage",
    SafetyTest.NETWORK: "touch-current network",
    SafetyTest.CONDUCTOR_CURRENT: "protective-conductor current",
    SafetyTest.TOUCH_CURRENT: "touch current",
}

_TEST_WAYS = {
    SafetyTest.VISUAL: "Cord, plug, strain relief, case, vents, fuse rating, guards and insulation back in place.",
    SafetyTest.CONDUCTOR: "Unplugged: ground pin of the plug to each grounded metal part, moving the cord by hand.",
    SafetyTest.COLD: "Unplugged, prongs joined, switch on: ohms from the prongs to each exposed metal part.",
    SafetyTest.INSULATION: (
        "Unplugged, all switches on: 500 V DC from live and neutral together to exposed metal; 250 V with surge "
        "protectors inside or on a class III unit."
    ),
    SafetyTest.HOT: (
        "Plugged straight into the line, no isolation transformer: 1500 Ω 10 W parallel 0.15 µF from each exposed "
        "metal part to ground. Volts RMS across it, plug both ways, switch on and off; meter of 1000 Ω/V or more."
    ),
    SafetyTest.NETWORK: (
        "Plugged straight into the line: the IEC 60990 network from each exposed part to ground, plug both ways, "
        "switch on and off. U1 and U2 as peaks; RMS only for a sine."
    ),
    SafetyTest.CONDUCTOR_CURRENT: "On the line through the tester, all switches on, plug both ways.",
    SafetyTest.TOUCH_CURRENT: "On the line through the tester, each exposed part that isn't grounded, plug both ways.",
}


CONDUCTOR_OPEN = (
    "This unit is grounded. From its bonded metal, with the protective conductor open for this one reading, by a tester or "
    "an adapter made for it: through a closed one it reads 0 and passes. The metal may be live meanwhile: hands off, one "
    "hand on the probe. Close it at once and measure the conductor again."
)
"""How a leakage reading of a class I unit is made, beside its fields."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitUnderTest:
    """The facts of one unit that decide its tests and limits.

    ``profile`` None: the style usual at the line voltage. ``cord_metre`` and ``cord_mm2``: the mains cord, None where
    unknown. ``heating_watt``: heating elements only. ``surge_protectors``: inside, so that 250 V is the right test
    voltage. ``unearthed_metal``: a class I unit has exposed metal, or sockets, that aren't earthed.
    ``reversible_plug`` False: the plug fits one way only and its poles can't be swapped for the test.
    """

    protection_class: ProtectionClass
    line_volt: Decimal
    line_hertz: Decimal
    mains: bool = True
    profile: Profile | None = None
    cord_metre: Decimal | None = None
    cord_mm2: Decimal | None = None
    heating_watt: Decimal = Decimal(0)
    surge_protectors: bool = False
    unearthed_metal: bool = True
    reversible_plug: bool = True

    def __post_init__(self) -> None:
        """Refuse a line, a cord or a heater that can't be."""
        positive = {"line voltage": self.line_volt, "line frequency": self.line_hertz}
        if self.cord_metre is not None:
            positive["cord length"] = self.cord_metre
        if self.cord_mm2 is not None:
            positive["cord cross-section"] = self.cord_mm2
        for name, value in positive.items():
            if not (value.is_finite() and value > 0):
                raise SafetyError(f"The {name} must be a positive number.")
        if not (self.heating_watt.is_finite() and self.heating_watt >= 0):
            raise SafetyError("The heating power must be a number that isn't negative.")


def profile_for(line_volt: Decimal) -> Profile:
    """The usual style of test at a line voltage in volt: leakage checks up to 130 V, EN 50678 above."""
    if not (line_volt.is_finite() and line_volt > 0):
        raise SafetyError("The line voltage must be a positive number.")
    return Profile.LEAKAGE if line_volt <= HIGHEST_HUNDRED_VOLT_LINE else Profile.EN_50678


def tests_required(
    protection_class: ProtectionClass,
    *,
    mains: bool,
    line_volt: Decimal,
    profile: Profile | None = None,  # noqa: PT028 (the linter takes this for a test of its own)
    unearthed_metal: bool = True,  # noqa: PT028
    insulation_by_current: bool = False,  # noqa: PT028
) -> tuple[SafetyTest, ...]:
    """The tests that a unit must pass, in the order in which they are made; the visual inspection always.

    A unit without mains (``mains`` False) needs no electrical test, unless it is class I, which is mains by nature.
    A class III unit with ``mains`` set is fed by its own supply and tested through it.
    """
    required = {SafetyTest.VISUAL}
    if protection_class is ProtectionClass.I:
        required.add(SafetyTest.CONDUCTOR)
    elif not mains:
        return (SafetyTest.VISUAL,)
    style = profile or profile_for(line_volt)
    if style is Profile.EN_50678:
        required |= _en_50678(protection_class, unearthed_metal, insulation_by_current)
    else:
        required.add(SafetyTest.HOT if style is Profile.LEAKAGE else SafetyTest.NETWORK)
        if protection_class is not ProtectionClass.III:
            required.add(SafetyTest.COLD)
    return tuple(test for test in SafetyTest if test in required)


def _en_50678(
    protection_class: ProtectionClass,
    unearthed_metal: bool,  # noqa: FBT001
    insulation_by_current: bool,  # noqa: FBT001
) -> set[SafetyTest]:
    if protection_class is ProtectionClass.III:
        return {SafetyTest.INSULATION}
    required = set() if insulation_by_current else {SafetyTest.INSULATION}
    if protection_class is ProtectionClass.I:
        required.add(SafetyTest.CONDUCTOR_CURRENT)
    if protection_class is ProtectionClass.II or unearthed_metal:
        required.add(SafetyTest.TOUCH_CURRENT)
    return required
