"""Device for device: whether one transistor may stand in for another, by ratings that are typed in or stand on the part.

Sources
    Ratings as absolute maxima, hFE and f_T as ranges: data sheets' usual terms (from memory). Voltage, current, power no
    less; the same polarity, material and kind; leads in order; an insulated tab kept insulated: common practice, no source.
    f_T more than four times the original's may oscillate in an output stage; C_ob much above it slows a voltage amplifier:
    common practice, no source. Partners: complementary pairs as makers' data sheets name them, from memory.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from ..amplifiers.heat import derated_watt
from ..designations import NoDesignation, Polarity, Register, read_designation
from ..in_words import plain
from ..quantities import engineering
from ..refusal import Refused, refuse_outside
from .saying import Remark, mind, no, not_known

FAR_FASTER = Decimal(4)
MORE_COB = Decimal("1.5")


class Sort(StrEnum):
    """What the device is."""

    NPN = "NPN"
    PNP = "PNP"
    NPN_DARLINGTON = "NPN Darlington"
    PNP_DARLINGTON = "PNP Darlington"
    NPN_GERMANIUM = "NPN germanium"
    PNP_GERMANIUM = "PNP germanium"
    N_JFET = "N-channel JFET"
    P_JFET = "P-channel JFET"
    N_MOSFET = "N-channel MOSFET"
    P_MOSFET = "P-channel MOSFET"


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """A device's ratings; None for what isn't known. Volt, ampere, watt at 25 °C, hertz, farad; leads as ECB or GDS."""

    sort: Sort
    volt: Decimal | None = None
    ampere: Decimal | None = None
    watt: Decimal | None = None
    hertz: Decimal | None = None
    farad: Decimal | None = None
    hfe_low: Decimal | None = None
    hfe_high: Decimal | None = None
    leads: str = ""
    case: str = ""
    insulated: bool | None = None

    def __post_init__(self) -> None:
        """Refuse what no device is."""
        bounds: tuple[tuple[str, Decimal | None, Decimal | int, Decimal | int, str], ...] = (
            ("rated_voltage", self.volt, 1, 10_000, "V"),
            ("rated_current", self.ampere, Decimal("0.0001"), 1000, "A"),
            ("rated_power", self.watt, Decimal("0.01"), 2000, "W"),
            ("transition_frequency", self.hertz, 1000, Decimal("1E12"), "Hz"),
            ("output_capacitance", self.farad, Decimal("1E-14"), Decimal("1E-7"), "F"),
            ("least_hFE", self.hfe_low, 1, 100_000, ""),
            ("most_hFE", self.hfe_high, 1, 100_000, ""),
        )
        for name, value, low, high, unit in bounds:
            if value is not None:
                refuse_outside(low, high, unit, Refused, **{name: value})
        if self.hfe_low is not None and self.hfe_high is not None and self.hfe_low > self.hfe_high:
            raise Refused("The least hFE is above the most: one of the two is read wrong.")


def judge_device(
    old: Device, new: Device, *, case_celsius: Decimal | None = None, most_junction: Decimal = Decimal(150)
) -> tuple[Remark, ...]:
    """What speaks against ``new`` in the place of ``old``, its conditions, and what wasn't told; empty if nothing does.

    ``case_celsius``: both powers are derated to it.
    """
    if new.sort is not old.sort:
        return (no(f"A {new.sort} for a {old.sort}: another polarity, material or kind."),)
    return (
        *_by_ratings(old, new, case_celsius, most_junction),
        *_by_speed(old, new),
        *_by_gain(old, new),
        *_by_build(old, new),
    )


def _by_ratings(
    old: Device, new: Device, case_celsius: Decimal | None, most_junction: Decimal
) -> Iterator[Remark]:
    for name, unit, before, after in (
        ("voltage", "V", old.volt, new.volt),
        ("current", "A", old.ampere, new.ampere),
        ("power", "W", old.watt, new.watt),
    ):
        if before is None or after is None:
            yield not_known(f"The {name} rating of one of them isn’t told.")
        elif after < before:
            yield no(
                f"Its {name} rating of {engineering(after, unit)} is less than {engineering(before, unit)}."
            )
    if case_celsius is not None and old.watt is not None and new.watt is not None:
        may, might = (derated_watt(one, case_celsius, most_junction) for one in (new.watt, old.watt))
        if may < might:
            yield no(f"At {plain(case_celsius)} °C case it takes {engineering(may, 'W', 3)} only.")
        elif not may:
            yield no(f"At {plain(case_celsius)} °C case it may take nothing at all.")


def _by_speed(old: Device, new: Device) -> Iterator[Remark]:
    if old.hertz is None or new.hertz is None:
        yield mind(
            "f_T isn’t told for both: a slower one may oscillate or droop, a far faster one oscillate."
        )
    elif new.hertz < old.hertz:
        yield mind(
            f"Slower, f_T {engineering(new.hertz, 'Hz')} for {engineering(old.hertz, 'Hz')}: only where that was plenty."
        )
    elif new.hertz > FAR_FASTER * old.hertz:
        yield mind(
            "Far faster than the original: look for oscillation with a scope, and keep the leads short."
        )
    if old.farad is not None and new.farad is not None and new.farad > MORE_COB * old.farad:
        yield mind(
            f"C_ob {engineering(new.farad, 'F')} for {engineering(old.farad, 'F')}: a voltage amplifier gets slower."
        )


def _by_gain(old: Device, new: Device) -> Iterator[Remark]:
    if None in (old.hfe_low, new.hfe_low):
        yield mind("hFE isn’t told for both: measure it, and match where two share a current.")
    elif old.hfe_low is not None and new.hfe_low is not None and new.hfe_low < old.hfe_low:
        yield mind(
            f"hFE from {plain(new.hfe_low)} where it was from {plain(old.hfe_low)}: pick one that reaches it."
        )
    if old.hfe_high is not None and new.hfe_low is not None and new.hfe_low > old.hfe_high:
        yield mind("Far more gain than the original: bias and loop may need another look.")


def _by_build(old: Device, new: Device) -> Iterator[Remark]:
    if not old.leads or not new.leads:
        yield not_known("The order of the leads isn’t told for both.")
    elif (before := tidy_leads(old.leads)) != (after := tidy_leads(new.leads)):
        yield mind(f"Leads {after} where they were {before}: turn or cross them, and sleeve them.")
    if old.case and new.case and old.case.strip().upper() != new.case.strip().upper():
        yield mind(f"Case {new.case.strip()} for {old.case.strip()}: mounting and heat sink change.")
    if old.insulated and new.insulated is False:
        yield mind(
            "Its tab isn’t insulated where the original’s was: mica or pad and bushing, then measure to the sink."
        )


def tidy_leads(leads: str) -> str:
    """The order of leads as three capital letters, seen from the front with the leads down; raises Refused for others."""
    letters = "".join(one for one in leads.upper() if one.isalpha())
    if len(letters) != 3 or set(letters) not in ({"E", "C", "B"}, {"G", "D", "S"}):
        raise Refused("Type the leads as ECB, BCE or GDS: seen from the front, leads down.")
    return letters


_PAIRS = (
    "2N3055 MJ2955", "TIP3055 TIP2955", "TIP29C TIP30C", "TIP31C TIP32C", "TIP41C TIP42C", "TIP35C TIP36C",
    "BD135 BD136", "BD137 BD138", "BD139 BD140", "BD237 BD238", "BD437 BD438", "BD441 BD442", "BDX33C BDX34C",
    "BDX53C BDX54C", "TIP121 TIP126", "TIP122 TIP127", "TIP142 TIP147", "MJE340 MJE350", "MJE15030 MJE15031",
    "MJE15032 MJE15033", "MJ15003 MJ15004", "MJ15022 MJ15023", "MJ15024 MJ15025", "MJ802 MJ4502",
    "MJL3281A MJL1302A", "MJL4281A MJL4302A", "NJW0281 NJW0302", "MJW3281A MJW1302A", "2SC1815 2SA1015",
    "2SC945 2SA733", "2SC1845 2SA992", "2SC2240 2SA970", "2SC2705 2SA1145", "2SC1775 2SA872", "2SC3423 2SA1360",
    "2SC4793 2SA1837", "2SC5171 2SA1930", "2SC5200 2SA1943", "2SC3281 2SA1302", "2SC2922 2SA1216", "2SC3503 2SA1381",
    "2SD669 2SB649", "2SD667 2SB647", "2SD718 2SB688", "2SC5198 2SA1941", "2SK134 2SJ49", "2SK135 2SJ50",
    "2SK1058 2SJ162", "2SK1530 2SJ201", "2SK170 2SJ74", "2SK389 2SJ109", "BC107 BC177", "BC108 BC178", "BC109 BC179",
    "BC546 BC556", "BC547 BC557", "BC548 BC558", "BC549 BC559", "BC550 BC560", "BC337 BC327", "BC338 BC328",
    "BC639 BC640", "2N3904 2N3906", "2N4401 2N4403", "2N2222A 2N2907A", "2N3053 2N4037", "2N5551 2N5401",
    "MPSA06 MPSA56", "MPSA42 MPSA92", "BF469 BF470", "BF471 BF472", "AC127 AC128", "AC187 AC188", "AD161 AD162",
)  # fmt: skip
PARTNERS: dict[str, str] = {}
for _pair in _PAIRS:
    _one, _other = _pair.split()
    PARTNERS |= {_one: _other, _other: _one}


def partner(marking: str) -> str | None:
    """The complementary partner of a type, or None where the table has none; a gain group behind the number is left off.

    Several readings of a short marking give a partner only where they agree.
    """
    try:
        readings = read_designation(marking)
    except NoDesignation as refusal:
        raise Refused(str(refusal)) from refusal
    if any(one.guess for one in readings) and len(readings) > 1:
        return None
    found = {_partner_of(one.full) for one in readings}
    return found.pop() if len(found) == 1 else None


def _partner_of(full: str) -> str | None:
    base = full.split("-", maxsplit=1)[0]
    for length in (len(base), len(base) - 1):
        if base[:length] in PARTNERS and (length == len(base) or base[-1].isalpha()):
            return PARTNERS[base[:length]]
    return None


_POLARITY_OF: dict[Sort, Polarity] = {
    **dict.fromkeys((Sort.NPN, Sort.NPN_DARLINGTON, Sort.NPN_GERMANIUM), Polarity.NPN),
    **dict.fromkeys((Sort.PNP, Sort.PNP_DARLINGTON, Sort.PNP_GERMANIUM), Polarity.PNP),
    **dict.fromkeys((Sort.N_JFET, Sort.N_MOSFET), Polarity.N_CHANNEL),
    **dict.fromkeys((Sort.P_JFET, Sort.P_MOSFET), Polarity.P_CHANNEL),
}


def contradicted(marking: str, sort: Sort) -> str:
    """Why a device of this marking isn't of that sort, in a sentence; empty where its register tells no polarity."""
    try:
        readings = read_designation(marking)
    except NoDesignation as refusal:
        raise Refused(str(refusal)) from refusal
    told = {one.polarity for one in readings if not one.guess}
    if any(one.guess for one in readings) or None in told or _POLARITY_OF[sort] in told:
        return ""
    return f"{readings[0].full} is {' or '.join(sorted(str(one) for one in told))}, not {sort}: choose what it is."


class Kinship(StrEnum):
    """How two markings stand to each other; kept apart, because they aren't worth the same."""

    ORIGINAL = "the original type"
    OTHER = "another type: an equivalent only if every rating says so"
    HOUSE = "a house or replacement number: what is inside isn’t told, so it is never the original"


def kinship(old: str, new: str) -> Kinship:
    """Whether the new marking is the original type, another registered one, or a number that no register knows."""
    try:
        before, after = read_designation(old), read_designation(new)
    except NoDesignation as refusal:
        raise Refused(str(refusal)) from refusal
    plain_types = {one.full.split("-")[0] for one in before if not one.guess}
    if plain_types & {one.full.split("-")[0] for one in after if not one.guess}:
        return Kinship.ORIGINAL
    if all(one.register is Register.NONE for one in after):
        return Kinship.HOUSE
    return Kinship.OTHER
