"""The three registers' letters, and what a decoded designation holds.

Sources
    JIS C 7012 (owiki.org, ness2u.xyz, chipstores.com), JEDEC EIA-370 (ipcb.com) and Pro Electron (karadimov.info,
    pjmnc.free.fr): letters looked up; W and D of Pro Electron, suffixes of JEDEC from memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum


class Register(StrEnum):
    """Where a designation comes from."""

    JIS = "JIS C 7012"
    JEDEC = "JEDEC (EIA-370)"
    PRO_ELECTRON = "Pro Electron"
    FAMILY = "maker's own series"
    TUBE_EIA = "EIA tube number"
    TUBE_EUROPE = "European tube code"
    REPLACEMENT = "replacement line"
    NONE = "house or supplier's own number"


class Polarity(StrEnum):
    """The polarity or channel that a designation itself tells."""

    NPN = "NPN"
    PNP = "PNP"
    N_CHANNEL = "N-channel"
    P_CHANNEL = "P-channel"

    @property
    def opposite(self) -> Polarity:
        """What a complementary partner is."""
        return {
            Polarity.NPN: Polarity.PNP,
            Polarity.PNP: Polarity.NPN,
            Polarity.N_CHANNEL: Polarity.P_CHANNEL,
            Polarity.P_CHANNEL: Polarity.N_CHANNEL,
        }[self]


@dataclass(frozen=True, slots=True)
class Designation:
    """One reading of a marking.

    ``type_number`` is the registered type without suffix, or the whole number where there is no register; ``suffix``
    all that follows it, without separators. ``revision`` and ``group`` are the parts of the suffix that the register
    explains. ``completed`` is True when a prefix was supplied that the marking leaves off. ``guess`` is True where the
    number may as well be a house number or of another series. ``says`` and ``silent_on`` are what the designation tells
    and what it must not be taken to tell.
    """

    marking: str
    register: Register
    type_number: str
    suffix: str = ""
    revision: str = ""
    group: str = ""
    polarity: Polarity | None = None
    completed: bool = False
    says: tuple[str, ...] = ()
    silent_on: tuple[str, ...] = ()
    guess: bool = False

    @property
    def registered(self) -> bool:
        """Whether the type stands in one of the three public registers."""
        return self.register in (Register.JIS, Register.JEDEC, Register.PRO_ELECTRON)

    @property
    def has_a_type(self) -> bool:
        """Whether the number names a type that others make too, of a register or of a known family."""
        return self.register not in (Register.NONE, Register.REPLACEMENT)

    @property
    def full(self) -> str:
        """Type and suffix in one way of writing: ``2SC1815-GR``, ``2SK30A-Y``, ``BC547B``."""
        if self.register in {Register.FAMILY, Register.TUBE_EIA, Register.TUBE_EUROPE}:
            return f"{self.type_number}{self.suffix}"
        if self.group and self.register is Register.JIS:
            return f"{self.type_number}{self.revision}-{self.group}"
        hyphen = "-" if self.suffix[:1].isdigit() else ""
        return f"{self.type_number}{hyphen}{self.suffix}"


JIS_DIGITS = {
    "0": "photo device",
    "1": "diode",
    "2": "device with three terminals",
    "3": "device with four terminals, such as a dual-gate FET",
}
JIS_LETTERS: dict[str, tuple[str, Polarity | None]] = {
    "": ("diode", None),
    "A": ("PNP transistor, registered for high frequency", Polarity.PNP),
    "B": ("PNP transistor, registered for low (audio) frequency", Polarity.PNP),
    "C": ("NPN transistor, registered for high frequency", Polarity.NPN),
    "D": ("NPN transistor, registered for low (audio) frequency", Polarity.NPN),
    "E": ("diode (Esaki)", None),
    "F": ("thyristor", None),
    "G": ("Gunn device, or in some lists a thyristor with its gate on the N side", None),
    "H": ("unijunction transistor", None),
    "J": ("field-effect transistor, P-channel", Polarity.P_CHANNEL),
    "K": ("field-effect transistor, N-channel", Polarity.N_CHANNEL),
    "M": ("triac", None),
    "Q": ("light-emitting diode", None),
    "R": ("rectifier", None),
    "S": ("signal diode", None),
    "T": ("avalanche diode", None),
    "V": ("variable-capacitance diode", None),
    "Z": ("Zener diode", None),
}
JIS_GROUPS = {"O": (70, 140), "Y": (120, 240), "GR": (200, 400), "BL": (350, 700)}
JIS_GROUP_COLOURS = {"R": "red", "O": "orange", "Y": "yellow", "GR": "green", "BL": "blue", "V": "violet"}
JIS_DROPPED = "ABCDJK"
"""Letters of the types whose prefix 2S is met left off: transistors and field-effect transistors."""

JEDEC_DIGITS = {
    "1": "two terminals: a diode",
    "2": "three terminals: a transistor, field-effect transistor or thyristor",
    "3": "four terminals: a tetrode or a dual-gate field-effect transistor",
    "4": "five terminals or more: mostly an optocoupler",
}

PRO_MATERIALS = {
    "A": "germanium",
    "B": "silicon",
    "C": "gallium arsenide or the like",
    "D": "indium antimonide or the like",
    "R": "compound material, as in Hall and photo devices",
}
PRO_FUNCTIONS = {
    "A": "diode, signal or low power",
    "B": "variable-capacitance diode",
    "C": "transistor, audio frequency, small signal",
    "D": "transistor, audio frequency, power",
    "E": "tunnel diode",
    "F": "transistor, radio frequency, small signal",
    "G": "multiple or miscellaneous device",
    "H": "magnetic-sensitive diode",
    "K": "Hall device in an open magnetic circuit",
    "L": "transistor, radio frequency, power",
    "M": "Hall device in a closed magnetic circuit",
    "N": "optocoupler",
    "P": "radiation-sensitive device",
    "Q": "radiation-emitting device",
    "R": "thyristor or the like, low power",
    "S": "transistor, switching, low power",
    "T": "thyristor or the like, power",
    "U": "transistor, switching, power",
    "W": "surface-acoustic-wave device",
    "X": "multiplier diode",
    "Y": "rectifier",
    "Z": "Zener or reference diode",
}
PRO_GROUPS = {
    "A": (110, 220),
    "B": (200, 450),
    "C": (420, 800),
    "16": (100, 250),
    "25": (160, 400),
    "40": (250, 630),
}
PRO_TRANSISTORS = "CDFLSU"
"""Functions that are transistors: those whose B is met left off, and whose polarity the designation keeps to itself."""
ZENER_TOLERANCES = {"A": 1, "B": 2, "C": 5, "D": 10, "E": 15}

JIS_FORM = re.compile(
    r"(?P<n>[0-3])S(?P<t>[ABCDEFGHJKMQRSTVZ]?)(?P<num>[1-9][0-9]{1,4})(?P<tail>(?![0-9]).*)"
)
JIS_TAIL = re.compile(r"(?P<rev>(?!BL|GR)[A-H])?(?:[-/ ]?\(?(?P<grp>BL|GR|[A-Z])\)?)?")
JEDEC_FORM = re.compile(r"(?P<n>[1-9])N(?P<num>[1-9][0-9]{1,4})(?P<tail>(?![0-9]).*)")
PRO_FORM = re.compile(
    r"(?P<mat>[ABCDR])(?P<fn>[ABCDEFGHKLMNPQRSTUWXYZ])(?P<ser>[1-9][0-9]{2}|(?<=B.)[1-9][0-9]{3}|[A-Z][0-9]{2,3})"
    r"(?P<tail>(?![0-9]).*)"
)
PRO_TAIL = re.compile(r"(?P<rev>[A-Z])?(?:[-/](?P<suf>[A-Z0-9.-]+))?")
ZENER_TAIL = re.compile(r"[-/ ]?(?P<tol>[A-E])(?P<volts>[0-9]+(?:V[0-9]*)?)")
DROPPED_FORM = re.compile(r"(?P<letter>[A-Z])(?P<num>[1-9][0-9]{1,4})(?P<tail>(?![0-9]).*)")
"""Each form takes the whole type number; what follows is looked at apart, so that an odd suffix hides no type."""
