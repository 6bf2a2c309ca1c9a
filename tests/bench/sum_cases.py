"""What is typed into the sums of the second shelf, and what they must say or refuse."""

from __future__ import annotations

TAPE = [
    (
        "speed-by-tone",
        {"measured": "3123", "tone": "3150", "machine": "cassette"},
        ["−0.86 %", "−14.9 cents"],
    ),
    (
        "speed-by-tone",
        {"measured": "3.001 kHz", "tone": "3150", "machine": "cassette"},
        ["3000 Hz on it would fit"],
    ),
    ("strobe", {"rpm": "45", "line_hz": "50"}, ["133.33 bars", "133 bars stand at: 45.1128 rpm, +0.25 %"]),
    ("strobe", {"rpm": "33", "line_hz": "60", "drift": "-72"}, ["216 bars", "The platter: −1 %"]),
    ("strobe", {"rpm": "45"}, ["160.00 bars at 60 Hz"]),
    ("tape-speed", {"inch_s": "7,5"}, ["19.050 cm/s", "7 1/2 in/s: 0 %"]),
    (
        "tape-speed",
        {"meter": "10", "second": "52.4", "tone": "10 kHz"},
        ["19.084 cm/s", "+0.18 %", "19.1 µm"],
    ),
    (
        "tape-level",
        {"nwb_m": "200", "method": "ANSI", "against": "iec-cassette"},
        ["218.0 nWb/m by IEC", "−1.19 dB"],
    ),
    ("equalization", {"curve": "riaa", "hertz": "20"}, ["+19.27 dB", "318 µs (500.5 Hz)"]),
    ("equalization", {"curve": "fm-75", "hertz": "10k"}, ["−12.79 dB against 1 kHz"]),
    (
        "azimuth",
        {"tilt": "1", "tone": "10 kHz", "cm_s": "4.7625", "centers": "0.9"},
        ["5.497 µs", "+19.79 °"],
    ),
    (
        "azimuth",
        {"phase": "90", "tone": "1 kHz", "cm_s": "19.05", "centers": "3.4", "track": "1"},
        ["250 µs", "−3.01 dB", "Within a track: −0."],
    ),
    (
        "cartridge-load",
        {"henry": "500 mH", "coil": "1k", "farad": "300 pF", "ohm": "47k"},
        ["12.99 kHz", "+2 dB at 10.25 kHz"],
    ),
    ("arm-and-stylus", {"arm": "11", "cart": "7.5", "compliance": "20", "at": "10"}, ["8.27 Hz"]),
    ("arm-and-stylus", {"force": "1.75", "least": "1.5", "most": "2", "at": "10"}, ["1.75 g is 17.2 mN"]),
]
TAPE_REFUSED = [
    ("speed-by-tone", {"measured": "6.3 kHz", "tone": "3150", "machine": "reel"}, "more than a third off"),
    ("strobe", {"rpm": "45", "line_hz": "50", "bars": "2"}, "20 to 1000 bars"),
    ("tape-speed", {"cm_s": "19.05", "inch_s": "7.5"}, "Type one of them"),
    ("tape-level", {"nwb_m": "90000", "method": "IEC", "against": "nab"}, "within 1 to 3000 nWb/m"),
    ("equalization", {"curve": "riaa", "hertz": "5 MHz"}, "within 1 to 200000 Hz"),
    ("azimuth", {"tone": "10 kHz", "cm_s": "4.76", "centers": "0.9"}, "Type the phase or the tilt"),
    (
        "cartridge-load",
        {"henry": "90 H", "coil": "1k", "farad": "300 pF", "ohm": "47k"},
        "The inductance must lie within",
    ),
    ("arm-and-stylus", {"force": "1.75", "least": "2", "most": "1.5", "at": "10"}, "read wrong"),
]

ANSWERED = [*TAPE]
REFUSED = [*TAPE_REFUSED]
