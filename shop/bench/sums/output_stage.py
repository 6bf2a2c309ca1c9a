"""Sums of the output stage: DC at the terminals, idle current, power and levels, V_BE, a junction."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from django import forms

from shop.bench.sums.asking import INFINITE, OpenField, Said, SumForm, of_unit, ohms, volts
from shop.frame.number_field import NumberField
from shop.handbook import audio
from shop.handbook.in_words import rounded
from shop.handbook.quantities import Kind, Quantity, Unreadable
from shop.handbook.readings import Incomparable, Judgement, expect, judge

OFFSET_MARKS = {
    audio.OffsetBand.GOOD: "within",
    audio.OffsetBand.ACCEPTABLE: "within",
    audio.OffsetBand.ADJUST: "close",
    audio.OffsetBand.FAULT: "high",
}


OFFSET_STAMPS = {
    audio.OffsetBand.GOOD: "good",
    audio.OffsetBand.ACCEPTABLE: "acceptable",
    audio.OffsetBand.ADJUST: "adjust",
    audio.OffsetBand.FAULT: "fault",
}


class OffsetSum(SumForm):
    """DC at the loudspeaker terminals."""

    slug = "offset"
    title = "DC at the output"
    about = "How much is too much, and what it pushes through the loudspeaker."
    caution = "Keep loudspeakers off until the reading is good."

    volt = volts("Between the terminals", help_text="12 mV; either sign")
    ohm = ohms("Load", initial="8", help_text="8 ohm")
    maker = volts("The maker allows", required=False, help_text="Empty: 30 mV is good, over 100 mV a fault.")

    def reckon(self) -> Iterator[Said]:
        """The band and what flows."""
        data = self.cleaned_data
        limits = audio.OffsetLimits(maker_volt=data["maker"])
        offset = audio.judge_offset(data["volt"], data["ohm"], limits)
        yield Said("Offset", offset.sentence, OFFSET_MARKS[offset.band], OFFSET_STAMPS[offset.band])


class IdleSum(SumForm):
    """Idle current over one emitter resistor, or over two in series."""

    slug = "idle-current"
    title = "Idle current"
    about = "From the voltage across one emitter resistor, or across two in series."
    caution = (
        "Adjust with no signal and no load, after {} to {} minutes of warming up, and read again.".format(
            *audio.WARM_UP_MINUTE
        )
    )

    volt = volts("Voltage across the resistors", help_text="22 mV")
    first = ohms("Emitter resistor", help_text="0R22")
    second = ohms("Second one in series", required=False, help_text="Only if the reading spans both.")
    wanted = forms.CharField(
        label="The manual asks for", max_length=80, required=False, help_text="25 to 35 mA, 30 mA ± 10 %"
    )

    def reckon(self) -> Iterator[Said]:
        """The current, and how it stands to what the manual asks for."""
        data = self.cleaned_data
        resistors = [one for one in (data["first"], data["second"]) if one is not None]
        ampere = audio.idle_current(data["volt"], *resistors)
        judged = self._judged(ampere, data["wanted"])
        yield Said("Idle current", of_unit(ampere, "A"), judged.verdict.value if judged else "")
        if judged:
            yield Said("Against the manual", judged.why)

    def _judged(self, ampere: Decimal, wanted: str) -> Judgement | None:
        if not wanted:
            return None
        try:
            return judge(Quantity(ampere, "A", Kind.CURRENT_DC), expect(wanted, Kind.CURRENT_DC))
        except Incomparable as error:
            raise Unreadable(str(error)) from error


class PowerSum(SumForm):
    """Output power with its decibel forms."""

    slug = "output-power"
    title = "Output power"
    about = "Volts across the load become watts, dBW, dBm, dBV and dBu."

    volt = volts("Across the load", Kind.VOLTAGE_AC, help_text="20 V")
    shape = forms.ChoiceField(
        label="Read as",
        choices=[("rms", "RMS"), ("pp", "Peak to peak of a sine")],
        initial="rms",
        required=False,
        widget=forms.RadioSelect,
    )
    ohm = ohms("Load", initial="8", help_text="8 ohm")

    def reckon(self) -> Iterator[Said]:
        """Watts and levels, and how long to run it before rated power is measured."""
        data = self.cleaned_data
        rms = audio.rms_of_peak_to_peak(data["volt"]) if data["shape"] == "pp" else data["volt"]
        watt = audio.power(rms, data["ohm"])
        yield Said("Power", of_unit(watt, "W"))
        if data["shape"] == "pp":
            yield Said("RMS", of_unit(rms, "V"))
        if rms > 0:
            yield Said("Over 1 W, over 1 mW", f"{_db(audio.dbw(watt))} dBW, {_db(audio.dbm(watt))} dBm")
            yield Said("Over 1 V, over 0.7746 V", f"{_db(audio.dbv(rms))} dBV, {_db(audio.dbu(rms))} dBu")
            eighth = of_unit(audio.preconditioning_watt(watt), "W")
            yield Said("Before rated power is measured", f"an hour at an eighth of it: {eighth} (16 CFR 432)")


def _db(level: Decimal) -> str:
    """A level to a hundredth of a decibel, with its sign."""
    return f"{level.quantize(Decimal('0.01')):+f}"


class BaseEmitterSum(SumForm):
    """What a difference of V_BE means for two transistors that share a current."""

    slug = "v-be"
    title = "V_BE apart"
    about = "How unequally two transistors share the current whose V_BE differ by so much."

    apart = volts("Difference of V_BE", help_text="5 mV")
    celsius = NumberField(
        label="Junctions at, °C",
        initial=25,
        min_value=-50,
        max_value=200,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "class": "w-tiny"}),
        error_messages=dict.fromkeys(
            ("invalid", "min_value", "max_value"), "Type degrees between -50 and 200, such as 25."
        ),
    )

    def reckon(self) -> Iterator[Said]:
        """The ratio of the currents and the warming that would make as much."""
        data = self.cleaned_data
        ratio = audio.current_ratio(abs(data["apart"]), data["celsius"])
        yield Said("Currents", f"{rounded(ratio)} to 1 without emitter resistors")
        kelvin = abs(data["apart"]) / abs(audio.vbe_drift(Decimal(1)))
        yield Said("As much as", f"{rounded(kelvin)} K of warming of one of them (about -2 mV/K)")


JUNCTIONS = {
    audio.Junction.SHORT: "short",
    audio.Junction.OPEN: "open",
    audio.Junction.UNCLEAR: "close",
}


class JunctionSum(SumForm):
    """A junction on the meter's diode range."""

    slug = "junction"
    title = "A junction"
    about = "What the meter’s diode range says of it. Parts still in circuit may mislead."
    caution = "Unplugged and discharged first."

    volt = OpenField(kind=Kind.DIODE, label="The diode range shows", help_text="0.612, OL")

    def reckon(self) -> Iterator[Said]:
        """What such a voltage suggests."""
        data = self.cleaned_data
        volt = data["volt"]
        junction = audio.read_junction(None if volt == INFINITE else volt)
        yield Said("Suggests", str(junction), JUNCTIONS.get(junction, ""), str(junction))
