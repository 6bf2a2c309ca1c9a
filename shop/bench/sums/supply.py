"""Sums of the supply: ripple, bleeder, networks, Zener, regulator, selector, dropper, inrush, lamp to LED."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from django import forms

from shop.bench.forms.proving import MeasuredField
from shop.bench.sums.asking import (
    Said,
    SumForm,
    amperes,
    choice,
    farads,
    number,
    of_unit,
    ohms,
    several,
    signed,
    volts,
    watts,
)
from shop.frame.profile import the_profile
from shop.handbook import discharge
from shop.handbook.audio import LINES
from shop.handbook.in_words import plain
from shop.handbook.preferred import Series, nearest
from shop.handbook.quantities import Kind
from shop.handbook.refusal import Refused
from shop.handbook.supply import line_side, networks, ripple

MAINS = (
    "Live parts. Isolate, discharge, measure before you touch; local codes and licensed practice come first."
)
NOMINAL_LINES = tuple(Decimal(one) for one in (100, 120, 230, 240))
"""For which the primaries of small transformers are wound."""
LINES_HZ = [("50", "50 Hz"), ("60", "60 Hz"), ("400", "400 Hz")]


def _line_hz(typed: str) -> Decimal:
    """The frequency chosen, or that of the shop's country where there is one alone."""
    line = LINES.get(the_profile().country)
    if not typed and (line is None or " " in line.hertz):
        raise Refused("Say whether the line has 50 or 60 Hz.")
    return Decimal(typed or (line.hertz if line else 50))


class RippleSum(SumForm):
    """Ripple on a reservoir capacitor."""

    slug = "ripple"
    title = "Ripple"
    about = (
        "What a reservoir capacitor leaves of the hum at a load, and the lowest voltage between the humps."
    )
    caution = MAINS
    words = "hum filter capacitor reservoir rectifier power supply electrolytic"

    winding = volts(
        "Winding, RMS", Kind.VOLTAGE_AC, help_text="35 V under load; of half the winding with a center tap"
    )
    rectifier = choice("Rectifier", [("bridge", "Bridge"), ("center", "Center tap"), ("half", "Half wave")])
    diode = volts("Drop of one diode", initial="0.8 V", help_text="0.8 V silicon; a tube’s from its curve")
    ampere = amperes("Load", help_text="1.5 A")
    farad = farads("Capacitor", help_text="10 mF")
    line_hz = choice("Line", LINES_HZ, required=False)

    def reckon(self) -> Iterator[Said]:
        """Ripple and voltages for ideal parts, and a capacitor that has lost a fifth."""
        data = self.cleaned_data
        drops = data["diode"] * (2 if data["rectifier"] == "bridge" else 1)
        peak = ripple.peak_behind(data["winding"], drops)
        line_hz, full = _line_hz(data["line_hz"]), data["rectifier"] != "half"
        found = ripple.ripple(peak, data["ampere"], data["farad"], line_hz, full_wave=full)
        yield Said("Ripple", f"{of_unit(found.volt_pp, 'V')} peak to peak at {plain(found.hertz)} Hz")
        yield Said(
            "Voltage", f"{of_unit(found.lowest_volt, 'V')} lowest, {of_unit(found.mean_volt, 'V')} on a meter"
        )
        yield Said("Without load", of_unit(peak, "V") + ", and more on a high line")
        yield Said("Rule of thumb", f"I / (f · C) gives {of_unit(found.rule_volt_pp, 'V')}, the upper bound")
        yield Said(
            "Keep in mind", "an ideal winding; a real one’s resistance lowers the voltage and the ripple"
        )


class BleederSum(SumForm):
    """A bleeder across a reservoir."""

    slug = "bleeder"
    title = "Bleeder"
    about = "The largest resistor that empties a capacitor in time, and what it takes all day."
    caution = MAINS
    words = "discharge resistor safety"

    volt = volts("Capacitor charged to", help_text="450 V")
    farad = farads("Capacitance", help_text="100 µF")
    second = number("Safe after, s", initial="60", help_text="60")
    safe = volts("Safe at", initial="60 V", help_text="60 V")

    def reckon(self) -> Iterator[Said]:
        """The resistor, the next preferred one below, its watts."""
        data = self.cleaned_data
        discharge.plan(data["volt"], data["farad"], Decimal(1000))
        ohm = discharge.largest_bleeder(
            data["volt"], data["farad"] * discharge.MORE_THAN_MARKED, data["second"], data["safe"]
        )
        if ohm is None:
            yield Said("Bleeder", "none is needed: it is below that already")
            return
        if not Decimal("0.1") < ohm < Decimal("1E11"):
            raise Refused("No resistor does that: look at the time and the capacitance.")
        near = nearest(ohm, Series.E24)
        below = near.value if near.value <= ohm else nearest(ohm * Decimal("0.95"), Series.E24).value
        yield Said("At most", f"{of_unit(ohm, 'Ω')} (the capacitor may hold a fifth more than marked)")
        watt = data["volt"] * data["volt"] / below
        yield Said(
            "E24",
            f"{of_unit(below, 'Ω')}, which takes {of_unit(watt, 'W')}; choose twice that, and its voltage",
        )
        yield Said("Keep in mind", "a bleeder may be open: measure all the same")


class DividerSum(SumForm):
    """A voltage divider."""

    slug = "divider"
    title = "Voltage divider"
    about = "Output, source resistance and heat of two resistors, loaded or not."
    words = "attenuator potential resistors"

    volt = volts("Voltage", help_text="12 V")
    upper = ohms("Upper resistor", help_text="10k")
    lower = ohms("Lower resistor", help_text="4k7")
    load = ohms("Load", required=False, help_text="100k")

    def reckon(self) -> Iterator[Said]:
        """Output and heat."""
        data = self.cleaned_data
        found = networks.divider(data["volt"], data["upper"], data["lower"], data["load"])
        yield Said("Output", of_unit(found.volt, "V"))
        yield Said("Seen from there", of_unit(found.source_ohm, "Ω"))
        yield Said("Heat", f"{of_unit(found.upper_watt, 'W')} above, {of_unit(found.lower_watt, 'W')} below")


KINDS = {
    "resistors-parallel": ("Resistors in parallel", Kind.RESISTANCE, networks.in_parallel),
    "resistors-series": ("Resistors in series", Kind.RESISTANCE, networks.in_a_row),
    "capacitors-parallel": ("Capacitors in parallel", Kind.CAPACITANCE, networks.in_a_row),
    "capacitors-series": ("Capacitors in series", Kind.CAPACITANCE, networks.in_parallel),
}


class ParallelSum(SumForm):
    """Parts together."""

    slug = "parallel"
    title = "Parallel and series"
    about = "Several resistors or capacitors as one, and its nearest preferred value."
    words = "combine resistors capacitors"

    kind = choice("What", [(key, words) for key, (words, _, _) in KINDS.items()])
    values = forms.CharField(label="Values", max_length=120, help_text="4k7, 10k, 22k")

    def reckon(self) -> Iterator[Said]:
        """The one value."""
        data = self.cleaned_data
        _, kind, together = KINDS[data["kind"]]
        value = together(several(data["values"], kind, "4k7 10k"))
        near = nearest(value, Series.E24)
        yield Said("Together", of_unit(value, kind.symbol))
        yield Said("Nearest of E24", f"{of_unit(near.value, kind.symbol)} ({signed(near.deviation, '%')})")
        if data["kind"] == "capacitors-series":
            yield Said(
                "Keep in mind", "the voltages part by leakage: equal resistors across them", "close", "check"
            )


class CornerSum(SumForm):
    """Corner and resonance."""

    slug = "corner"
    title = "Corner and resonance"
    about = "RC, RL or LC: the frequency. Leave the third empty."
    words = "filter crossover rc lc low pass high pass cutoff time constant"

    ohm = ohms("R", required=False, help_text="10k")
    farad = farads("C", required=False, help_text="100 nF")
    henry = MeasuredField(kind=Kind.INDUCTANCE, label="L", required=False, help_text="4.7 mH")

    def reckon(self) -> Iterator[Said]:
        """The frequency of whichever two there are."""
        data = self.cleaned_data
        ohm, farad, henry = data["ohm"], data["farad"], data["henry"]
        if (ohm is None) + (farad is None) + (henry is None) != 1:
            raise Refused("Type two of them.")
        if henry is None:
            yield Said("Corner", of_unit(networks.rc_corner(ohm, farad), "Hz"))
            yield Said("Time constant", of_unit(ohm * farad, "s"))
        elif farad is None:
            yield Said("Corner", of_unit(networks.rl_corner(ohm, henry), "Hz"))
            yield Said("Time constant", of_unit(henry / ohm, "s"))
        else:
            resonance, wave = networks.lc_resonance(henry, farad)
            yield Said("Resonance", f"{of_unit(resonance, 'Hz')}; √(L/C) is {of_unit(wave, 'Ω')}")


class ZenerSum(SumForm):
    """A Zener and its resistor."""

    slug = "zener"
    title = "Zener and resistor"
    about = "Whether a Zener still conducts at a low supply, and what it takes at a high one."
    words = "regulator diode reference shunt"

    low = volts("Supply, lowest", help_text="28 V")
    high = volts("Supply, highest", help_text="36 V")
    zener = volts("Zener", help_text="15 V")
    most = amperes("Load, most", help_text="20 mA")
    least = amperes("Load, least", required=False, help_text="0 if it can be unplugged")
    ohm = ohms("Resistor", required=False, help_text="Empty: the largest that serves")

    def reckon(self) -> Iterator[Said]:
        """Both ends of supply and load."""
        data = self.cleaned_data
        largest = networks.zener_resistor(data["low"], data["zener"], data["most"])
        ohm = data["ohm"] if data["ohm"] is not None else largest
        found = networks.zener(
            data["low"], data["high"], data["zener"], ohm, data["most"], data["least"] or Decimal(0)
        )
        yield Said("Largest resistor", f"{of_unit(largest, 'Ω')} leaves it 5 mA")
        if data["ohm"] is not None:
            enough = found.least_ampere >= networks.LEAST_ZENER_AMPERE
            shown = (
                of_unit(found.least_ampere, "A") if found.least_ampere > 0 else "none: it doesn’t regulate"
            )
            yield Said("Least in the Zener", shown, "within" if enough else "low")
        yield Said("Zener", f"{of_unit(found.zener_watt, 'W')} at most; choose twice that")
        yield Said("Resistor", f"{of_unit(found.resistor_watt, 'W')} at most; choose twice that")


class RegulatorSum(SumForm):
    """Headroom and heat of a regulator."""

    slug = "regulator"
    title = "Regulator headroom"
    about = "Whether hum comes through on a low line, and how much heat there is on a high one."
    words = "7805 7812 7815 lm317 dropout series pass hum"

    rail = volts("Rail on a meter", help_text="22 V")
    pp = volts("Ripple on it, peak to peak", Kind.VOLTAGE_PP, help_text="1.5 V")
    out = volts("Output", help_text="15 V")
    ampere = amperes("Current", help_text="300 mA")
    dropout = volts("Drop-out", initial="2 V", help_text="2 V for 78xx and 317; see the data sheet")

    def reckon(self) -> Iterator[Said]:
        """What is left today and on a low line."""
        data = self.cleaned_data
        if data["rail"] * data["out"] < 0:
            raise Refused("Rail and output have the same sign.")
        found = networks.headroom(
            abs(data["rail"]), data["pp"], abs(data["out"]), abs(data["ampere"]), data["dropout"]
        )
        for label, volt in (("Today", found.now_volt), ("On a line 10 % lower", found.low_line_volt)):
            yield Said(label, f"{signed(volt, 'V')} to spare in the valley", "within" if volt > 0 else "low")
        yield Said(
            "Heat",
            f"{of_unit(found.now_watt, 'W')}; {of_unit(found.high_line_watt, 'W')} on a line 10 % higher",
        )


class SelectorSum(SumForm):
    """Taps, and a buck or boost winding."""

    slug = "voltage-selector"
    title = "Voltage selector"
    about = "Which tap for this line; without one, which winding bucks or boosts."
    caution = MAINS
    words = "taps mains 100 117 120 127 220 230 240 buck boost step down transformer"

    line = volts("The line measures", Kind.VOLTAGE_AC, help_text="123 V")
    taps = forms.CharField(
        label="Taps, or what the set is marked", max_length=60, help_text="100 117 220 240"
    )
    draw = watts("The set draws", required=False, help_text="120 W")

    def reckon(self) -> Iterator[Said]:
        """The tap, and a series winding where a single marking is far enough off."""
        data = self.cleaned_data
        taps = several(data["taps"], Kind.VOLTAGE_AC, "100 117")
        tap = line_side.best_tap(data["line"], taps)
        mark, stamp = ("within", "suits") if tap.suits else ("close", "far")
        yield Said("Tap", f"{plain(tap.volt)} V; the line is {signed(tap.percent, '%')} to it", mark, stamp)
        nominal = min(NOMINAL_LINES, key=lambda one: abs(one - data["line"]))
        winding = line_side.buck_or_boost(data["line"], tap.volt, nominal)
        if not winding.secondary_volt:
            return
        sort = "bucks" if winding.bucks else "boosts"
        gets = f"the set then gets {of_unit(winding.set_volt, 'V')} ({signed(winding.percent, '%')})"
        yield Said("Closer", f"{plain(winding.secondary_volt)} V in series that {sort}: {gets}")
        if data["draw"] is not None:
            va = line_side.series_rating_va(winding.secondary_volt, winding.set_volt, data["draw"])
            yield Said(
                "Its rating",
                f"{of_unit(va, 'VA')} or more; it isolates nothing, and the phase decides which it does",
            )


class DropperSum(SumForm):
    """A dropper in front of a string."""

    slug = "dropper"
    title = "Dropper"
    about = "Resistor, or capacitor on AC, in series with heaters or another resistive load."
    caution = MAINS
    words = "series heater string resistor capacitive ac dc set line cord"

    line = volts("Supply", Kind.VOLTAGE_AC, help_text="120 V")
    string = volts("The string needs", Kind.VOLTAGE_AC, help_text="78 V")
    ampere = amperes("at", help_text="150 mA")
    line_hz = choice("A capacitor instead, at", LINES_HZ, required=False)

    def reckon(self) -> Iterator[Said]:
        """The resistor, and the capacitor where a frequency is chosen."""
        data = self.cleaned_data
        hz = Decimal(data["line_hz"]) if data["line_hz"] else None
        found = networks.dropper(data["line"], data["string"], data["ampere"], hz)
        yield Said(
            "Resistor", f"{of_unit(found.ohm, 'Ω')}, {of_unit(found.watt, 'W')} of heat; choose twice that"
        )
        if found.farad is not None:
            yield Said("Capacitor", f"{of_unit(found.farad, 'F')}, of class X2 and with a bleeder; AC only")


class InrushSum(SumForm):
    """Inrush at switch-on."""

    slug = "inrush"
    title = "Inrush"
    about = "The most that flows at switch-on, and the cold limiter that keeps it down."
    caution = MAINS
    words = "ntc thermistor surge fuse blows toroid switch on"

    line = volts("Line", Kind.VOLTAGE_AC, help_text="120 V")
    ohm = ohms("In its way: winding, fuse, limiter cold", help_text="1.8")
    most = amperes("No more than", Kind.CURRENT_AC, required=False, help_text="30 A")

    def reckon(self) -> Iterator[Said]:
        """The upper bound and the limiter."""
        data = self.cleaned_data
        yield Said(
            "At most",
            of_unit(line_side.inrush_ampere(data["line"], data["ohm"]), "A")
            + ", the worst moment of the line",
        )
        if data["most"] is not None:
            more = line_side.limiter_ohm(data["line"], data["ohm"], data["most"])
            yield Said(
                "Limiter", f"{of_unit(more, 'Ω')} cold, more than there is" if more else "none is needed"
            )
            yield Said(
                "Keep in mind", "a hot limiter limits nothing: switched off and on again it lets all through"
            )


class LedSum(SumForm):
    """An LED in a lamp's place."""

    slug = "lamp-to-led"
    title = "Lamp to LED"
    about = "The resistor for LEDs in a lamp’s place, on DC or AC."
    words = "dial light bulb fuse lamp backlight stereo indicator"

    volt = volts("The lamp’s supply", Kind.VOLTAGE_AC, help_text="6.3 V, 8 V, 14 V")
    feed = choice(
        "It is", [("dc", "DC"), ("ac", "AC, a diode across the LED"), ("bridge", "AC, a bridge before it")]
    )
    color = choice("LED", [(key, f"{key} ({volt} V)") for key, volt in line_side.FORWARD_VOLT.items()])
    count = choice("in a row", [(str(one), str(one)) for one in (1, 2, 3, 4)])
    ampere = amperes("Current", initial="10 mA", help_text="10 mA")

    def reckon(self) -> Iterator[Said]:
        """Resistor and its heat, the peak, and what protects the LED."""
        data = self.cleaned_data
        forward = line_side.FORWARD_VOLT[data["color"]] * int(data["count"])
        if data["feed"] == "dc":
            found = line_side.led_on_dc(data["volt"], forward, data["ampere"])
        else:
            bridge = data["feed"] == "bridge"
            both = forward + Decimal("1.4") if bridge else forward
            found = line_side.led_on_ac(data["volt"], both, data["ampere"], bridge=bridge)
        near = nearest(found.ohm, Series.E24)
        yield Said(
            "Resistor",
            f"{of_unit(found.ohm, 'Ω')}, E24 {of_unit(near.value, 'Ω')}; {of_unit(found.watt, 'W')} of heat",
        )
        if data["feed"] != "dc":
            yield Said("Peak", of_unit(found.peak_ampere, "A"))
        if data["feed"] == "ac":
            yield Said(
                "Needed",
                "a diode the other way round across the LED: 5 V in reverse is its limit (check its data sheet)",
            )
        yield Said(
            "Keep in mind",
            "a lamp that carries a circuit’s current, or a fuse lamp, is no mere light: keep it",
        )


SUPPLY: tuple[type[SumForm], ...] = (
    RippleSum,
    BleederSum,
    ZenerSum,
    RegulatorSum,
    DividerSum,
    ParallelSum,
    CornerSum,
    LedSum,
)
LINE_SIDE: tuple[type[SumForm], ...] = (SelectorSum, DropperSum, InrushSum)
