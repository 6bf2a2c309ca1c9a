"""Numbers of no register whose family can be told all the same: makers' own series, and tubes.

Sources
    American JFETs J, U and MPF; thyristors C103, C106, C122, MCR, TIC, S2800, T2800; power transistors D40 to D45:
    makers' data sheets (from memory). Letters for the voltage of thyristors, F 50 V to N 800 V: General Electric SCR
    manual (from memory).
    Bridge rectifiers B40C800 and the like, volts RMS in and milliampere out: the European form by DIN (from memory);
    BR, DB, DF, RB, RS, W, KBP, KBU, KBPC, GBU, MB: makers' data sheets (from memory).
    Prefixes of integrated circuits and their makers: makers' data books (from memory); one prefix is printed by many
    makers, so it names who began the series, not who made the part.
    78, 79, 317 and their kin: data sheets of the first makers (from memory).
    Tubes: EIA (RETMA) numbers, heater volts first, S for single-ended, suffix G, GT and versions; the European code of
    1934 with its letters for heater and systems: handbooks of the makers (from memory).

All of it is what a number suggests. Ratings and pinout stand in the data sheet of the very type.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import NamedTuple

from .registers import Polarity, Register


class Told(NamedTuple):
    """What a family tells of one number; ``guess`` where a date code or another number looks the same."""

    type_number: str
    suffix: str
    says: tuple[str, ...]
    polarity: Polarity | None = None
    register: Register = Register.FAMILY
    guess: bool = False


_Reader = Callable[[re.Match[str]], Told | None]


def told_of(text: str) -> Iterator[Told]:
    """What each family that a number fits says of it; none for most. ``text`` has no spaces and is in capitals."""
    for form, reader in _FAMILIES:
        matched = form.fullmatch(text)
        found = reader(matched) if matched else None
        if found is not None:
            yield found


# --- junction field-effect transistors -------------------------------------------------------------------------------

_N, _P = Polarity.N_CHANNEL, Polarity.P_CHANNEL
_JFETS: tuple[tuple[range, Polarity, str], ...] = (
    (range(105, 114), _N, "switching"),
    (range(174, 178), _P, "switching"),
    (range(201, 205), _N, "small signal"),
    (range(210, 213), _N, "small signal"),
    (range(230, 233), _N, "small signal, low noise"),
    (range(270, 272), _P, "small signal"),
    (range(304, 306), _N, "radio frequency"),
    (range(308, 311), _N, "radio frequency"),
)


def _jfet(matched: re.Match[str]) -> Told | None:
    number = int(matched["num"])
    for numbers, channel, use in _JFETS:
        if number in numbers:
            said = f"American junction field-effect transistor, {channel}, {use}"
            return Told(f"J{number}", matched["tail"], (said,), channel)
    return None


_U_JFETS = {"308": _N, "309": _N, "310": _N}


def _u_jfet(matched: re.Match[str]) -> Told | None:
    channel = _U_JFETS.get(matched["num"])
    said = f"American junction field-effect transistor, {channel}, radio frequency"
    return Told(f"U{matched['num']}", "", (said,), channel) if channel else None


def _mpf(matched: re.Match[str]) -> Told | None:
    said = "American junction field-effect transistor, N-channel, small signal"
    return Told(matched[0], "", (said,), _N)


# --- thyristors ------------------------------------------------------------------------------------------------------

_THYRISTOR_VOLTS = {
    "Y": 30, "U": 25, "F": 50, "A": 100, "G": 150, "B": 200, "H": 250, "C": 300, "D": 400, "E": 500, "M": 600,
    "S": 700, "N": 800,
}  # fmt: skip
_C_SERIES = {"103": "0.8 A", "106": "4 A", "107": "4 A", "122": "8 A"}
_MCR_VOLTS = {"1": 30, "2": 50, "3": 100, "4": 200, "5": 300, "6": 400, "7": 500, "8": 600}
_TIC_TRIACS = {"206", "216", "225", "226", "236", "246", "253", "263"}


def _c_thyristor(matched: re.Match[str]) -> Told | None:
    number, letter = matched["num"], matched["volt"] or ""
    if number not in _C_SERIES:
        return None
    says = [f"thyristor (SCR), {_C_SERIES[number]} series"]
    if letter:
        says.append(f"letter {letter}: {_THYRISTOR_VOLTS[letter]} V")
    return Told(f"C{number}", f"{letter}{matched['tail']}", tuple(says))


def _mcr(matched: re.Match[str]) -> Told:
    says = ["thyristor (SCR)"]
    if matched["volt"]:
        says.append(f"-{matched['volt']}: {_MCR_VOLTS[matched['volt']]} V")
    return Told(f"MCR{matched['num']}", matched["volt"] or "", tuple(says))


def _tic(matched: re.Match[str]) -> Told:
    kind = "triac" if matched["num"] in _TIC_TRIACS else "thyristor (SCR)"
    says = [kind]
    if matched["volt"]:
        says.append(f"letter {matched['volt']}: {_THYRISTOR_VOLTS[matched['volt']]} V")
    return Told(f"TIC{matched['num']}", matched["volt"] or "", tuple(says))


def _s2800(matched: re.Match[str]) -> Told:
    kind = "triac" if matched["kind"] == "T" else "thyristor (SCR)"
    says = [kind]
    if matched["volt"]:
        says.append(f"letter {matched['volt']}: {_THYRISTOR_VOLTS[matched['volt']]} V")
    return Told(f"{matched['kind']}{matched['num']}", matched["volt"] or "", tuple(says))


# --- American transistors of one maker's series ----------------------------------------------------------------------

_D_SERIES = {"40": Polarity.NPN, "41": Polarity.PNP, "42": Polarity.NPN, "43": Polarity.PNP, "44": Polarity.NPN,
             "45": Polarity.PNP}  # fmt: skip


def _d_series(matched: re.Match[str]) -> Told:
    polarity = _D_SERIES[matched["num"]]
    return Told(
        f"D{matched['num']}{matched['rest']}",
        "",
        (f"American power transistor, {polarity}: the D{matched['num']} series",),
        polarity,
    )


def _ck(matched: re.Match[str]) -> Told:
    number = int(matched["num"])
    if 718 <= number <= 728:
        said = "early American germanium transistor, PNP: the CK7 series of the 1950s"
        return Told(matched[0], "", (said,), Polarity.PNP)
    return Told(matched[0], "", ("early American transistor or subminiature tube of the CK series",))


# --- bridge rectifiers -----------------------------------------------------------------------------------------------

_BRIDGE_STEPS = {"1": 50, "2": 100, "3": 200, "4": 400, "5": 600, "6": 800, "7": 1000}
_BRIDGE_TENTHS = {"005": 50, "01": 100, "02": 200, "04": 400, "06": 600, "08": 800, "10": 1000}
_BRIDGE_LETTERS = {"A": 50, "B": 100, "D": 200, "G": 400, "J": 600, "K": 800, "M": 1000}
_STEPPED = {"DB10": "1 A", "DB15": "1.5 A", "RB15": "1.5 A", "RS10": "1 A", "RS20": "2 A", "RS40": "4 A",
            "RS60": "6 A", "RS80": "8 A"}  # fmt: skip
_TENTHED = {"DF": "1 A", "W": "1.5 A", "KBP": "1.5 A", "2W": "2 A", "KBL": "4 A"}
_LETTERED = {"KBU4": "4 A", "KBU6": "6 A", "KBU8": "8 A", "GBU4": "4 A", "GBU6": "6 A", "GBU8": "8 A",
             "GBU10": "10 A"}  # fmt: skip


def _bridge(type_number: str, suffix: str, *says: str) -> Told:
    return Told(type_number, suffix, ("bridge rectifier", *says))


def _din_bridge(matched: re.Match[str]) -> Told:
    currents = [f"{int(one)} mA" for one in (matched["amp"], matched["cooled"]) if one]
    said = f"{currents[0]} out"
    if len(currents) > 1:
        more, less = sorted((int(matched["amp"]), int(matched["cooled"])), reverse=True)
        said = f"{more} mA out on a heat sink, {less} mA without"
    return _bridge(matched[0], "", f"{int(matched['volt'])} V RMS in", said)


def _stepped_bridge(matched: re.Match[str]) -> Told | None:
    amperes = _STEPPED.get(matched["series"])
    if amperes is None:
        return None
    volts = _BRIDGE_STEPS[matched["step"]]
    number = matched["series"] + matched["step"]
    return _bridge(number, matched["tail"], amperes, f"{volts} V peak reverse")


def _tenthed_bridge(matched: re.Match[str]) -> Told:
    number, volts = matched["series"] + matched["step"], _BRIDGE_TENTHS[matched["step"]]
    return _bridge(number, matched["tail"], _TENTHED[matched["series"]], f"{volts} V peak reverse")


def _lettered_bridge(matched: re.Match[str]) -> Told | None:
    amperes = _LETTERED.get(matched["series"])
    volts = _BRIDGE_LETTERS[matched["step"]]
    return _bridge(matched[0], "", amperes, f"{volts} V peak reverse") if amperes else None


def _kbpc(matched: re.Match[str]) -> Told:
    volts = _BRIDGE_TENTHS[matched["step"]]
    number = f"{matched['series']}{matched['amp']}{matched['step']}"
    return _bridge(number, matched["tail"], f"{int(matched['amp'])} A", f"{volts} V peak reverse")


def _br_bridge(matched: re.Match[str]) -> Told:
    volts = _BRIDGE_TENTHS[matched["step"].zfill(3 if matched["step"] == "05" else 2)]
    return _bridge(matched[0], "", f"{matched['amp']} A", f"{volts} V peak reverse")


def _mb_bridge(matched: re.Match[str]) -> Told:
    return _bridge(matched[0], "", "0.5 A", f"{int(matched['hundred']) * 100} V peak reverse")


# --- regulators ------------------------------------------------------------------------------------------------------

_FIXED = {"05", "06", "08", "09", "10", "12", "15", "18", "20", "24"}
_SIZES = {"": "1 to 1.5 A", "L": "0.1 A", "N": "0.3 A", "M": "0.5 A", "S": "2 A", "T": "3 A", "H": "5 A"}
_ADJUSTABLE = {
    "317": ("positive, adjustable", "1.5 A, from 1.25 V up"),
    "337": ("negative, adjustable", "1.5 A, from -1.25 V down"),
    "338": ("positive, adjustable", "5 A, from 1.2 V up"),
    "350": ("positive, adjustable", "3 A, from 1.2 V up"),
}
_SMALLER = re.compile(r"[LMH](?!V)")
_SMALLER_AMPERES = {"L": "0.1 A", "M": "0.5 A", "H": "0.5 A"}
"""The letter behind 317 and 337: L and M are smaller ones, H a small metal can, HV the full size for more volts."""
REGULATOR_CAUTION = "positive and negative types have different pinouts"


def _fixed_regulator(matched: re.Match[str]) -> Told | None:
    volts = matched["volt"]
    if volts not in _FIXED:
        return None
    sign, minus = ("positive", "") if matched["sign"] == "8" else ("negative", "-")
    size = _SIZES[matched["size"] or ""]
    number = f"7{matched['sign']}{matched['size'] or ''}{volts}"
    says = (f"regulator, {sign}, {minus}{int(volts)} V, {size} by size letter", REGULATOR_CAUTION)
    # 7912C may be a date with a plant's letter: only two letters behind a bare number are a case
    bare = not matched["maker"] and not matched["size"] and len(matched["tail"]) < 2
    return Told(f"{matched['maker'] or ''}{number}", matched["tail"], says, guess=bare)


def _adjustable_regulator(matched: re.Match[str]) -> Told:
    kind, rating = _ADJUSTABLE[matched["num"]]
    if matched["num"] in {"317", "337"} and (small := _SMALLER.match(matched["tail"])):
        rating = rating.replace("1.5 A", _SMALLER_AMPERES[small[0]])
    return Told(
        f"{matched['maker']}{matched['num']}",
        matched["tail"],
        (f"regulator, {kind}, {rating}", REGULATOR_CAUTION),
    )


# --- integrated circuits ---------------------------------------------------------------------------------------------

_IC_PREFIXES = {
    "AD": "Analog Devices", "AN": "Matsushita", "BA": "Rohm", "CA": "RCA", "CXA": "Sony", "HA": "Hitachi",
    "ICL": "Intersil", "KA": "Samsung", "LA": "Sanyo", "LB": "Sanyo", "LC": "Sanyo", "LF": "National Semiconductor",
    "LM": "National Semiconductor", "LME": "National Semiconductor", "LT": "Linear Technology", "M": "Mitsubishi",
    "MC": "Motorola", "NE": "Signetics", "NJM": "New Japan Radio", "OP": "Precision Monolithics", "OPA": "Burr-Brown",
    "RC": "Raytheon", "SA": "Signetics", "SE": "Signetics", "SSM": "Solid State Micro Technology", "STK": "Sanyo",
    "STR": "Sanken", "TA": "Toshiba", "TC": "Toshiba", "TL": "Texas Instruments", "UA": "Fairchild",
    "UPC": "NEC", "XR": "Exar",
}  # fmt: skip
_ALSO_TRANSISTORS = {"SA", "SE"}
"""SE4010 is an early American transistor, and SA1015 leaves the 2 of a Japanese one off."""
_PRO_ELECTRON_IC = {"SAA", "TAA", "TBA", "TCA", "TDA", "TEA", "UAA"}

_KNOWN_AMPLIFIERS = {
    "LM358": "dual op-amp", "LM324": "quad op-amp", "LM741": "op-amp", "UA741": "op-amp",
    "LM301": "op-amp", "LM386": "small power amplifier", "LM3886": "power amplifier", "LM833": "dual op-amp",
    "LM4562": "dual op-amp", "LME49720": "dual op-amp", "LF351": "op-amp, JFET input", "LF353": "dual op-amp, JFET input",
    "LF347": "quad op-amp, JFET input", "LF356": "op-amp, JFET input", "TL071": "op-amp, JFET input",
    "TL072": "dual op-amp, JFET input", "TL074": "quad op-amp, JFET input", "TL081": "op-amp, JFET input",
    "TL082": "dual op-amp, JFET input", "TL084": "quad op-amp, JFET input", "NE5532": "dual op-amp",
    "SA5532": "dual op-amp", "NE5534": "op-amp", "SE5534": "op-amp", "NE555": "timer", "RC4558": "dual op-amp",
    "BA4558": "dual op-amp", "NJM4558": "dual op-amp", "MC4558": "dual op-amp", "NJM2068": "dual op-amp",
    "NJM4580": "dual op-amp", "BA4560": "dual op-amp", "RC4136": "quad op-amp", "UPC4570": "dual op-amp",
    "MC1458": "dual op-amp", "MC33078": "dual op-amp", "CA3080": "transconductance amplifier",
    "CA3140": "op-amp, MOSFET input", "AD711": "op-amp, JFET input", "AD712": "dual op-amp, JFET input",
    "AD797": "op-amp", "AD827": "dual op-amp", "AD844": "op-amp, current feedback", "OP27": "op-amp", "OP37": "op-amp",
    "OP275": "dual op-amp", "OPA134": "op-amp, JFET input", "OPA2134": "dual op-amp, JFET input",
    "OPA2604": "dual op-amp, JFET input", "OPA627": "op-amp, JFET input", "TDA2030": "power amplifier",
    "TDA2050": "power amplifier", "TDA7293": "power amplifier", "TDA7294": "power amplifier", "TDA1541": "D/A converter",
    "TDA1514": "power amplifier", "AN214": "audio power amplifier", "AN7110": "audio power amplifier",
    "BA328": "dual preamplifier", "LA3161": "dual preamplifier", "LA4440": "dual power amplifier",
    "HA1392": "dual power amplifier", "TA7136": "preamplifier", "TA7205": "audio power amplifier",
    "STK465": "dual power amplifier, hybrid", "STK4036": "power amplifier, hybrid",
}  # fmt: skip


def _ic(matched: re.Match[str]) -> Told | None:
    prefix, number = matched["prefix"], matched["num"]
    if number in _ADJUSTABLE or (number[:2] in {"78", "79"} and number[2:] in _FIXED):
        return None
    type_number = prefix + number
    known = _KNOWN_AMPLIFIERS.get(type_number)
    if known is None and not _plausible_ic(prefix, number):
        return None
    if prefix in _PRO_ELECTRON_IC:
        says = [f"integrated circuit: {known}" if known else "integrated circuit by Pro Electron's letters"]
    else:
        began = f"the {prefix} series that {_IC_PREFIXES[prefix]} began; others print it too"
        says = [f"integrated circuit: {known}" if known else "integrated circuit", began]
    if prefix == "HA" and len(number) == 4 and number[0] in "25" and not known:
        says[1] = "the HA series of Hitachi, or the one of Harris"
    if prefix in {"STK", "STR"} and not known:
        says[0] = "hybrid integrated circuit"
    return Told(type_number, matched["tail"], tuple(says), guess=prefix in _ALSO_TRANSISTORS and not known)


def _plausible_ic(prefix: str, number: str) -> bool:
    """Whether an unknown number fits its series, where the same letters mean a registered device as well."""
    if prefix == "AD":
        return number[0] in "5678" or len(number) == 4
    if prefix == "BA":
        return number[0] in "3567" or len(number) == 4
    if prefix in {"CA", "RC"}:
        return len(number) == 4
    if prefix == "M":
        return len(number) > 3 and number[0] == "5"
    return True


# --- tubes -----------------------------------------------------------------------------------------------------------

_HEATERS = {
    "0": "no heater: cold cathode, such as a voltage stabilizer", "1": "1.25 V, 1.4 V or 2 V, seldom less",
    "2": "2.1 V to 2.5 V", "3": "2.8 V to 3.3 V", "4": "about 4 V", "5": "5 V, 4.7 V in series strings", "6": "6.3 V",
    "7": "6.3 V, loctal or 7 V", "8": "about 8 V", "9": "about 9 V", "12": "12.6 V", "14": "12.6 V, loctal or 14 V",
    "25": "25 V", "35": "35 V", "50": "50 V", "117": "117 V",
}  # fmt: skip
_EIA_NUMBERED = {
    "807": "beam power tube", "5687": "dual triode", "5751": "dual triode", "5814": "dual triode", "5881": "beam power tube",
    "5965": "dual triode", "6072": "dual triode", "6080": "dual power triode", "6146": "beam power tube",
    "6201": "dual triode", "6550": "beam power tube", "6922": "dual triode", "6973": "beam power tube",
    "7025": "dual triode", "7027": "beam power tube", "7189": "power pentode", "7199": "triode and pentode",
    "7308": "dual triode", "7355": "beam power tube", "7591": "power pentode", "7868": "power pentode", "8417": "beam power tube",
}  # fmt: skip


def _eia_tube(matched: re.Match[str]) -> Told | None:
    volts, letters = matched["volt"], matched["letters"]
    if volts in {"2", "3"} and letters.startswith("S") and len(letters) > 1:
        return None  # 2SA9 is a Japanese number that never was, not a tube
    heater = _HEATERS.get(volts, f"about {volts} V")
    tail = matched["tail"] or ""
    says = ["tube by EIA number", f"heater {heater}" if volts != "0" else heater]
    alike = "" if tail else _like_a_tube(volts, letters, matched["num"])
    if tail:
        says.append(f"suffix {tail}: envelope or version")
    if alike:
        says.append(alike)
    return Told(f"{volts}{letters}{matched['num']}", tail, tuple(says), None, Register.TUBE_EIA, bool(alike))


def _like_a_tube(volts: str, letters: str, number: str) -> str:
    """What else has the form of an EIA tube number; empty for most."""
    if volts in {"10", "20", "30"}:
        british = f"or a British tube of {volts}0 mA heater current"
        return f"{british}, or a rectifier diode" if len(letters) == 1 else british
    if volts in {"1", "3", "5", "6"} and letters == "A" and number in "124568":
        return f"or a rectifier diode of {volts} A"
    return ""


def _numbered_tube(matched: re.Match[str]) -> Told | None:
    known = _EIA_NUMBERED.get(matched["num"])
    says = (f"{known} by EIA number",)
    tail = matched["tail"] or ""
    return Told(matched["num"], tail, says, None, Register.TUBE_EIA, guess=True) if known else None


_EUROPEAN_HEATERS = {
    "A": "4 V", "C": "200 mA in series", "D": "1.4 V or less, battery", "E": "6.3 V", "G": "5 V", "H": "150 mA in series",
    "K": "2 V, battery", "L": "450 mA in series", "P": "300 mA in series", "U": "100 mA in series", "X": "600 mA in series",
}  # fmt: skip
_SYSTEMS = {
    "A": "diode", "B": "dual diode", "C": "triode", "D": "power triode", "E": "tetrode", "F": "pentode",
    "H": "hexode or heptode", "K": "octode or heptode", "L": "power pentode or tetrode", "M": "tuning indicator",
    "N": "gas triode", "P": "secondary-emission tube", "Q": "nonode", "Y": "half-wave rectifier",
    "Z": "full-wave rectifier",
}  # fmt: skip
_BASES = {
    "3": "octal",
    "4": "rimlock",
    "5": "magnoval or special",
    "8": "noval",
    "9": "miniature, seven pins",
}
_MADE_SYSTEMS = frozenset({
    "A", "AA", "AB", "ABC", "AC", "AF", "AM", "B", "BC", "BF", "BL", "C", "CC", "CF", "CH", "CL", "CLL", "D", "DD", "F", "FF",
    "FL", "FM", "H", "K", "L", "LL", "M", "MM", "N", "Q", "Y", "Z",
})  # fmt: skip
"""Combinations in which tubes were made: KBPC35 is a bridge rectifier, HEP51 a replacement number."""
_MADE_BASES = {
    "D": "2346789",
    "E": "123456789",
    "G": "3",
    "H": "89",
    "L": "8",
    "P": "389",
    "U": "12489",
    "X": "8",
}
"""First figures with which each heater was made in numbers: HC49 is the can of a crystal, AC12 a supply."""
_NEVER_TUBES = frozenset("YZ")
"""As a last letter before two figures these are common in semiconductors (AAZ15, CNY17)."""


def _european_tube(matched: re.Match[str]) -> Told | None:
    heater, systems, number = matched["heater"], matched["systems"], matched["num"]
    prefix = heater + systems
    if heater in "ACD" and len(systems) == 2 and systems[1] in _NEVER_TUBES:
        return None  # AAZ15, CNY17
    if len(number) > 1 and prefix in _IC_PREFIXES:
        return None  # LM10, UA741
    if len(number) == 3 and (heater not in "EPU" or number[0] not in "12589" or prefix in {"PN", "EN"}):
        return None  # AC128, PN100
    named = " and ".join(_SYSTEMS[one] for one in dict.fromkeys(systems))
    if len(systems) == 2 and systems[0] == systems[1]:
        named = f"dual {_SYSTEMS[systems[0]]}"
    says = ["tube by the European code", f"heater {_EUROPEAN_HEATERS[heater]}", named]
    if len(number) > 1 and (base := _BASES.get(number[0])):
        says.append(f"base {base}")
    tail = matched["tail"] or ""
    made = systems in _MADE_SYSTEMS and (number[0] in _MADE_BASES.get(heater, "") or prefix == "AZ")
    unsure = len(number) != 2 or not made  # PC817 is an optocoupler, PC900 a tube
    return Told(f"{prefix}{number}", tail, tuple(says), None, Register.TUBE_EUROPE, guess=unsure)


def _special_tube(matched: re.Match[str]) -> Told:
    heater, systems = matched["heater"], matched["systems"]
    named = (
        f"dual {_SYSTEMS[systems[0]]}"
        if systems == systems[0] * 2
        else " and ".join(_SYSTEMS[one] for one in systems)
    )
    says = ("tube by the European code, special quality", f"heater {_EUROPEAN_HEATERS[heater]}", named)
    number = matched["num"]
    unsure = systems not in _MADE_SYSTEMS or _SPECIAL_NUMBERS(number) is None
    return Told(f"{heater}{number}{systems}", matched["tail"], says, None, Register.TUBE_EUROPE, unsure)


_SPECIAL_NUMBERS = re.compile(r"[12]?[89][0-9]|130|55|81[0-9]").fullmatch
"""What stands in tubes of special quality: E80CC, E188CC, E130L, E55L, E810F (makers' handbooks, from memory)."""


def _kt_tube(matched: re.Match[str]) -> Told:
    return Told(
        matched["num"], matched["tail"], ("beam power tube of the KT series",), None, Register.TUBE_EUROPE
    )


_TAIL = r"(?P<tail>[-/]?[A-Z]{0,3}[0-9]?(?:[-/][A-Z0-9]{1,4})?)"
_STEPS = "|".join(_BRIDGE_TENTHS)
_MAKERS = r"(?P<maker>LM|UA|MC|L|NJM|AN|TA|KA|HA|UPC|KIA|BA)?"
_FAMILIES: tuple[tuple[re.Pattern[str], _Reader], ...] = (
    (re.compile(r"J(?P<num>[1-3][0-9]{2})(?P<tail>[A-Z]?)"), _jfet),
    (re.compile(r"U(?P<num>3[01][0-9])"), _u_jfet),
    (re.compile(r"MPF10[2-9]|MPF11[12]"), _mpf),
    (re.compile(r"C(?P<num>1[0-9]{2})(?P<volt>[YUFAGBHCDEMSN])?(?P<tail>1?)"), _c_thyristor),
    (re.compile(r"MCR(?P<num>[0-9]{2,3})(?:-(?P<volt>[1-8]))?"), _mcr),
    (re.compile(r"TIC(?P<num>[0-9]{2,3})(?P<volt>[YUFAGBHCDEMSN])?"), _tic),
    (re.compile(r"(?P<kind>[ST])(?P<num>2800|2801|4700|6000)(?P<volt>[FABCDEMN])?"), _s2800),
    (re.compile(r"D(?P<num>4[0-5])(?P<rest>[A-Z]{1,3}[0-9]{1,2})"), _d_series),
    (re.compile(r"CK(?P<num>7[0-9]{2}|5[0-9]{2}|10[0-9]{2})"), _ck),
    (re.compile(r"B(?P<volt>[0-9]{2,3})C(?P<amp>[0-9]{3,5})(?:[-/](?P<cooled>[0-9]{3,5}))?"), _din_bridge),
    (re.compile(r"(?P<series>(?:DB1|RB1|RS[1-8])[05])(?P<step>[1-7])(?P<tail>[A-Z]{0,2})"), _stepped_bridge),
    (re.compile(rf"(?P<series>DF|2W|W|KBP|KBL)(?P<step>{_STEPS})(?P<tail>[A-Z]?)"), _tenthed_bridge),
    (re.compile(r"(?P<series>(?:KBU|GBU)[0-9]{1,2})(?P<step>[ABDGJKM])"), _lettered_bridge),
    (re.compile(rf"(?P<series>KBPC|GBPC)(?P<amp>[0-9]{{1,2}})(?P<step>{_STEPS})(?P<tail>[A-Z]?)"), _kbpc),
    (re.compile(r"BR(?P<amp>[368])(?P<step>05|10|[12468])[DLMW]?"), _br_bridge),
    (re.compile(r"MB(?P<hundred>[1246]|8|10)[MSF]"), _mb_bridge),
    (
        re.compile(rf"{_MAKERS}7(?P<sign>[89])(?P<size>[LMNSTH]?)(?P<volt>[0-9]{{2}}){_TAIL}"),
        _fixed_regulator,
    ),
    (re.compile(rf"(?P<maker>LM|KA|UPC|NJM|TL|MC)(?P<num>317|337|338|350){_TAIL}"), _adjustable_regulator),
    (
        re.compile(
            rf"(?P<prefix>{'|'.join(sorted([*_IC_PREFIXES, *_PRO_ELECTRON_IC], key=len, reverse=True))})"
            rf"(?P<num>[0-9]{{2,5}})(?P<tail>(?![0-9])[-/]?[A-Z]{{0,4}}[0-9]?(?:[-/][A-Z0-9]{{1,4}})?)"
        ),
        _ic,
    ),
    (
        re.compile(
            r"(?P<volt>0|[1-9]|1[0-9]|2[0-9]|3[0-9]|4[0-9]|50|117)(?P<letters>[A-HJ-NP-Z]{1,3})"
            r"(?P<num>[1-9])(?P<tail>(?:GT|G|WA|WB|WC|W|A|B|C)?(?:[ABC]|/[A-Z0-9]{3,6})?)"
        ),
        _eia_tube,
    ),
    (re.compile(r"(?P<num>[0-9]{3,4})(?P<tail>W|A|WA|WB)?"), _numbered_tube),
    (
        re.compile(
            r"(?P<heater>[ACDEGHKLPUX])(?P<systems>[ABCDEFHKLMNPQYZ]{1,3})(?P<num>[1-9][0-9]{0,2})(?P<tail>S|SF|N|F)?"
        ),
        _european_tube,
    ),
    (
        re.compile(r"(?P<heater>E)(?P<num>[1-9][0-9]{1,2})(?P<systems>[ABCDEFHKLMNPQYZ]{1,2})(?P<tail>)"),
        _special_tube,
    ),
    (re.compile(r"(?P<num>KT(?:61|66|77|88|90|100|120|150))(?P<tail>[A-Z]?)"), _kt_tube),
)
