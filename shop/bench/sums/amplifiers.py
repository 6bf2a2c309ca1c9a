"""Sums of amplifiers and tubes: distortion, noise, damping, bandwidth, Zobel, crossover, loudspeakers, heat, bias."""

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
    hertz,
    number,
    of_unit,
    ohms,
    several,
    signed,
    volts,
    watts,
    whole,
)
from shop.handbook.amplifiers import distortion, heat, response, tubes
from shop.handbook.in_words import plain, rounded
from shop.handbook.quantities import Kind
from shop.handbook.refusal import Refused

HIGH_VOLTAGE = (
    "High voltage. One hand, clip leads with the power off, capacitors discharged and measured first."
)


class DistortionSum(SumForm):
    """THD from harmonics."""

    slug = "distortion"
    title = "Distortion from harmonics"
    about = "THD from what an analyzer shows, in volts or in dB under the fundamental."
    words = "thd harmonics analyzer fft"

    fundamental = volts(
        "Fundamental", Kind.VOLTAGE_AC, required=False, help_text="Empty: the harmonics are in dB under it."
    )
    harmonics = forms.CharField(label="Harmonics", max_length=200, help_text="12mV 3mV 0.5mV, or −60 −72 −80")

    def reckon(self) -> Iterator[Said]:
        """Both definitions."""
        data = self.cleaned_data
        if data["fundamental"] is None:
            found = distortion.thd_of_levels(several(data["harmonics"], Kind.LEVEL, "−60 −72"))
        else:
            found = distortion.thd(
                data["fundamental"], several(data["harmonics"], Kind.VOLTAGE_AC, "12mV 3mV")
            )
        yield Said(
            "THD", f"{rounded(found.of_fundamental)} % of the fundamental, {signed(found.decibel, 'dB', 1)}"
        )
        yield Said("Of the whole", f"{rounded(found.of_whole)} %, as IEC 60268-3 and a notch meter count it")


class NoiseSum(SumForm):
    """S/N and SINAD."""

    slug = "signal-to-noise"
    title = "Signal to noise, SINAD"
    about = "S/N with reference, input and weighting named; SINAD from a notch meter."
    words = "snr s/n noise hum sinad weighting"

    signal = volts("Reference output", Kind.VOLTAGE_AC, required=False, help_text="2.83 V")
    noise = volts("Noise left", Kind.VOLTAGE_AC, required=False, help_text="0.4 mV")
    reference = forms.CharField(
        label="Reference", max_length=30, required=False, help_text="1 W in 8 Ω, rated power"
    )
    termination = forms.CharField(
        label="Input", max_length=30, required=False, help_text="shorted, 1 kΩ, cartridge"
    )
    weighting = choice(
        "Weighting",
        [("A-weighted", "A"), ("CCIR 468", "CCIR 468"), ("20 Hz to 20 kHz, unweighted", "None")],
        required=False,
    )
    percent = number("A notch meter reads, %", required=False, help_text="0.08")

    def reckon(self) -> Iterator[Said]:
        """Whatever was typed."""
        data = self.cleaned_data
        both = data["signal"] is not None and data["noise"] is not None
        if not both and data["percent"] is None:
            raise Refused("Type reference output and noise, or what the notch meter reads.")
        if both:
            level = distortion.signal_to_noise_db(data["signal"], data["noise"])
            told = distortion.named(level, data["reference"], data["termination"], data["weighting"])
            complete = all(data[name] for name in ("reference", "termination", "weighting"))
            yield Said("S/N", told, "" if complete else "close", "incomplete")
        if data["percent"] is not None:
            yield Said(
                "SINAD", f"{rounded(distortion.sinad_db(data['percent']))} dB: noise and distortion together"
            )


class DampingSum(SumForm):
    """Output resistance from two loads."""

    slug = "damping"
    title = "Damping factor"
    about = "Output resistance from two loads at the same drive."
    words = "output impedance resistance"

    light_volt = volts("Output at the light load", Kind.VOLTAGE_AC, help_text="2.850 V; read all digits")
    light = ohms("The light load", required=False, help_text="Empty: open")
    heavy_volt = volts("Output at the heavy load", Kind.VOLTAGE_AC, help_text="2.790 V")
    heavy = ohms("The heavy load", initial="8", help_text="8")
    nominal = ohms("Damping over", initial="8", help_text="8")

    def reckon(self) -> Iterator[Said]:
        """Resistance and factor, and how far the last digit carries."""
        data = self.cleaned_data
        found = response.damping(
            data["light_volt"], data["light"], data["heavy_volt"], data["heavy"], data["nominal"]
        )
        if found.factor is None:
            yield Said("Output resistance", "too small to tell: both voltages are the same", "close", "see")
            return
        yield Said("Output resistance", of_unit(found.output_ohm, "Ω"))
        yield Said("Damping factor", f"{rounded(found.factor)} over {plain(data['nominal'])} Ω")
        apart = (data["light_volt"] - data["heavy_volt"]) / data["light_volt"] * 100
        if apart < 1:
            yield Said(
                "Keep in mind", "the two readings lie within 1 %: the last digit decides", "close", "rough"
            )


class BandwidthSum(SumForm):
    """Bandwidth and rise time."""

    slug = "rise-time"
    title = "Bandwidth and rise time"
    about = "One from the other, by a square wave; of a single pole."
    words = "square wave slew scope 10 90"

    hertz = hertz("Bandwidth, −3 dB", required=False, help_text="80 kHz")
    second = MeasuredField(
        kind=Kind.TIME, label="or rise time, 10 to 90 %", required=False, help_text="4.4 µs"
    )
    own = MeasuredField(
        kind=Kind.TIME, label="of which the generator’s own", required=False, help_text="50 ns"
    )

    def reckon(self) -> Iterator[Said]:
        """The other one."""
        data = self.cleaned_data
        if (data["hertz"] is None) is (data["second"] is None):
            raise Refused("Type bandwidth or rise time, one of the two.")
        if data["hertz"] is not None:
            yield Said("Rise time", of_unit(response.rise_time(data["hertz"]), "s"))
        else:
            yield Said(
                "Bandwidth", of_unit(response.bandwidth(data["second"], data["own"] or Decimal(0)), "Hz")
            )
        yield Said(
            "Keep in mind",
            "true of one pole and a small signal; a slewing edge is straight and tells something else",
        )


class ZobelSum(SumForm):
    """A Zobel network's heat."""

    slug = "zobel"
    title = "Zobel network"
    about = "What its resistor must dissipate at a frequency and output."
    words = "boucherot snubber output rc oscillation"

    volt = volts("Output, RMS", Kind.VOLTAGE_AC, help_text="20 V")
    ohm = ohms("Resistor", initial="10", help_text="10")
    farad = farads("Capacitor", help_text="100 nF")
    hertz = hertz("At", initial="20 kHz", help_text="20 kHz")

    def reckon(self) -> Iterator[Said]:
        """Watts at that frequency and if the stage oscillates."""
        data = self.cleaned_data
        found = response.zobel(data["volt"], data["ohm"], data["farad"], data["hertz"])
        yield Said(
            "In the resistor",
            f"{of_unit(found.watt, 'W')} at {of_unit(data['hertz'], 'Hz')}, {of_unit(found.ampere, 'A')}",
        )
        oscillating = response.zobel(data["volt"], data["ohm"], data["farad"], Decimal(1_000_000))
        yield Said("Oscillating at 1 MHz", f"{of_unit(oscillating.watt, 'W')}: a burned Zobel asks why")
        yield Said("Corner", of_unit(found.corner_hz, "Hz"))


class CrossoverSum(SumForm):
    """A crossover point."""

    slug = "crossover"
    title = "Crossover"
    about = "Capacitor and coil for a crossover point, of the first or second order."
    words = "loudspeaker speaker filter inductor capacitor butterworth linkwitz"

    kind = choice(
        "Order", [("first", "First"), ("second", "Second, Butterworth"), ("lr2", "Second, Linkwitz-Riley")]
    )
    hertz = hertz("At", help_text="2.5 kHz")
    ohm = ohms("Driver", initial="8", help_text="8")

    def reckon(self) -> Iterator[Said]:
        """Both parts."""
        data = self.cleaned_data
        farad, henry = response.crossover(response.Crossover(data["kind"]), data["hertz"], data["ohm"])
        yield Said("Capacitor", of_unit(farad, "F"))
        yield Said("Coil", of_unit(henry, "H"))
        yield Said(
            "Keep in mind",
            "for a driver that is a resistor; a maker’s values differ on purpose, so repair with those",
        )


class SpeakersSum(SumForm):
    """Loudspeakers A and B, and a dummy load."""

    slug = "loudspeakers"
    title = "Loudspeakers A + B, dummy load"
    about = "What several loudspeakers load an output with, and what a dummy load must stand."
    words = "speaker impedance parallel series load resistor"

    loads = forms.CharField(label="Loudspeakers, Ω", max_length=60, help_text="8 8")
    way = choice("They are", [("parallel", "In parallel"), ("series", "In series")])
    least = ohms("The amplifier takes no less than", required=False, help_text="4")
    watt = watts("It gives, a channel", required=False, help_text="50 W, for the dummy load")

    def reckon(self) -> Iterator[Said]:
        """Load, shares, dummy load."""
        data = self.cleaned_data
        found = response.speakers(
            several(data["loads"], Kind.RESISTANCE, "8 8"), in_series=data["way"] == "series"
        )
        mark = "" if data["least"] is None else "within" if found.ohm >= data["least"] else "low"
        yield Said(
            "Load",
            f"{of_unit(found.ohm, 'Ω')}, dipping to some {of_unit(found.ohm * Decimal('0.8'), 'Ω')}",
            mark,
        )
        yield Said("Share of the power", ", ".join(f"{rounded(one, 2)} %" for one in found.shares))
        if data["watt"] is not None:
            volt = (data["watt"] * found.ohm).sqrt()
            twice = of_unit(data["watt"] * 2, "W")
            yield Said(
                "Dummy load",
                f"{of_unit(found.ohm, 'Ω')} for {twice} or more on a heat sink; full power is {of_unit(volt, 'V')} RMS",
            )


class HeatSum(SumForm):
    """Junction and heat sink."""

    slug = "heat-sink"
    title = "Heat sink and junction"
    about = "Junction, case and sink from watts and K/W, and what the device may still take."
    caution = "A heat sink may be hot, and live."
    words = "thermal resistance derating temperature transistor"

    watt = watts("It dissipates", help_text="25 W")
    ambient = number("Around it, °C", initial="40", help_text="40 inside a case")
    junction_case = number("Junction to case, K/W", help_text="1.17, from the data sheet")
    case_sink = number("Case to sink, K/W", initial="0.5", help_text="0.5 with mica and grease")
    sink = number("Sink to air, K/W", help_text="1.2")
    rated = watts("Rated at 25 °C", required=False, help_text="150 W")
    most = number("Highest junction, °C", initial="150", help_text="150; metal cases often 200")

    def reckon(self) -> Iterator[Said]:
        """The chain and the derated power."""
        data = self.cleaned_data
        found = heat.chain(
            data["watt"], data["ambient"], data["junction_case"], data["case_sink"], data["sink"]
        )
        mark = "within" if found.junction <= data["most"] else "high"
        yield Said("Junction", f"{rounded(found.junction)} °C", mark)
        yield Said("Case and sink", f"{rounded(found.case)} °C and {rounded(found.sink)} °C")
        if data["rated"] is not None:
            may = heat.derated_watt(data["rated"], found.case, data["most"])
            yield Said(
                "It may take",
                f"{of_unit(may, 'W')} at that case",
                "within" if may >= data["watt"] else "high",
            )


class ClassBHeatSum(SumForm):
    """Heat of an output stage."""

    slug = "output-heat"
    title = "Heat of an output stage"
    about = "The most heat of a channel in class B, at which output, and what a shorted rail would ask."
    words = "class ab dissipation heatsink rail"

    rail = volts("Rail, each side", help_text="42 V")
    ohm = ohms("Load", initial="8", help_text="8")

    def reckon(self) -> Iterator[Said]:
        """The worst point of the ideal stage."""
        data = self.cleaned_data
        rail = abs(data["rail"])
        most = heat.class_b_heat(rail, data["ohm"])
        yield Said("Most heat", f"{of_unit(most, 'W')} in both devices, at 64 % of full swing")
        yield Said("Full output", f"{of_unit(rail * rail / data['ohm'] / 2, 'W')} without losses")
        yield Said("Keep in mind", "a resistive load; a loudspeaker turns the phase and makes more heat")


class TubeBiasSum(SumForm):
    """A power tube at idle."""

    slug = "tube-bias"
    title = "Tube at idle"
    about = "Current by the cathode resistor, dissipation with the screen’s share taken off, and percent of the rating."
    caution = (
        HIGH_VOLTAGE + " Never a current meter across the output transformer: read the cathode resistor."
    )
    words = "bias valve el34 6l6 el84 6v6 dissipation cathode plate"

    volt = volts("Voltage across the cathode resistor", help_text="38 mV; 12 V with cathode bias")
    ohm = ohms("Cathode resistor", help_text="1; 270 with cathode bias")
    tubes = whole("Tubes that share it", initial=1, help_text="1")
    plate = volts("Plate to chassis", help_text="430 V")
    kind = choice("Tube", [("pentode", "Pentode or tetrode"), ("triode", "Triode, or strapped as one")])
    screen = amperes("Screen current of each", required=False, help_text="Empty: a twentieth of the plate’s")
    rated = watts("Rated plate dissipation", help_text="25 W, from the tube’s data")
    bias = choice("Biased", [("fixed", "Fixed, class AB"), ("cathode", "By its cathode, class A")])

    def reckon(self) -> Iterator[Said]:
        """Currents, watts, and where the ceiling is."""
        data = self.cleaned_data
        found = tubes.idle(
            data["volt"],
            data["ohm"],
            data["plate"],
            data["rated"],
            tubes=data["tubes"],
            screen_ampere=data["screen"],
            has_screen=data["kind"] == "pentode",
        )
        guessed = ", a guess of a twentieth" if found.screen_guessed else ""
        yield Said("Cathode", of_unit(found.cathode_ampere, "A"))
        yield Said(
            "Plate",
            f"{of_unit(found.plate_ampere, 'A')}; screen {of_unit(found.screen_ampere, 'A')}{guessed}",
        )
        ceiling = tubes.Bias(data["bias"]).ceiling
        mark = "high" if found.percent > ceiling else ""
        yield Said(
            "Dissipation",
            f"{of_unit(found.plate_watt, 'W')}, {rounded(found.percent)} % of the rating",
            mark,
            "too hot",
        )
        mine = tubes.current_for(ceiling, data["plate"] - data["volt"], data["rated"])
        yield Said(
            "Ceiling",
            f"{plain(ceiling)} %, {of_unit(mine, 'A')}: common practice; less is no fault, the maker comes first",
        )


class RatioSum(SumForm):
    """An output transformer's ratio."""

    slug = "transformer-ratio"
    title = "Output transformer"
    about = "Turns ratio from a small AC voltage, and what the primary sees."
    caution = "Disconnected from the set, and fed with a few volts: its other side may give hundreds."
    words = "turns impedance primary plate load ratio"

    primary = volts("At the primary, AC", Kind.VOLTAGE_AC, help_text="20 V")
    secondary = volts("At the open secondary", Kind.VOLTAGE_AC, help_text="0.8 V")
    load = ohms("Loudspeaker there", initial="8", help_text="8")

    def reckon(self) -> Iterator[Said]:
        """Turns and impedance."""
        data = self.cleaned_data
        found = tubes.transformer(data["primary"], data["secondary"], data["load"])
        yield Said("Turns", f"{rounded(found.turns)} to 1; impedance {rounded(found.impedance)} to 1")
        yield Said("The primary sees", of_unit(found.primary_ohm, "Ω"))


AMPLIFIERS: tuple[type[SumForm], ...] = (
    DistortionSum,
    NoiseSum,
    DampingSum,
    BandwidthSum,
    ZobelSum,
    CrossoverSum,
    SpeakersSum,
    HeatSum,
    ClassBHeatSum,
)
TUBES: tuple[type[SumForm], ...] = (TubeBiasSum, RatioSum)
