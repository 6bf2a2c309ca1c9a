"""What may be typed at the bench, and the sentence for what may not."""

from __future__ import annotations

from shop.bench.forms.entry import BenchForm
from shop.bench.forms.lines import ConclusionForm, EvidenceForm, FindingForm, PhotosForm, StrikeForm
from shop.bench.forms.parts import FitForm, WantForm
from shop.bench.forms.proving import ReadyForm, SoakCheckForm, SoakEndForm, SoakForm
from shop.bench.forms.readings import ReadingForm
from shop.bench.forms.safety import SafetyForm, WaiverForm
from shop.bench.forms.time import StartForm

__all__ = [
    "BenchForm",
    "ConclusionForm",
    "EvidenceForm",
    "FindingForm",
    "FitForm",
    "PhotosForm",
    "ReadingForm",
    "ReadyForm",
    "SafetyForm",
    "SoakCheckForm",
    "SoakEndForm",
    "SoakForm",
    "StartForm",
    "StrikeForm",
    "WaiverForm",
    "WantForm",
]
