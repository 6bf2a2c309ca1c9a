"""What may be typed at the bench, and the sentence for what may not."""

from __future__ import annotations

from shop.bench.forms.entry import BenchForm
from shop.bench.forms.knowing import LimitsForm, MatchedSetForm, ReservoirForm
from shop.bench.forms.lines import (
    CaptionForm,
    CautionsForm,
    ConclusionForm,
    EvidenceForm,
    FindingForm,
    OverruleForm,
    PhotosForm,
    StrikeForm,
)
from shop.bench.forms.meters import MeterForm
from shop.bench.forms.notebook import (
    ChecklistForm,
    LeftOffForm,
    ListForm,
    PutBackForm,
    StopForm,
    TakeBackForm,
    TakeWordsBackForm,
    TemporaryForm,
)
from shop.bench.forms.parts import FitForm, WantForm
from shop.bench.forms.patterns import PatternForm
from shop.bench.forms.photos import PhotoForm
from shop.bench.forms.proving import ReadyForm, SoakCheckForm, SoakEndForm, SoakForm
from shop.bench.forms.readings import ReadingForm
from shop.bench.forms.safety import SafetyForm, WaiverForm
from shop.bench.forms.time import MendStintForm, StartForm

__all__ = [
    "BenchForm",
    "CaptionForm",
    "CautionsForm",
    "ChecklistForm",
    "ConclusionForm",
    "EvidenceForm",
    "FindingForm",
    "FitForm",
    "LeftOffForm",
    "LimitsForm",
    "ListForm",
    "MatchedSetForm",
    "MendStintForm",
    "MeterForm",
    "OverruleForm",
    "PatternForm",
    "PhotoForm",
    "PhotosForm",
    "PutBackForm",
    "ReadingForm",
    "ReadyForm",
    "ReservoirForm",
    "SafetyForm",
    "SoakCheckForm",
    "SoakEndForm",
    "SoakForm",
    "StartForm",
    "StopForm",
    "StrikeForm",
    "TakeBackForm",
    "TakeWordsBackForm",
    "TemporaryForm",
    "WaiverForm",
    "WantForm",
]
