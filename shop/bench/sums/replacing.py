"""Sums of one part in another's place: capacitor for capacitor, ESR, device for device, its partner."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
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
    volts,
    watts,
)
from shop.handbook.in_words import plain
from shop.handbook.quantities import Kind, Quantity, parse
from shop.handbook.refusal import Refused
from shop.handbook.replacing import capacitors, devices
from shop.handbook.replacing.saying import Remark, Weight, verdict

SORTS = [(one.value, one.label) for one in capacitors.Sort]
MARKS = {Weight.NO: ("high", "no"), Weight.MIND: ("close", "mind"), Weight.NOT_KNOWN: ("close", "not known")}


def _said(remarks: Iterable[Remark]) -> Iterator[Said]:
    found = tuple(remarks)
    told = verdict(found)
    mark = "high" if told == "may not stand in" else "close" if found else "within"
    yield Said("It", told, mark, {"high": "no", "close": "conditions", "within": "by numbers"}[mark])
    for one in found:
        yield Said(str(one.weight).capitalize(), one.sentence, *MARKS[one.weight])


class CapacitorField(forms.CharField):
    """A capacitor's marking with its voltage; its clean value is the quantity with what else stands on it."""

    def clean(self, value: object) -> object:
        """Read it, or say what is missing."""
        text = super().clean(value)
        try:
            found = parse(text, Kind.CAPACITANCE)
        except ValueError as refusal:
            raise forms.ValidationError(str(refusal)) from refusal
        if found.over_range or not any(one.unit == "V" for one in found.ratings):
            raise forms.ValidationError("Type capacitance and voltage, such as 47 µF 35 V.")
        return found


def _rated(quantity: Quantity, unit: str) -> Decimal | None:
    return next((one.value for one in quantity.ratings if one.unit == unit), None)


class CapacitorSum(SumForm):
    """One capacitor in another's place."""

    slug = "capacitor-for-capacitor"
    title = "Capacitor for capacitor"
    about = "Whether yours may stand where the old one was, by what it does there."
    caution = "Discharge and measure first. Across the line only parts marked X or Y."
    words = "replace recap electrolytic film coupling x2 y2 safety substitute equivalent cap"

    function = choice("It", [(one.value, one.words) for one in capacitors.Function])
    old = CapacitorField(label="The old one", max_length=60, help_text="47 µF 35 V 85 °C")
    old_sort = choice("made of", SORTS)
    new = CapacitorField(label="Yours", max_length=60, help_text="47 µF 50 V 105 °C")
    new_sort = choice("made of", SORTS)
    winding = volts(
        "Winding before the rectifier, RMS",
        Kind.VOLTAGE_AC,
        required=False,
        help_text="Only if it charges it.",
    )
    largest = farads("The rectifier tube allows first", required=False, help_text="60 µF, from its data")
    old_ripple = amperes("Ripple current, old", Kind.CURRENT_AC, required=False, help_text="1.2 A")
    new_ripple = amperes("and yours", Kind.CURRENT_AC, required=False, help_text="1.9 A")
    room = number("Room for a diameter of, mm", required=False, help_text="13")
    diameter = number("Yours is, mm", required=False, help_text="12.5")
    holes = number("Holes apart, mm", required=False, help_text="5")
    pitch = number("Your leads, mm", required=False, help_text="5")

    def reckon(self) -> Iterator[Said]:
        """The verdict and each remark."""
        data = self.cleaned_data
        old = self._capacitor("old", data["room"], data["holes"])
        new = self._capacitor("new", data["diameter"], data["pitch"])
        yield from _said(
            capacitors.judge_capacitor(
                old,
                new,
                capacitors.Function(data["function"]),
                winding_rms=data["winding"],
                largest_first_farad=data["largest"],
            )
        )
        if data["winding"] is not None:
            yield Said(
                "At cold start",
                f"up to {of_unit(capacitors.cold_start_volt(data['winding']), 'V')}, on a high line",
            )

    def _capacitor(self, which: str, diameter: Decimal | None, pitch: Decimal | None) -> capacitors.Capacitor:
        data = self.cleaned_data
        typed = data[which]
        return capacitors.Capacitor(
            farad=typed.value,
            volt=_rated(typed, "V") or Decimal(0),
            sort=capacitors.Sort(data[f"{which}_sort"]),
            celsius=_rated(typed, "°C"),
            ripple_ampere=data[f"{which}_ripple"],
            diameter_mm=diameter,
            pitch_mm=pitch,
        )


class EsrSum(SumForm):
    """ESR as a suspicion."""

    slug = "esr"
    title = "ESR"
    about = "From which ESR an electrolytic is suspicious, and what a meter doesn’t see."
    caution = "Discharge it first: a meter dies of a charged capacitor."
    words = "esr equivalent series resistance electrolytic capacitor meter tan delta loss dissipation"

    old = CapacitorField(label="On it", max_length=60, help_text="470 µF 25 V")
    series = choice("Series", [(one.value, one.value.capitalize()) for one in capacitors.Esr])
    reading = MeasuredField(
        kind=Kind.ESR, label="The meter shows, at 100 kHz", required=False, help_text="0.3 Ω"
    )

    def reckon(self) -> Iterator[Said]:
        """The limit, the reading against it, and what it doesn't tell."""
        data = self.cleaned_data
        farad, volt = data["old"].value, _rated(data["old"], "V") or Decimal(0)
        limit = capacitors.suspicious_from(farad, volt, capacitors.Esr(data["series"]))
        yield Said(
            "Suspicious from",
            f"{of_unit(limit, 'Ω')} at 100 kHz: a limit for a second look (common practice)",
        )
        if data["reading"] is not None:
            over = data["reading"] > limit
            said = (
                "take it out and measure again"
                if over
                else "no suspicion by ESR; that is no proof that it is good"
            )
            yield Said("Reading", said, "high" if over else "", "suspicious")
        loss = capacitors.tan_delta(farad, volt)
        yield Said(
            "At 120 Hz",
            f"tan δ {plain(loss)} at most is {of_unit(capacitors.esr_at_120_hz(farad, loss), 'Ω')}",
        )
        yield Said(
            "It doesn’t see",
            "leakage; and parts in parallel hide a bad one. The series’ data sheet comes first",
        )


LEADS = "ECB, BCE, GDS: from the front, leads down"


class DeviceForDeviceSum(SumForm):
    """One transistor in another's place."""

    slug = "device-for-device"
    title = "Transistor for transistor"
    about = "Whether yours may stand in, by the ratings of both; what isn’t typed isn’t judged."
    words = "substitute equivalent replacement transistor cross reference mosfet jfet"

    sort = choice("The old one", [(one.value, one.value) for one in devices.Sort])
    new_sort = choice("Yours", [(one.value, one.value) for one in devices.Sort])
    old_marking = forms.CharField(label="Marking, old", max_length=40, required=False, help_text="2SC1815-GR")
    new_marking = forms.CharField(label="and yours", max_length=40, required=False, help_text="KSC1815")
    old_volt = volts("V_CEO (V_DS), old", required=False, help_text="50 V")
    new_volt = volts("and yours", required=False, help_text="60 V")
    old_ampere = amperes("I_C (I_D), old", required=False, help_text="150 mA")
    new_ampere = amperes("and yours", required=False, help_text="200 mA")
    old_watt = watts("Power at 25 °C, old", required=False, help_text="400 mW")
    new_watt = watts("and yours", required=False, help_text="500 mW")
    old_hertz = hertz("f_T, old", required=False, help_text="80 MHz")
    new_hertz = hertz("and yours", required=False, help_text="100 MHz")
    old_farad = farads("C_ob, old", required=False, help_text="2 pF")
    new_farad = farads("and yours", required=False, help_text="3 pF")
    old_hfe_low = number("hFE from, old", required=False, help_text="200")
    old_hfe_high = number("to", required=False, help_text="400")
    new_hfe_low = number("hFE from, yours", required=False, help_text="120")
    new_hfe_high = number("to", required=False, help_text="700")
    old_leads = forms.CharField(label="Leads, old", max_length=10, required=False, help_text=LEADS)
    new_leads = forms.CharField(label="and yours", max_length=10, required=False, help_text=LEADS)
    old_case = forms.CharField(label="Case, old", max_length=20, required=False, help_text="TO-92")
    new_case = forms.CharField(label="and yours", max_length=20, required=False, help_text="TO-92")
    old_insulated = choice("Tab insulated, old", [("yes", "Yes"), ("no", "No")], required=False)
    new_insulated = choice("and yours", [("yes", "Yes"), ("no", "No")], required=False)
    case_celsius = number("Case as hot as, °C", required=False, help_text="80; for power devices")

    def reckon(self) -> Iterator[Said]:
        """The verdict, each remark, and how the markings stand to each other."""
        data = self.cleaned_data
        for marking, sort in ((data["old_marking"], data["sort"]), (data["new_marking"], data["new_sort"])):
            if marking and (why := devices.contradicted(marking, devices.Sort(sort))):
                raise Refused(why)
        old, new = self._device("old", data["sort"]), self._device("new", data["new_sort"])
        yield from _said(devices.judge_device(old, new, case_celsius=data["case_celsius"]))
        if data["old_marking"] and data["new_marking"]:
            yield Said("By its marking", str(devices.kinship(data["old_marking"], data["new_marking"])))

    def _device(self, which: str, sort: str) -> devices.Device:
        data = self.cleaned_data
        insulated = {"yes": True, "no": False}.get(data[f"{which}_insulated"])
        numbers = {
            name: data[f"{which}_{name}"]
            for name in ("volt", "ampere", "watt", "hertz", "farad", "hfe_low", "hfe_high")
        }
        leads, case = data[f"{which}_leads"], data[f"{which}_case"]
        return devices.Device(sort=devices.Sort(sort), **numbers, leads=leads, case=case, insulated=insulated)


class PartnerSum(SumForm):
    """The complementary partner."""

    slug = "partner"
    title = "Complementary partner"
    about = "Which PNP goes with an NPN, as the makers name them."
    words = "complement complementary pair npn pnp match"

    marking = forms.CharField(label="What stands on it", max_length=40, help_text="2SC5200-O")

    def reckon(self) -> Iterator[Said]:
        """The partner from the table."""
        data = self.cleaned_data
        found = devices.partner(data["marking"])
        if found is None:
            raise Refused("No partner of that type stands in the table: its data sheet names it.")
        yield Said("Partner", f"{found}, if the marking is read whole (check the maker’s data sheet)")
        yield Said(
            "Keep in mind", "of the same maker and gain group, and matched where a circuit asks for it"
        )


REPLACING: tuple[type[SumForm], ...] = (CapacitorSum, EsrSum, DeviceForDeviceSum, PartnerSum)
