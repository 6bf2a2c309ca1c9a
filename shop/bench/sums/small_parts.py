"""Sums of small parts: a motor's winding, a potentiometer, and a value with its markings and preferred neighbours."""

from __future__ import annotations

from collections.abc import Iterator

from django import forms

from shop.bench.sums.asking import INFINITE, OpenField, Said, SumForm, of_unit, ohms, volts
from shop.handbook import audio
from shop.handbook.in_words import listed, plain, rounded
from shop.handbook.marks.colors import sixth_band
from shop.handbook.preferred import Series, nearest, series_of
from shop.handbook.quantities import Kind, Quantity, Unreadable, part_values, rkm

WINDING_MARKS = {
    audio.Winding.LOW: "low",
    audio.Winding.USUAL: "within",
    audio.Winding.HIGH: "high",
    audio.Winding.OPEN: "open",
}


class MotorSum(SumForm):
    """A small DC motor: its winding and the current it draws while held still."""

    slug = "motor"
    title = "Small DC motor"
    about = "Cassette and record-player motors: winding and stall current. Turn the shaft while reading."

    ohm = OpenField(kind=Kind.RESISTANCE, label="Winding", help_text="12 ohm, OL")
    volt = volts("Fed with", required=False, help_text="12 V")

    def reckon(self) -> Iterator[Said]:
        """How the winding reads and what it draws when the shaft stands."""
        data = self.cleaned_data
        ohm = data["ohm"]
        winding = audio.judge_winding(None if ohm == INFINITE else ohm)
        low, high = audio.WINDING_OHM
        yield Said("Winding", f"{winding}; {low} to {high} Ω is usual", WINDING_MARKS[winding])
        if data["volt"] is not None and ohm != INFINITE and ohm:
            yield Said("Stall current", of_unit(audio.stall_current(data["volt"], ohm), "A"))


class PotSum(SumForm):
    """A potentiometer: what its letter may mean, and what it measures at half rotation."""

    slug = "potentiometer"
    title = "Potentiometer"
    about = "A letter alone is never decoded: measure at half rotation."

    letter = forms.CharField(label="Letter on it", max_length=3, required=False, help_text="A, B, C")
    origin = forms.ChoiceField(
        label="Made",
        choices=[
            ("", "Not known"),
            *((one.value, one.value[0].upper() + one.value[1:]) for one in audio.TaperOrigin),
        ],
        required=False,
        widget=forms.RadioSelect,
    )
    wiper = ohms("Start to wiper, at half rotation", required=False, help_text="7k5")
    whole = ohms("End to end", required=False, help_text="50k")

    def clean(self) -> dict[str, object]:
        """A letter, or both resistances."""
        data = self.cleaned_data
        if not self.errors and not data["letter"] and (data["wiper"] is None or data["whole"] is None):
            self.add_error("wiper", "Type the letter, or both resistances.")
        return super().clean()

    def reckon(self) -> Iterator[Said]:
        """The laws that the letter may mean, and the law that the reading shows."""
        data = self.cleaned_data
        if data["letter"]:
            origin = audio.TaperOrigin(data["origin"]) if data["origin"] else None
            laws = audio.tapers_of_letter(data["letter"], origin)
            said = " or ".join(laws) if laws else "no letter that is in use"
            yield Said(
                f"Letter {data['letter'].strip().upper()}", f"{said}: measure" if len(laws) != 1 else said
            )
        if data["wiper"] is not None and data["whole"] is not None:
            percent = audio.mid_rotation_percent(data["wiper"], data["whole"])
            law = audio.taper_at_mid_rotation(percent)
            yield Said(
                "At half rotation",
                f"{rounded(percent)} %: {law or 'fits no usual law'}",
                "" if law else "close",
                "unclear",
            )


class ValueSum(SumForm):
    """A part's value: its markings, its limits, and the preferred values beside it."""

    slug = "value"
    title = "Value of a part"
    about = "A code, color bands or a number: its value, its markings, and the nearest preferred values."

    typed = forms.CharField(
        label="What stands on it, or is wanted",
        max_length=60,
        help_text="4k7, 104, 473M, yellow violet red gold, 47 kohm",
    )

    def reckon(self) -> Iterator[Said]:
        """Every reading of the marking, and for each what it means."""
        data = self.cleaned_data
        for value in part_values(data["typed"], chips=True):
            yield from self._of(value)
        if (drift := sixth_band(data["typed"])) is not None:
            yield Said("Sixth band", f"{drift} ppm/K (IEC 60062; check the current edition)")

    def _of(self, value: Quantity) -> Iterator[Said]:
        if value.over_range:
            raise Unreadable("Over range is no value of a part: type what stands on it.")
        exact = value.value
        yield Said("Value", str(value))
        if value.tolerance is not None:
            low, high = value.tolerance.limits(exact)
            yield Said("Between", f"{of_unit(low, value.unit)} and {of_unit(high, value.unit)}")
        if value.kind not in {Kind.RESISTANCE, Kind.CAPACITANCE} or exact <= 0:
            return
        yield Said("Marked by IEC 60062", rkm(exact, value.kind))
        holding = series_of(exact)
        if holding:
            yield Said("Preferred value", f"in {listed([_name(series) for series in holding])}")
            return
        for series in (Series.E12, Series.E24, Series.E96):
            near = nearest(exact, series)
            off = f"{'+' if near.deviation > 0 else ''}{plain(near.deviation)} %"
            yield Said(f"Nearest of {_name(series)}", f"{of_unit(near.value, value.unit)} ({off})")


def _name(series: Series) -> str:
    return f"E{series.value}"
