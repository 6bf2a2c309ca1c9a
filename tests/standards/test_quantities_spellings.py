"""Every sloppy and old spelling of a unit that the bench reads, with the power of ten that it stands for.

The prefixes: SI brochure, 9th edition, table 7 (from memory). Old units: a cycle per second is a hertz, mfd and mmfd are
the micro- and the micromicrofarad of old parts lists (common practice, no source); the list is written out here once
more by hand, so that a slip in the handbook's table shows.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from shop.handbook.quantities import Kind, Unreadable, parse

OHMS = {
    "R": 0, "r": 0, "Ω": 0, "ohm": 0, "ohms": 0, "kΩ": 3, "KΩ": 3, "k": 3, "K": 3, "kohm": 3, "kilohm": 3, "MΩ": 6,
    "M": 6, "meg": 6, "Meg": 6, "MEG": 6, "megohm": 6, "megohms": 6, "mΩ": -3, "milliohm": -3, "GΩ": 9,
}  # fmt: skip
FARADS = {
    "F": 0, "mF": -3, "µF": -6, "μF": -6, "uF": -6, "UF": -6, "uf": -6, "µf": -6, "μf": -6, "Uf": -6, "mfd": -6,
    "Mfd": -6, "MFD": -6, "ufd": -6, "uFd": -6, "UFD": -6, "µFd": -6, "μFd": -6, "microfarad": -6, "nF": -9, "nf": -9,
    "NF": -9, "nanofarads": -9, "pF": -12, "pf": -12, "PF": -12, "picofarad": -12, "mmfd": -12, "MMFD": -12, "uuF": -12,
    "uuf": -12, "µµF": -12, "μμF": -12, "p": -12, "n": -9, "µ": -6, "u": -6,
}  # fmt: skip
HENRIES = {
    "H": 0,
    "mH": -3,
    "mh": -3,
    "µH": -6,
    "μH": -6,
    "uH": -6,
    "uh": -6,
    "µh": -6,
    "μh": -6,
    "nH": -9,
    "nh": -9,
}
HERTZ = {
    "Hz": 0, "hz": 0, "c/s": 0, "cps": 0, "kHz": 3, "KHz": 3, "khz": 3, "Khz": 3, "kc": 3, "Kc": 3, "KC": 3, "kc/s": 3,
    "MHz": 6, "Mhz": 6, "Mc": 6, "MC": 6, "Mc/s": 6, "GHz": 9, "ghz": 9, "Ghz": 9, "mHz": -3,
}  # fmt: skip
VOLTS = {
    "V": 0,
    "v": 0,
    "volt": 0,
    "volts": 0,
    "mV": -3,
    "µV": -6,
    "uV": -6,
    "kV": 3,
    "KV": 3,
    "millivolts": -3,
}
AMPERES = {"A": 0, "amp": 0, "amps": 0, "mA": -3, "µA": -6, "uA": -6, "nA": -9}
WATTS = {"W": 0, "w": 0, "watt": 0, "watts": 0, "mW": -3, "kW": 3}
SPELLINGS = [
    (kind, spelling, power)
    for kind, table in (
        (Kind.RESISTANCE, OHMS), (Kind.CAPACITANCE, FARADS), (Kind.INDUCTANCE, HENRIES), (Kind.FREQUENCY, HERTZ),
        (Kind.VOLTAGE_DC, VOLTS), (Kind.VOLTAGE_AC, VOLTS), (Kind.CURRENT_DC, AMPERES), (Kind.POWER, WATTS),
        (Kind.ESR, {"R": 0, "r": 0, "Ω": 0, "ohm": 0, "mΩ": -3}),
    )
    for spelling, power in table.items()
]  # fmt: skip


@pytest.mark.parametrize("kind,spelling,power", SPELLINGS)
def test_each_spelling_is_worth_its_power_of_ten(kind, spelling, power):
    quantity = parse(f"4.7 {spelling}", kind)
    assert (quantity.value, quantity.kind) == (Decimal("4.7").scaleb(power), kind)


# Two meanings each: milli- or microfarad of old, milli- or megahertz, dBV or dBu of old (common practice, no source)
@pytest.mark.parametrize("text", ["0.1 mf", "0.1 MF", "5 mhz", "3 dBv", "3 dbv"])
def test_a_spelling_with_two_meanings_is_refused(text):
    with pytest.raises(Unreadable):
        parse(text)


# Our own choice, so that a mega typed for a milli is noticed: the powers of ten from which a value is not believed
@pytest.mark.parametrize("kind,largest,refused", [
    (Kind.VOLTAGE_AC, "99.9 kV", "100 kV"), (Kind.POWER, "99.9 kW", "100 kW"),
    (Kind.GAIN, "9999999", "10000000"), (Kind.TIME, "99999999 s", "100000000 s"),
    (Kind.LEVEL, "9999 dB", "10000 dB"), (Kind.PERCENT, "999999 %", "1000000 %"),
])  # fmt: skip
def test_what_no_bench_measures_is_noticed(kind, largest, refused):
    assert parse(largest, kind).kind is kind
    with pytest.raises(Unreadable, match="more than any bench measures"):
        parse(refused, kind)


@pytest.mark.parametrize(
    "text,kind,value",
    [
        ("-5 %", Kind.PERCENT, -5),
        ("-3 dB", Kind.LEVEL, -3),
        ("\u20135 V", Kind.VOLTAGE_DC, -5),
        ("\u22125 V", Kind.VOLTAGE_DC, -5),
    ],
)
def test_a_change_may_be_downwards(text, kind, value):
    assert parse(text, kind).value == value
