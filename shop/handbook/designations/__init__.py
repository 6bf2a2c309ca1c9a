"""Device designations: what a marking on a semiconductor says, what it doesn't, and whether it is the original type.

Sources
    JIS C 7012: digit, S, letter, number, suffix; letters after owiki.org and ness2u.xyz, JIS semiconductor
    designation (looked up); numbers from 11 up, improved versions by A, B ..., F and G as thyristors by the side of
    their gate, digit 0 for photo devices (chipstores.com, naming of Japanese devices, looked up; G is a Gunn device in
    the first two). The digit is the number of active terminals less one (ipcb.com, news 4618, looked up).
    The prefix 2S is often left off, so that D965 is 2SD965 or BD965 (owiki.org, looked up).
    hFE groups O 70-140, Y 120-240, GR 200-400, BL 350-700: data sheet of 2SC1815 (looked up); other types have other
    bands under the same letters.
    JEDEC (EIA-370): digit, N, serial number without meaning; 2N3055 silicon NPN power, 2N1301 germanium PNP switching
    (ipcb.com, looked up). The digit is the number of terminals less one; 4N mostly optocouplers; a later version by
    A, B; R for reversed polarity on diodes (from memory).
    Pro Electron: letters after educypedia.karadimov.info transistorcode and pjmnc.free.fr transistors_codes; three
    digits for consumer types, letter and digits for industrial ones; tolerance letters of Zener diodes A 1, B 2, C 5,
    D 10, E 15 percent, voltage in the suffix of rectifiers and thyristors (integrated-circuit-course.blogspot.com); all
    looked up. BUK854-800A is an 800 V type (looked up). W, D as indium antimonide: from memory.
    hFE groups A 110-220, B 200-450, C 420-800: BC547 (bc547.nl, looked up); 16, 25, 40 for 100-250, 160-400, 250-630:
    BC327 (data sheet on scribd.com, 552275388, looked up).
    Replacement lines and house numbers: common practice, no source.
"""

from __future__ import annotations

from .comparison import Comparison, Match, compare, flag_against_register
from .reading import NoDesignation, read_designation
from .registers import Designation, Polarity, Register

__all__ = [
    "Comparison",
    "Designation",
    "Match",
    "NoDesignation",
    "Polarity",
    "Register",
    "compare",
    "flag_against_register",
    "read_designation",
]
