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
    # 77.92 rpm is the standard's 78 at 50 Hz, 78.26 at 60 Hz: IEC 60098, from memory
    ("strobe", {"rpm": "78", "line_hz": "50"}, ["77 bars stand at: 77.9221 rpm, +0.0027 %"]),
    ("strobe", {"rpm": "78", "line_hz": "60"}, ["92 bars stand at: 78.2609 rpm, +0.0011 %"]),
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

SUPPLY = [
    (
        "ripple",
        {
            "winding": "35 V",
            "rectifier": "bridge",
            "diode": "0.8 V",
            "ampere": "1.5 A",
            "farad": "10 mF",
            "line_hz": "60",
        },
        ["at 120 Hz", "the upper bound", "1.25 V"],
    ),
    (
        "bleeder",
        {"volt": "450 V", "farad": "100 µF", "second": "60", "safe": "60 V"},
        ["248.2 kΩ", "E24: 240 kΩ"],
    ),
    ("divider", {"volt": "12 V", "upper": "10k", "lower": "4k7"}, ["3.837 V", "3.197 kΩ"]),
    ("parallel", {"kind": "resistors-parallel", "values": "10k, 10k, 22k"}, ["4.074 kΩ"]),
    ("parallel", {"kind": "capacitors-series", "values": "100µF, 100µF"}, ["50 µF", "equal resistors"]),
    ("corner", {"ohm": "10k", "farad": "100 nF"}, ["159.2 Hz", "1 ms"]),
    ("corner", {"henry": "4.7 mH", "ohm": "8"}, ["270.9 Hz"]),
    ("corner", {"henry": "2 mH", "farad": "4.7 µF"}, ["1.642 kHz"]),
    (
        "zener",
        {"low": "28", "high": "36", "zener": "15", "most": "20 mA"},
        ["520 Ω leaves it 5 mA", "605.8 mW"],
    ),
    (
        "zener",
        {"low": "28", "high": "36", "zener": "15", "most": "20 mA", "ohm": "1k"},
        ["it doesn’t regulate"],
    ),
    (
        "regulator",
        {"rail": "-22", "pp": "1.5", "out": "-15", "ampere": "300 mA", "dropout": "2"},
        ["+4.25 V", "2.1 W"],
    ),
    (
        "lamp-to-led",
        {"volt": "12", "feed": "dc", "color": "green", "count": "1", "ampere": "10 mA"},
        ["990 Ω", "99 mW"],
    ),
    (
        "lamp-to-led",
        {"volt": "6.3", "feed": "ac", "color": "red", "count": "1", "ampere": "10 mA"},
        ["5 V in reverse"],
    ),
    (
        "voltage-selector",
        {"line": "123 V", "taps": "100 117 220 240", "draw": "120 W"},
        ["117 V", "+5.13 %", "6.3 V in series"],
    ),
    (
        "dropper",
        {"line": "120", "string": "78", "ampere": "150 mA", "line_hz": "60"},
        ["280 Ω, 6.3 W", "4.363 µF"],
    ),
    ("inrush", {"line": "120", "ohm": "1.8", "most": "30 A"}, ["94.28 A", "3.857 Ω cold"]),
]
SUPPLY += [
    # the same list in every way that a person parts it; worked by hand
    *(
        ("parallel", {"kind": "resistors-parallel", "values": typed}, ["3.197 kΩ"])
        for typed in (
            "4k7, 10k",
            "4k7 10k",
            "4k7,10k",
            "4,7k, 10k",
            "4,7k; 10k",
            "4.7 kΩ, 10 kΩ",
            "4k7 + 10k",
        )
    ),
    ("parallel", {"kind": "capacitors-parallel", "values": "100 µF 47µF"}, ["147 µF"]),
    ("voltage-selector", {"line": "123 V", "taps": "100,117,220,240 V"}, ["117 V; the line is +5.13 %"]),
]
SUPPLY_REFUSED = [
    ("parallel", {"kind": "resistors-parallel", "values": "4,7k"}, "A comma between two figures"),
    ("parallel", {"kind": "odd" * 1000, "values": "4k7 10k"}, "Choose one of these."),
    (
        "ripple",
        {
            "winding": "35 V",
            "rectifier": "half",
            "diode": "0.8",
            "ampere": "50 A",
            "farad": "1 µF",
            "line_hz": "60",
        },
        "too small for that current",
    ),
    ("bleeder", {"volt": "90 kV", "farad": "100 µF", "second": "60", "safe": "60 V"}, "0 to 50000 V"),
    ("divider", {"volt": "12 V", "upper": "0", "lower": "4k7"}, "upper resistor must lie within"),
    ("parallel", {"kind": "resistors-parallel", "values": "10k, ten"}, "can't be read"),
    ("corner", {"ohm": "10k"}, "Type two of them"),
    ("zener", {"low": "12", "high": "36", "zener": "15", "most": "20 mA"}, "must lie above the Zener"),
    (
        "regulator",
        {"rail": "12", "pp": "1", "out": "15", "ampere": "1 A", "dropout": "2"},
        "at or above the rail",
    ),
    (
        "lamp-to-led",
        {"volt": "3", "feed": "dc", "color": "blue", "count": "2", "ampere": "10 mA"},
        "fewer of them",
    ),
    ("voltage-selector", {"line": "230 V", "taps": "120"}, "too far for a series winding"),
    ("dropper", {"line": "78", "string": "120", "ampere": "150 mA"}, "nothing is to be dropped"),
    ("inrush", {"line": "120 kV", "ohm": "1.8"}, "is more than any bench measures"),
]

AMPLIFIERS = [
    ("distortion", {"harmonics": "−60 −60"}, ["0.141 % of the fundamental", "−57 dB"]),
    ("distortion", {"fundamental": "1 V", "harmonics": "300mV 400mV"}, ["50.0 %", "44.7 %"]),
    (
        "signal-to-noise",
        {"signal": "2.83 V", "noise": "0.4 mV", "termination": "shorted"},
        ["77.0 dB", "not noted"],
    ),
    ("signal-to-noise", {"percent": "0.1"}, ["SINAD: 60.0 dB"]),
    (
        "damping",
        {"light_volt": "2.85", "heavy_volt": "2.79", "heavy": "8", "nominal": "8"},
        ["172 mΩ", "46.5 over 8 Ω"],
    ),
    ("rise-time", {"hertz": "80 kHz"}, ["4.371 µs"]),
    ("rise-time", {"second": "5 µs", "own": "3 µs"}, ["87.42 kHz"]),
    ("zobel", {"volt": "20 V", "ohm": "10", "farad": "100 nF", "hertz": "20 kHz"}, ["621.8 mW", "39.01 W"]),
    ("crossover", {"kind": "second", "hertz": "2.5 kHz", "ohm": "8"}, ["5.627 µF", "720.3 µH"]),
    (
        "loudspeakers",
        {"loads": "8 4", "way": "parallel", "least": "4", "watt": "50 W"},
        ["2.667 Ω", "33 %, 67 %", "100 W"],
    ),
    (
        "heat-sink",
        {
            "watt": "25",
            "ambient": "40",
            "junction_case": "1.17",
            "case_sink": "0.5",
            "sink": "1.2",
            "rated": "150",
            "most": "150",
        },
        ["112 °C", "82.5 °C and 70.0 °C", "81 W"],
    ),
    ("output-heat", {"rail": "42 V", "ohm": "8"}, ["44.68 W", "110.3 W"]),
    (
        "tube-bias",
        {
            "volt": "38 mV",
            "ohm": "1",
            "tubes": "1",
            "plate": "430 V",
            "kind": "pentode",
            "rated": "25 W",
            "bias": "fixed",
        },
        ["36.19 mA", "a guess of a twentieth", "62.2 % of the rating", "70 %, 40.7 mA"],
    ),
    ("transformer-ratio", {"primary": "20", "secondary": "0.8", "load": "8"}, ["25.0 to 1", "5 kΩ"]),
]
AMPLIFIERS += [
    ("distortion", {"fundamental": "100 mV", "harmonics": "10 mV, 20 mV"}, ["22.4 % of the fundamental"]),
    ("distortion", {"harmonics": "-40 dB"}, ["1.00 %"]),
]
AMPLIFIERS_REFUSED = [
    ("loudspeakers", {"loads": "8,8", "way": "parallel"}, "A comma between two figures"),
    ("distortion", {"harmonics": "60 72"}, "must lie within -200 to 0 dB"),
    ("signal-to-noise", {"signal": "1 V", "noise": "2 V"}, "no smaller than the signal"),
    ("damping", {"light_volt": "2.7", "heavy_volt": "2.8", "heavy": "8", "nominal": "8"}, "exchanged"),
    ("rise-time", {}, "Type bandwidth or rise time"),
    ("zobel", {"volt": "20 kV", "ohm": "10", "farad": "100 nF", "hertz": "20 kHz"}, "within 0.01 to 1000 V"),
    ("crossover", {"kind": "first", "hertz": "1 MHz", "ohm": "8"}, "20 to 40000 Hz"),
    ("loudspeakers", {"loads": "0.1 8", "way": "parallel"}, "1 to 2000 Ω"),
    (
        "heat-sink",
        {
            "watt": "900",
            "ambient": "40",
            "junction_case": "1.17",
            "case_sink": "0.5",
            "sink": "1.2",
            "most": "150",
        },
        "That would glow",
    ),
    ("output-heat", {"rail": "42 kV", "ohm": "8"}, "within 1 to 300 V"),
    (
        "tube-bias",
        {
            "volt": "38",
            "ohm": "1",
            "tubes": "1",
            "plate": "430 V",
            "kind": "pentode",
            "rated": "25 W",
            "bias": "fixed",
        },
        "look at the cathode resistor",
    ),
    ("transformer-ratio", {"primary": "0", "secondary": "0.8", "load": "8"}, "within 0.01 to 500 V"),
    ("transformer-ratio", {"primary": "0.8", "secondary": "20", "load": "8"}, "exchange the two readings"),
]

REPLACING = [
    (
        "capacitor-for-capacitor",
        {
            "function": "supply",
            "old": "47 µF 35 V",
            "old_sort": "electrolytic",
            "new": "47 µF 50 V 105 °C",
            "new_sort": "electrolytic",
        },
        ["may stand in, with conditions", "ripple current isn’t told"],
    ),
    (
        "capacitor-for-capacitor",
        {
            "function": "y",
            "old": "2.2 nF 250 V",
            "old_sort": "safety Y2",
            "new": "2.2 nF 400 V",
            "new_sort": "film",
        },
        ["may not stand in", "only a part marked X or Y"],
    ),
    (
        "esr",
        {"old": "470 µF 25 V", "series": "general purpose", "reading": "2.1"},
        ["451.5 mΩ at 100 kHz", "leakage"],
    ),
    (
        "device-for-device",
        {
            "sort": "NPN",
            "new_sort": "NPN",
            "old_volt": "50 V",
            "new_volt": "45 V",
            "old_marking": "2SC1815",
            "new_marking": "BC547",
        },
        ["may not stand in", "45 V is less than 50 V", "another type"],
    ),
    ("partner", {"marking": "2SC5200-O"}, ["2SA1943"]),
]
REPLACING_REFUSED = [
    (
        "capacitor-for-capacitor",
        {"function": "supply", "old": "47 µF", "old_sort": "film", "new": "47 µF 50 V", "new_sort": "film"},
        "Type capacitance and voltage",
    ),
    ("esr", {"old": "470 µF 25 kV", "series": "low impedance"}, "within 2.5 to 600 V"),
    (
        "device-for-device",
        {"sort": "NPN", "new_sort": "NPN", "old_leads": "XYZ", "new_leads": "ECB"},
        "Type the leads as ECB",
    ),
    (
        "device-for-device",
        {"sort": "NPN", "new_sort": "NPN", "old_marking": "2SC1815", "new_marking": "2SA1015"},
        "2SA1015 is PNP, not NPN",
    ),
    ("partner", {"marking": "2N9999"}, "No partner of that type"),
]

MECHANICS = [
    (
        "belt",
        {"kind": "square", "first": "8", "second": "80", "centers": "120", "old": "0.6", "new": "1.0"},
        ["389.1 mm", "361.9 to 369.7 mm", "+4.13 %"],
    ),
    ("belt", {"kind": "flat", "path": "400"}, ["380.0 to 388.0 mm"]),
    (
        "belt-drive",
        {"driver": "8", "driven": "80", "thick": "0.6", "rpm": "2400"},
        ["0.1067 turns", "256.1 rpm"],
    ),
    (
        "drive-diameter",
        {"diameter": "9.52", "error": "-2.5", "does": "drives", "line_hz": "50"},
        ["9.764 mm"],
    ),
    (
        "drive-diameter",
        {"does": "drives", "line_hz": "60", "poles": "4", "pulley": "5.2", "rim": "280"},
        ["1800.0 rpm", "33.43 rpm"],
    ),
    ("dial-cord", {"drum": "50", "degrees": "180", "path": "620", "wraps": "3"}, ["78.54 mm", "1191 mm"]),
    # 2 in = 50.8 mm (one inch is 25.4 mm exactly); half a turn of it: 79.796 mm = 3.1416 in
    ("dial-cord", {"drum": "2 in", "degrees": "180", "path": '24.5"', "wraps": "3"}, ["79.80 mm (3.142 in)"]),
    ("hub-torque", {"pull": "20", "radius": "25"}, ["50.0 gf·cm, 4.90 mN·m"]),
    ("screw", {"diameter": "2.93", "pitch": "0.6"}, ["M3 × 0.6", "older Japanese"]),
    ("screw", {"diameter": "6.3", "per_inch": "20"}, ["1/4-20 UNC", "1/4 BSW"]),
]
MECHANICS_REFUSED = [
    ("belt", {"kind": "flat", "first": "80", "second": "80", "centers": "70"}, "would touch"),
    ("belt-drive", {"driver": "0", "driven": "80", "thick": "0.6"}, "driving pulley must lie within"),
    ("drive-diameter", {"does": "drives", "line_hz": "60", "poles": "5"}, "even number of poles"),
    ("dial-cord", {"drum": "5000", "degrees": "180", "path": "620", "wraps": "3"}, "within 5 to 300 mm"),
    ("hub-torque", {"pull": "-1", "radius": "25"}, "pull must lie within"),
    ("screw", {"diameter": "2.93", "pitch": "1.5"}, "No thread of the table fits"),
]
MARKS = [
    ("color-code", {"body": "tantalum bead", "bands": "brown black brown pink"}, ["100 µF", "35 V"]),
    ("color-code", {"body": "inductor", "bands": "brown black red silver"}, ["1 mH", "±10 %"]),
    ("eia-source", {"code": "137"}, ["CTS", "check against a dated set"]),
    ("plug", {"country": "JP"}, ["type A, B", "100 V, 50 or 60 Hz"]),
    ("safety-mark", {"marking": "0.1µF X2 275V"}, ["2.5 kV"]),
    ("safety-mark", {"marking": "0.1µF 630V"}, ["none is marked"]),
]
MARKS_REFUSED = [
    ("color-code", {"body": "inductor", "bands": "teal black red"}, "no color of a code"),
    ("eia-source", {"code": "999"}, "registrar"),
    ("plug", {"country": "ZZ"}, "Choose one of these."),
    ("safety-mark", {"marking": ""}, "needed for the calculation"),
]

ANSWERED = [*TAPE, *SUPPLY, *AMPLIFIERS, *REPLACING, *MECHANICS, *MARKS]
REFUSED = [
    *TAPE_REFUSED,
    *SUPPLY_REFUSED,
    *AMPLIFIERS_REFUSED,
    *REPLACING_REFUSED,
    *MECHANICS_REFUSED,
    *MARKS_REFUSED,
]
