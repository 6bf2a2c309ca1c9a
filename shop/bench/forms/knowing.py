"""What the model file keeps beside test points (largest capacitor, maker's limits), and sets that must match."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any, TypedDict

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BoundField

from shop.bench.forms.entry import BenchForm
from shop.bench.forms.proving import MeasuredField
from shop.bench.models import Reservoir
from shop.counter.models import Job, SafetyLimits, TestsBy
from shop.handbook.matching import RULES, Basis, Device, MatchingError, SetKind, SetReport, check_set, rule_of
from shop.handbook.quantities import Kind, engineering
from shop.handbook.safety import Limits

MOST_IN_A_SET = 4


class ReservoirForm(BenchForm):
    """What the discharge time is computed from."""

    where = forms.CharField(
        label="Capacitor",
        max_length=60,
        required=False,
        help_text="C801",
        widget=forms.TextInput(attrs={"class": "w-short", "autocapitalize": "characters"}),
    )
    volt = MeasuredField(
        kind=Kind.VOLTAGE_DC,
        label="Charged to",
        help_text="63 V",
        error_messages={"required": "Say how far it is charged."},
    )
    farad = MeasuredField(
        kind=Kind.CAPACITANCE,
        label="Capacitance",
        help_text="10 mF, 4700 µF",
        error_messages={"required": "Say how large it is."},
    )
    ohm = MeasuredField(
        kind=Kind.RESISTANCE,
        label="Bleeder across it",
        help_text="2k2",
        error_messages={"required": "Say what discharges it; without a bleeder no wait can be computed."},
    )

    def __init__(self, *args: object, job: Job, known: Reservoir | None, **kwargs: object) -> None:
        if known is not None:
            kwargs["initial"] = {
                "where": known.where,
                "volt": engineering(known.volt, "V"),
                "farad": engineering(known.farad, "F"),
                "ohm": engineering(known.ohm, "Ω"),
            }
        super().__init__(*args, job=job, **kwargs)

    def clean(self) -> dict[str, object]:
        """Every value is above zero."""
        data = super().clean() or self.cleaned_data
        for name in ("volt", "farad", "ohm"):
            value = data.get(name)
            if value is not None and value <= 0:
                self.add_error(name, "This must be more than nothing.")
        return data


HIGHEST_LIMIT_VOLT = Decimal(1)
"""A bare number is volts: ten typed for ten millivolts is noticed here."""

COMMON = Limits()


class LimitsFacts(TypedDict):
    """What a maker prints, as `set_limits` takes it."""

    hot_leakage_volts: Decimal | None
    hot_limit_fails: bool
    cold_min_ohms: Decimal | None
    cold_max_ohms: Decimal | None
    cold_infinite: bool
    tests_by: str
    surge_protectors: bool
    insulation_by_current: bool
    hfe_percent: Decimal | None
    vbe_volts: Decimal | None
    source: str


class LimitsForm(BenchForm):
    """What this model's maker prints where it differs from the common limits; an empty field means the common one."""

    hot_leakage_volts = MeasuredField(
        kind=Kind.VOLTAGE_AC,
        label="Hot leakage",
        required=False,
        help_text=f"Commonly {engineering(COMMON.hot_volt, 'V')}; some makers 0.35 V or 0.15 V.",
    )
    hot_limit_fails = forms.BooleanField(label="The limit itself already counts as failed", required=False)
    cold_min_ohms = MeasuredField(
        kind=Kind.RESISTANCE,
        label="Cold check, at least",
        required=False,
        help_text=f"Commonly {engineering(COMMON.cold_min_ohm, 'Ω')}.",
    )
    cold_max_ohms = MeasuredField(
        kind=Kind.RESISTANCE,
        label="Cold check, at most",
        required=False,
        help_text="Only where this manual prints one.",
    )
    cold_infinite = forms.BooleanField(
        label="Metal without a return to the chassis must read infinite", required=False
    )
    tests_by = forms.ChoiceField(
        label="Its manual tests it by",
        choices=TestsBy,
        required=False,
        widget=forms.RadioSelect(attrs={"class": "tiles-list"}),
    )
    surge_protectors = forms.BooleanField(
        label="Surge protectors inside: insulation is tested at 250 V DC", required=False
    )
    insulation_by_current = forms.BooleanField(
        label="The maker warns against the 500 V test: currents are measured instead", required=False
    )
    hfe_percent = MeasuredField(
        kind=Kind.PERCENT,
        label="Matched devices: hFE within",
        required=False,
        help_text=f"Commonly {RULES[SetKind.OUTPUT_PAIR].hfe_percent} %, {RULES[SetKind.PARALLELED].hfe_percent} % in parallel.",
    )
    vbe_volts = MeasuredField(
        kind=Kind.VOLTAGE_DC,
        label="Matched devices: V_BE within",
        required=False,
        help_text=f"Commonly {engineering(RULES[SetKind.OUTPUT_PAIR].vbe_volt, 'V')}.",
    )
    source = forms.CharField(
        label="Where it is printed", max_length=200, required=False, help_text="Service manual, page 4"
    )

    def __init__(self, *args: object, job: Job, known: SafetyLimits | None, **kwargs: object) -> None:
        if known is not None:
            kwargs["initial"] = {
                **{name: getattr(known, name) for name in self.base_fields if hasattr(known, name)},
                "hot_leakage_volts": _shown(known.hot_leakage_volts, "V"),
                "cold_min_ohms": _shown(known.cold_min_ohms, "Ω"),
                "cold_max_ohms": _shown(known.cold_max_ohms, "Ω"),
                "hfe_percent": _shown(known.hfe_percent, "%"),
                "vbe_volts": _shown(known.vbe_volts, "V"),
            }
        super().__init__(*args, job=job, **kwargs)

    def clean(self) -> dict[str, object]:
        """Every limit is above zero, and of a size that a maker prints."""
        data = super().clean() or self.cleaned_data
        for name in ("hot_leakage_volts", "cold_min_ohms", "cold_max_ohms", "hfe_percent", "vbe_volts"):
            value = data.get(name)
            if value is not None and value <= 0:
                self.add_error(name, "This must be more than nothing.")
        if (data.get("vbe_volts") or Decimal(0)) >= HIGHEST_LIMIT_VOLT:
            self.add_error("vbe_volts", "Type it with its unit, such as 10 mV.")
        return data

    def facts(self) -> LimitsFacts:
        """The limits that were typed."""
        data = self.cleaned_data
        return {
            "hot_leakage_volts": data["hot_leakage_volts"],
            "hot_limit_fails": data["hot_limit_fails"],
            "cold_min_ohms": data["cold_min_ohms"],
            "cold_max_ohms": data["cold_max_ohms"],
            "cold_infinite": data["cold_infinite"],
            "tests_by": data["tests_by"],
            "surge_protectors": data["surge_protectors"],
            "insulation_by_current": data["insulation_by_current"],
            "hfe_percent": data["hfe_percent"],
            "vbe_volts": data["vbe_volts"],
            "source": data["source"],
        }


def _shown(value: Decimal | None, unit: str) -> str:
    """A kept limit as one would type it; nothing where none is kept."""
    return "" if value is None else engineering(value, unit)


class MatchedSetForm(BenchForm):
    """Two to four devices, compared by the rule of why they must match, or by limits of one's own."""

    kind = forms.ChoiceField(
        label="Why they must match",
        choices=[(one.value, str(one).capitalize()) for one in SetKind],
        initial=SetKind.OUTPUT_PAIR.value,
        widget=forms.RadioSelect(attrs={"class": "tiles-few"}),
        error_messages={"required": "Choose why they must match."},
    )

    hfe_within = MeasuredField(kind=Kind.PERCENT, label="hFE within", required=False)
    vbe_within = MeasuredField(kind=Kind.VOLTAGE_DC, label="V_BE within", required=False)
    basis = forms.ChoiceField(
        label="Percent",
        choices=[(Basis.OF_LOWER.value, "of the lower hFE"), (Basis.OF_MEAN.value, "of the mean")],
        initial=Basis.OF_LOWER.value,
        required=False,
    )

    def __init__(self, *args: object, job: Job, known: SafetyLimits | None = None, **kwargs: object) -> None:
        super().__init__(*args, job=job, **kwargs)
        self.report: SetReport | None = None
        self.printed = known
        common = RULES[SetKind.OUTPUT_PAIR]
        percent = f"{common.hfe_percent} %, {RULES[SetKind.PARALLELED].hfe_percent} % in parallel"
        self.fields["hfe_within"].help_text = self._when_empty("hfe_percent", "%", percent)
        self.fields["vbe_within"].help_text = self._when_empty(
            "vbe_volts", "V", engineering(common.vbe_volt, "V")
        )
        plain = {"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}
        for at in range(MOST_IN_A_SET):
            self.fields[f"d{at}_name"] = forms.CharField(
                label="Position", max_length=30, required=False, widget=forms.TextInput(attrs=plain)
            )
            self.fields[f"d{at}_marking"] = forms.CharField(
                label="Marking", max_length=40, required=False, widget=forms.TextInput(attrs=plain)
            )
            self.fields[f"d{at}_lot"] = forms.CharField(
                label="Date lot", max_length=20, required=False, widget=forms.TextInput(attrs=plain)
            )
            self.fields[f"d{at}_hfe"] = MeasuredField(kind=Kind.GAIN, label="hFE", required=False)
            self.fields[f"d{at}_vbe"] = MeasuredField(kind=Kind.DIODE, label="V_BE", required=False)

    def _when_empty(self, name: str, unit: str, common: str) -> str:
        """Which limit counts while the field is empty: the model file's, else the common one."""
        printed = getattr(self.printed, name, None)
        if printed is not None:
            return f"Empty: {engineering(printed, unit)}, as the model file says."
        return f"Empty: {common}."

    def rows(self) -> Iterator[list[BoundField]]:
        """The devices' fields, row by row."""
        for at in range(MOST_IN_A_SET):
            yield [self[f"d{at}_{name}"] for name in ("name", "marking", "lot", "hfe", "vbe")]

    def clean(self) -> dict[str, object]:
        """Compare the devices that were filled in."""
        data = super().clean() or self.cleaned_data
        if (data.get("vbe_within") or Decimal(0)) >= HIGHEST_LIMIT_VOLT:
            self.add_error("vbe_within", "Type it with its unit, such as 10 mV.")
        if self.errors:
            return data
        try:
            devices = list(self._devices(data))
            kind = SetKind(data["kind"])
            rule = rule_of(
                kind,
                hfe_percent=self._limit(data["hfe_within"], "hfe_percent"),
                vbe_volt=self._limit(data["vbe_within"], "vbe_volts"),
                basis=Basis(data["basis"] or Basis.OF_LOWER.value),
            )
            self.report = data["report"] = check_set(kind, devices, rule)
        except MatchingError as error:
            raise ValidationError(str(error)) from error
        data["marking"] = ", ".join(device.marking for device in devices)
        return data

    def _limit(self, typed: Decimal | None, name: str) -> Decimal | None:
        """What was asked for, else what the model file says; None for the common limit."""
        printed: Decimal | None = getattr(self.printed, name, None)
        return typed if typed is not None else printed

    def _devices(self, data: dict[str, Any]) -> Iterator[Device]:
        for at in range(MOST_IN_A_SET):
            marking = data.get(f"d{at}_marking") or ""
            if not marking:
                if any(data.get(f"d{at}_{name}") for name in ("name", "lot", "hfe", "vbe")):
                    raise MatchingError("Copy the marking of every device that is compared.")
                continue
            yield Device(
                name=data[f"d{at}_name"] or f"Device {at + 1}",
                marking=marking,
                lot=data[f"d{at}_lot"],
                hfe=data[f"d{at}_hfe"],
                vbe_volt=data[f"d{at}_vbe"],
            )
