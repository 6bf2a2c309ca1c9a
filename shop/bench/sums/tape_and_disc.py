"""Sums of tape and disc: speed, strobe, level, equalization, azimuth, cartridge, arm and stylus."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from shop.bench.forms.proving import MeasuredField
from shop.bench.sums.asking import Said, SumForm, choice, farads, hertz, number, of_unit, ohms, signed, whole
from shop.frame.profile import the_profile
from shop.handbook.audio import LINES
from shop.handbook.in_words import plain, rounded
from shop.handbook.playback import azimuth, cartridge, equalization, flux, speed
from shop.handbook.quantities import Kind
from shop.handbook.refusal import Refused

MACHINES = [("cassette", "Cassette"), ("reel", "Reel tape"), ("record", "Record")]


def _tolerated(percent: Decimal, machine: str) -> tuple[str, str]:
    inside = speed.tolerated(percent, machine)
    return (
        ("within", "tolerable")
        if inside
        else ("high" if percent > 0 else "low", "fast" if percent > 0 else "slow")
    )


class ToneSpeedSum(SumForm):
    """Speed from a test tone."""

    slug = "speed-by-tone"
    title = "Speed by test tone"
    about = "A recording of 3,000 or 3,150 Hz and a counter: percent, cents, and whether it is tolerable."
    words = "wow flutter pitch 3150 3000 tape speed cassette deck motor"

    measured = hertz("The counter shows", help_text="3123 Hz")
    tone = hertz(
        "On the tape or record", initial="3150 Hz", help_text="Read it from the test tape: 3000 or 3150 Hz."
    )
    machine = choice("Machine", MACHINES)

    def reckon(self) -> Iterator[Said]:
        """The error, and whether the other test tone would fit better."""
        data = self.cleaned_data
        found = speed.by_tone(data["measured"], data["tone"])
        mark, stamp = _tolerated(found.percent, data["machine"])
        yield Said(
            "Speed", f"{signed(found.percent, '%')}, {signed(found.cents, 'cents')} of pitch", mark, stamp
        )
        if found.other_tone is not None:
            yield Said(
                "Look at the test tape",
                f"{plain(found.other_tone)} Hz on it would fit this reading",
                "close",
                "check",
            )
        low, high = speed.TOLERATED[data["machine"]]
        yield Said(
            "Held to",
            f"{signed(low, '%')} to {signed(high, '%')}: DIN 45500; check the standard, and the manual comes first",
        )


class StrobeSum(SumForm):
    """Bars of a strobe disc."""

    slug = "strobe"
    title = "Strobe bars"
    about = (
        "How many bars stand still at a speed, what the whole number is off by, and what wandering bars tell."
    )
    words = "strobe disc platter turntable rpm record"

    rpm = choice("Speed", [("33", "33 1/3 rpm"), ("45", "45 rpm"), ("78", "78 rpm"), ("16", "16 2/3 rpm")])
    line_hz = choice("Lamp on", [("50", "50 Hz"), ("60", "60 Hz")], required=False)
    bars = whole("Bars in the ring", required=False, help_text="Empty: the nearest whole number.")
    drift = number(
        "Bars that pass a mark in a minute",
        required=False,
        help_text="Forward counts up, backward with a minus.",
    )

    def reckon(self) -> Iterator[Said]:
        """The ring, its own error, and the platter's with the bars that wander."""
        data = self.cleaned_data
        line = LINES.get(the_profile().country)
        if not data["line_hz"] and (line is None or " " in line.hertz):
            raise Refused("Say whether the lamp is on 50 or 60 Hz.")
        line_hz = Decimal(data["line_hz"] or (line.hertz if line else 50))
        rpm = dict(zip(("16", "33", "45", "78"), speed.RECORD_SPEEDS, strict=True))[data["rpm"]]
        if data["rpm"] == "78" and line_hz == 50:
            rpm = speed.SHELLAC_AT_50_HZ
        ring = speed.strobe(rpm, line_hz, data["bars"])
        yield Said(
            "Exact number", f"{rounded(ring.exact_bars, 5)} bars at {plain(line_hz)} Hz, two flashes a cycle"
        )
        yield Said(
            f"{ring.bars} bars stand at", f"{rounded(ring.stands_at_rpm, 6)} rpm, {signed(ring.percent, '%')}"
        )
        if data["drift"] is not None:
            total = ring.percent + speed.drift_percent(data["drift"], ring.bars, rpm)
            mark, stamp = _tolerated(total, "record")
            yield Said("The platter", signed(total, "%"), mark, stamp)


class TapeSpeedSum(SumForm):
    """Tape speed in both units, or from length and time."""

    slug = "tape-speed"
    title = "Tape speed"
    about = "cm/s and in/s, or a length of tape and a stopwatch; and the wavelength on the tape."
    words = "ips inches per second reel capstan wavelength"

    cm_s = number("Speed, cm/s", required=False, help_text="19.05")
    inch_s = number("or in/s", required=False, help_text="7.5")
    meter = number("or a length of tape, m", required=False, help_text="10")
    second = number("and the seconds it takes", required=False, help_text="52.4")
    tone = hertz("A tone, for its wavelength", required=False, help_text="10 kHz")

    def reckon(self) -> Iterator[Said]:
        """The speed, the nominal one beside it, and the wavelength."""
        data = self.cleaned_data
        found = self._found()
        yield Said("Speed", f"{rounded(found.cm_s, 5)} cm/s, {rounded(found.inch_s, 5)} in/s")
        yield Said("Nearest nominal", f"{found.nominal}: {signed(found.percent, '%')}")
        if data["tone"] is not None:
            yield Said("Wavelength", f"{rounded(speed.wavelength_um(found.cm_s, data['tone']))} µm")

    def _found(self) -> speed.TapeSpeed:
        data = self.cleaned_data
        timed = data["meter"] is not None and data["second"] is not None
        given = [data["cm_s"] is not None, data["inch_s"] is not None, timed]
        if sum(given) != 1:
            raise Refused("Type one of them: cm/s, in/s, or a length with its seconds.")
        if timed:
            return speed.speed_by_length(data["meter"], data["second"])
        return speed.tape_speed(data["cm_s"] if given[0] else data["inch_s"] * speed.MM_PER_INCH / 10)


class FluxSum(SumForm):
    """Level on tape."""

    slug = "tape-level"
    title = "Level on tape"
    about = "nWb/m by IEC and by ANSI, 0.75 dB apart, and how far one level lies over another."
    words = "flux fluxivity nwb/m dolby level calibration test tape reference"

    nwb_m = number("The test tape says, nWb/m", help_text="200")
    method = choice("measured by", [("IEC", "IEC (DIN)"), ("ANSI", "ANSI")])
    against = choice("Against", [(key, level.name) for key, level in flux.LEVELS.items()])

    def reckon(self) -> Iterator[Said]:
        """Both numbers of the tape and its distance from the level."""
        data = self.cleaned_data
        by, level = flux.Method(data["method"]), flux.level_named(data["against"])
        both = [f"{rounded(flux.converted(data['nwb_m'], by, way), 4)} nWb/m by {way}" for way in flux.Method]
        yield Said("This tape", ", ".join(both))
        apart = flux.apart_db(data["nwb_m"], by, level.nwb_m, level.method)
        yield Said(
            "Compared to it", f"{signed(apart, 'dB')} from {plain(level.nwb_m)} nWb/m by {level.method}"
        )
        yield Said("Check", "the levels and the 0.75 dB; the sheet of the test tape comes first")


class EqualizationSum(SumForm):
    """An equalization at a frequency."""

    slug = "equalization"
    title = "Equalization"
    about = "RIAA, NAB, IEC, cassette and FM: what reproduction gives at a frequency against 1 kHz."
    words = "riaa nab eq deemphasis de-emphasis phono curve time constant 120 70 75 50 µs record"

    curve = choice("Curve", [(one.value, one.words) for one in equalization.Curve])
    hertz = hertz("At", help_text="10 kHz")

    def reckon(self) -> Iterator[Said]:
        """The gain and the corners."""
        data = self.cleaned_data
        curve = equalization.Curve(data["curve"])
        yield Said(
            "Reproduction", f"{signed(equalization.gain_db(curve, data['hertz']), 'dB', 2)} against 1 kHz"
        )
        corners = [
            f"{plain(one)} µs ({of_unit(equalization.corner_hz(one), 'Hz')})" for one in curve.constants_us
        ]
        yield Said("Time constants", ", ".join(corners))
        if "cassette" in curve or curve.startswith(("nab", "iec", "aes")):
            yield Said(
                "Keep in mind",
                "for an ideal head; a real one needs somewhat more treble. Adjust by the test tape",
            )


class AzimuthSum(SumForm):
    """Azimuth between two tracks."""

    slug = "azimuth"
    title = "Azimuth"
    about = "From the phase between two tracks to the tilt, or from a tilt to phase, delay and loss."
    words = "head alignment phase tilt cassette mono sum"

    phase = number("Phase between the tracks, °", required=False, help_text="20")
    tilt = number("or the tilt, minutes of arc", required=False, help_text="1")
    tone = hertz("At the tone", initial="10 kHz", help_text="10 kHz")
    cm_s = number("Tape speed, cm/s", initial="4.7625", help_text="4.76 for cassette")
    centers = number(
        "Between track centers, mm",
        initial="0.9",
        help_text="Cassette 0.9; quarter-track reel 3.4; half-track 4.",
    )
    track = number("Width of a track, mm", required=False, help_text="Cassette stereo 0.6")

    def reckon(self) -> Iterator[Said]:
        """Tilt, delay and phase, and what the sum of both tracks loses."""
        data = self.cleaned_data
        given = (data["tone"], data["cm_s"], data["centers"])
        if (data["phase"] is None) is (data["tilt"] is None):
            raise Refused("Type the phase or the tilt, one of the two.")
        by_phase = data["phase"] is not None
        found = (
            azimuth.by_phase(data["phase"], *given) if by_phase else azimuth.by_angle(data["tilt"], *given)
        )
        yield Said("Tilt", f"{signed(found.minute, '′')} of arc")
        yield Said("Between the tracks", f"{of_unit(found.delay_s, 's')}, {signed(found.phase_degree, '°')}")
        lost = "nothing is left" if found.sum_db is None else signed(found.sum_db, "dB", 2)
        yield Said("Both tracks summed", lost)
        if data["track"] is not None:
            within = azimuth.loss_db(found.minute, *given[:2], data["track"])
            yield Said("Within a track", "nothing is left" if within is None else signed(within, "dB", 2))
        if by_phase:
            yield Said(
                "Keep in mind",
                "whole turns look alike: set it at a low tone first, then at a high one",
                "close",
                "check",
            )


class CartridgeSum(SumForm):
    """A cartridge and its load."""

    slug = "cartridge-load"
    title = "Cartridge load"
    about = "Coil, cable and input: where the treble rises and where it ends."
    words = "phono moving magnet mm capacitance 47k turntable pickup"

    henry = MeasuredField(kind=Kind.INDUCTANCE, label="Inductance", help_text="500 mH")
    coil = ohms("Resistance of the coil", help_text="1k")
    farad = farads("Cable, plugs and input together", help_text="300 pF")
    ohm = ohms("Input", initial="47k", help_text="47k")
    tone = hertz("At", required=False, help_text="15 kHz")

    def reckon(self) -> Iterator[Said]:
        """Resonance, peak and end, of the electrical side alone."""
        data = self.cleaned_data
        given = (data["henry"], data["coil"], data["farad"], data["ohm"])
        found = cartridge.load(*given)
        yield Said("Resonance", of_unit(found.resonance_hz, "Hz"))
        peak = (
            "no peak"
            if found.peak_hz is None
            else f"{signed(found.peak_db, 'dB', 1)} at {of_unit(found.peak_hz, 'Hz')}"
        )
        yield Said("Highest", peak)
        yield Said("3 dB down", f"at {of_unit(found.corner_hz, 'Hz')}")
        if data["tone"] is not None:
            yield Said(of_unit(data["tone"], "Hz"), signed(cartridge.load_db(*given, data["tone"]), "dB", 2))
        yield Said("Keep in mind", "the electrical side alone; the stylus has a resonance of its own")


class ArmSum(SumForm):
    """Arm resonance and stylus force."""

    slug = "arm-and-stylus"
    title = "Arm and stylus"
    about = "Resonance of the arm on its stylus, and the force in gram and mN."
    words = "tonearm tone arm compliance tracking force vtf turntable resonance"

    arm = number("Effective mass of the arm, g", required=False, help_text="11")
    cart = number("Cartridge and screws, g", required=False, help_text="7.5")
    compliance = number("Compliance, µm/mN", required=False, help_text="20; the same number as 10⁻⁶ cm/dyn")
    at = choice("quoted", [("10", "at 10 Hz"), ("100", "at 100 Hz (Japan)")])
    force = number("Stylus force, g", required=False, help_text="1.75")
    least = number("The maker’s least, g", required=False, help_text="1.5")
    most = number("and most, g", required=False, help_text="2")

    def reckon(self) -> Iterator[Said]:
        """What can be worked out of what is there."""
        data = self.cleaned_data
        masses = [data["arm"], data["cart"], data["compliance"]]
        if None not in masses:
            yield self._resonance()
        elif data["force"] is None:
            raise Refused("Type arm, cartridge and compliance, or the stylus force.")
        if data["force"] is not None:
            yield self._force()

    def _resonance(self) -> Said:
        data = self.cleaned_data
        mass = data["arm"] + data["cart"]
        if data["at"] == "100":
            low, high = cartridge.arm_resonance_from_100_hz(mass, data["compliance"])
        else:
            low = high = cartridge.arm_resonance(mass, data["compliance"])
        shown = " to ".join(dict.fromkeys(rounded(one) for one in (low, high)))
        good = cartridge.FAVORABLE_HZ[0] <= low and high <= cartridge.FAVORABLE_HZ[1]
        favorable = "8 to 12 Hz is favorable (common practice)"
        return Said(
            "Resonance", f"{shown} Hz; {favorable}", "within" if good else "close", "good" if good else "see"
        )

    def _force(self) -> Said:
        data = self.cleaned_data
        shown = f"{plain(data['force'])} g is {rounded(cartridge.millinewton(data['force']))} mN"
        if data["least"] is None or data["most"] is None:
            return Said("Stylus force", shown)
        where = cartridge.within_maker(data["force"], data["least"], data["most"])
        return Said("Stylus force", shown, ("within", "high", "low")[where])


TAPE_AND_DISC: tuple[type[SumForm], ...] = (
    ToneSpeedSum,
    StrobeSum,
    TapeSpeedSum,
    FluxSum,
    EqualizationSum,
    AzimuthSum,
    CartridgeSum,
    ArmSum,
)
