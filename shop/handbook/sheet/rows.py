"""Rows that a kind of unit is usually measured in, ready to be put on a sheet.

Sources
    What is measured, at which place and in which state: common practice, no source, but for these. Speed of a tape by a test
    tape of 3150 Hz, wow and flutter weighted: IEC 60386 (from memory). Rated output at 1 kHz into the rated load: IEC 60268-3
    (from memory). Concert pitch 440 Hz: ISO 16. A limit stands only where it holds for most makes; the maker's own comes first.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class RowOf:
    """One row: where, what, against what and in which state it is measured, what is expected, and the columns as typed."""

    place: str
    quantity: str
    columns: str = ""
    against: str = ""
    state: str = ""
    expected: str = ""
    adjuster: str = ""
    unit: str = ""


@dataclass(frozen=True, slots=True)
class RowTemplate:
    """Rows that belong together. `kinds`: kinds of unit that it is offered for first; none for all of them alike."""

    slug: str
    name: str
    rows: tuple[RowOf, ...]
    kinds: frozenset[str] = field(default_factory=frozenset)


_AMPLIFIERS = frozenset({"amplifier", "receiver", "guitar_amp"})
_TAPE = frozenset({"tape_deck"})
_KEYS = frozenset({"synthesizer"})

TEMPLATES: tuple[RowTemplate, ...] = (
    RowTemplate(
        "rails",
        "Rails",
        (
            RowOf("Rail +", "voltage_dc", "", "ground", "idle"),
            RowOf("Rail −", "voltage_dc", "", "ground", "idle"),
            RowOf("Ripple of rail +", "voltage_pp", "", "ground", "idle", unit="mV"),
            RowOf("Ripple of rail −", "voltage_pp", "", "ground", "idle", unit="mV"),
        ),
    ),
    RowTemplate(
        "output-stage",
        "Offset and idle current",
        (
            RowOf("Output offset", "voltage_dc", "L R", "speaker −", "no load", "0 ± 50 mV", unit="mV"),
            RowOf("Idle current", "voltage_dc", "L R", "emitter resistor", "warm, no load", unit="mV"),
        ),
        _AMPLIFIERS,
    ),
    RowTemplate(
        "power",
        "Output at clipping",
        (RowOf("Speaker terminals", "voltage_ac", "L R", "speaker −", "1 kHz into 8 ohm, at clipping"),),
        _AMPLIFIERS,
    ),
    RowTemplate(
        "tape",
        "Tape speed and torque",
        (
            RowOf("Tape speed", "frequency", "", "line out", "3150 Hz test tape", "3150 Hz ± 1 %", unit="Hz"),
            RowOf("Wow and flutter", "percent", "", "line out", "weighted, 3150 Hz test tape", unit="%"),
            RowOf("Take-up reel", "torque", "", "", "play, torque cassette", "35 to 65 g·cm", unit="g·cm"),
            RowOf("Rewind reel", "torque", "", "", "rewind, torque cassette", "70 to 160 g·cm", unit="g·cm"),
            RowOf("Pinch roller", "force", "", "", "spring balance", unit="g"),
            RowOf("Playback level", "voltage_ac", "L R", "line out", "315 Hz test tape", unit="mV"),
            RowOf("Azimuth", "phase", "", "left to right", "10 kHz test tape", "at most 30°", unit="°"),
        ),
        _TAPE,
    ),
    RowTemplate(
        "turntable",
        "Speed, arm and leads",
        (
            RowOf("Speed at 33", "rotation", "", "", "stylus down", "33.33 rpm ± 0.5 %", unit="rpm"),
            RowOf("Speed at 45", "rotation", "", "", "stylus down", "45 rpm ± 0.5 %", unit="rpm"),
            RowOf("Wow and flutter", "percent", "", "", "weighted, 3150 Hz record", unit="%"),
            RowOf("Tracking force", "force", "", "", "gauge on the mat", unit="mN"),
            RowOf("Anti-skating", "force", "", "", "smooth record", unit="mN"),
            RowOf("Lead, hot wire", "resistance", "L R", "headshell tag", "lead off", "at most 1 ohm", unit="Ω"),
            RowOf("Lead, screen", "resistance", "L R", "headshell tag", "lead off", "at most 1 ohm", unit="Ω"),
            RowOf("Output at 1 kHz", "voltage_ac", "L R", "", "5 cm/s", unit="mV"),
        ),
        frozenset({"turntable"}),
    ),
    RowTemplate(
        "disc",
        "Laser and spindle",
        (
            RowOf("Laser current", "current_dc", "", "", "test disc, playing", unit="mA"),
            RowOf("RF level", "voltage_pp", "", "RF ground", "test disc, playing", unit="V"),
            RowOf("Tracking balance", "voltage_dc", "", "", "test disc, playing", unit="mV"),
            RowOf("Focus offset", "voltage_dc", "", "", "test disc, playing", unit="mV"),
            RowOf("Spindle motor", "resistance", "", "other tag", "unplugged", "8 to 20 ohm", unit="Ω"),
        ),
        frozenset({"cd_player"}),
    ),
    RowTemplate(
        "tubes",
        "Tubes in the tester",
        (
            RowOf("Plate current", "current_dc", "V1-V4", "", "in the tester", unit="mA"),
            RowOf("Transconductance", "transconductance", "V1-V4", "", "in the tester", unit="mA/V"),
        ),
        _AMPLIFIERS | frozenset({"radio"}),
    ),
    RowTemplate(
        "voices",
        "Voices",
        (
            RowOf("VCO out", "frequency", "voice 1-6", "ground", "key A4", "440 Hz ± 0.2 %", unit="Hz"),
            RowOf("VCF out", "voltage_pp", "voice 1-6", "ground", "key A4, full", unit="V"),
            RowOf("VCA out", "voltage_pp", "voice 1-6", "ground", "key A4, full", unit="V"),
        ),
        _KEYS,
    ),
    RowTemplate(
        "response",
        "Response over frequency",
        (
            RowOf(
                "Line out", "level", "40_Hz 100_Hz 1_kHz 10_kHz 16_kHz", "1 kHz", "0.5 V in", "± 3 dB", unit="dB"
            ),
        ),
    ),
)  # fmt: skip


def templates_for(kind: str, own: Iterable[RowTemplate] = ()) -> list[RowTemplate]:
    """The templates offered for a kind of unit, those made for it first. One of the shop's own replaces the same name."""
    by_name = {one.name.casefold(): one for one in TEMPLATES}
    by_name |= {one.name.casefold(): one for one in own}
    return sorted(by_name.values(), key=lambda one: (kind not in one.kinds, bool(one.kinds)))
