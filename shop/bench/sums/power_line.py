"""Sums of the line side: the lamp in series, the line against the marking, fuses, the reservoir capacitor."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from django import forms

from shop.bench.forms.proving import MeasuredField
from shop.bench.sums.asking import Said, SumForm, of_unit, ohms, volts, watts
from shop.frame.profile import the_profile
from shop.handbook import audio, discharge
from shop.handbook.in_words import plain, rounded
from shop.handbook.quantities import Kind

BURST_WATT = Decimal(10)
"""The wire-wound resistor that lies on most benches: common practice, no source."""


class LampSum(SumForm):
    """The lamp in series with a set at its first start."""

    slug = "series-lamp"
    title = "Lamp in series"
    about = "Which lamp for the first start, and what its glow means."
    caution = "A series lamp isolates nothing: the set is as live as without it."

    set_kind = forms.ChoiceField(
        label="What is plugged into it",
        choices=[(one.value, one.value.capitalize()) for one in audio.SetKind],
        initial=audio.SetKind.RECEIVER.value,
        widget=forms.RadioSelect,
    )
    watt = watts("Lamp", required=False, help_text="100 W; empty for the usual ones")
    idle = watts("The set draws at idle", required=False, help_text="35 W")
    rated = watts("Rated draw", required=False, help_text="220 W, from its label")

    def reckon(self) -> Iterator[Said]:
        """The lamps that suit, one lamp's numbers on this line, and the meaning of the glow."""
        data = self.cleaned_data
        low, high = audio.LAMP_WATTS[audio.SetKind(data["set_kind"])]
        yield Said("Usual", f"{low} to {high} W")
        if data["idle"] is not None and data["rated"] is not None:
            least, most = audio.lamp_watts_by_draw(data["idle"], data["rated"])
            yield Said("By what it draws", f"{plain(least)} to {plain(most)} W")
        line = Decimal(the_profile().line_voltage)
        for watt in (data["watt"],) if data["watt"] is not None else (low, high):
            lamp = audio.lamp(line, watt)
            cold = " to ".join(rounded(one, 2) for one in lamp.cold_ohm)
            yield Said(
                f"{plain(watt)} W at {plain(line)} V",
                f"passes {of_unit(lamp.ampere, 'A')} at most; {of_unit(lamp.hot_ohm, 'Ω')} hot, {cold} Ω cold",
            )
        for glow in audio.Glow:
            yield Said(str(glow).capitalize(), audio.glow_says(glow))


class LineSum(SumForm):
    """The line against what the set is marked for."""

    slug = "line-voltage"
    title = "Line against marking"
    about = "What today’s line does to a set that was made for another."

    line = volts("The line measures", Kind.VOLTAGE_AC, help_text="123 V")
    marked = volts("The set is marked", Kind.VOLTAGE_AC, help_text="117 V")

    def reckon(self) -> Iterator[Said]:
        """How far rails, heaters and heat move; held to the ordinary range of the shop's own line."""
        data = self.cleaned_data
        profile = the_profile()
        effect = audio.line_effect(
            data["line"], data["marked"], Decimal(profile.line_voltage), profile.country
        )
        mark, stamp = {True: ("within", "ordinary"), False: ("close", "unusual"), None: ("", "")}[
            effect.ordinary
        ]
        yield Said("Effect", effect.sentence, mark, stamp)
        if effect.line is not None:
            yield Said("Held to", f"{effect.line.words}: {effect.line.source}")


class FuseSum(SumForm):
    """A fuse's marking, and whether another may stand in for it."""

    slug = "fuse"
    words = "agc mdl 3ag gma slow blow glass ceramic breaking capacity"
    title = "Fuse"
    about = "What the marking says, and what speaks against another fuse."
    caution = "Never a larger number, never foil. The set’s own marking comes first."

    original = forms.CharField(label="The unit calls for", max_length=40, help_text="T2A L 250V, MDL 2")
    candidate = forms.CharField(label="Yours", max_length=40, required=False, help_text="T2AH250V")

    def reckon(self) -> Iterator[Said]:
        """The markings in words, each objection, and why two standards don't mix."""
        data = self.cleaned_data
        original = audio.read_fuse(data["original"])
        yield Said("The unit calls for", str(original))
        found: tuple[str, ...] = ()
        if data["candidate"]:
            candidate = audio.read_fuse(data["candidate"])
            yield Said("Yours", str(candidate))
            line = Decimal(the_profile().line_voltage)
            found = audio.objections(original, candidate, line)
            for objection in found:
                yield Said("What speaks against it", objection, "high", "no")
            if where := audio.where_enough(original, candidate, line):
                yield Said("Voltage", where, "close", "look where it sits")
            elif not found:
                yield Said("What speaks against it", "Nothing in the markings.", "within", "fits")
        warning = audio.standards_warning(original.ampere)
        if warning not in found:
            yield Said("UL and IEC", warning)


class DischargeSum(SumForm):
    """A charged capacitor emptied through a resistor."""

    slug = "discharge"
    title = "Emptying a capacitor"
    about = "How long, how much energy, and which resistor takes it."
    caution = (
        "Unplugged. One hand. Measure before you touch: a capacitor may recover, a resistor may be open."
    )

    volt = volts("Charged to", help_text="63 V, 170 V")
    farad = MeasuredField(kind=Kind.CAPACITANCE, label="Capacitance", help_text="10 mF, 0.47 µF")
    ohm = ohms("Through", help_text="100 ohm")

    def reckon(self) -> Iterator[Said]:
        """Time to 60 V and to 10 V, energy, the resistor's first watts, and the least resistor for 10 W."""
        data = self.cleaned_data
        volt, farad, ohm = data["volt"], data["farad"], data["ohm"]
        done = discharge.plan(volt, farad, ohm)
        yield Said("How", done.sentence)
        for safe in (discharge.SAFE_VOLT, discharge.WORKING_VOLT):
            seconds = discharge.seconds_to(volt, farad, ohm, safe)
            said = f"{rounded(seconds)} s as marked" if seconds else "there already"
            yield Said(f"To {plain(safe)} V", said)
        yield Said("Energy", of_unit(done.joule, "J"))
        yield Said(
            "Resistor",
            f"{of_unit(done.peak_watt, 'W')} and {of_unit(done.peak_ampere, 'A')} at the first moment",
        )
        if volt:
            least = discharge.smallest_resistor(volt, BURST_WATT)
            yield Said(f"A resistor of {plain(BURST_WATT)} W", f"{of_unit(least, 'Ω')} or more")
