"""What may be typed in the office, and the sentence for what may not."""

from __future__ import annotations

from shop.office.forms.answers import AnswerForm
from shop.office.forms.lines import LINES_WANTED, EstimateHeadForm, InvoiceHeadForm, LineForm, LineSheet
from shop.office.forms.money import CreditForm, PaymentForm, RefundForm, ReleaseForm

__all__ = [
    "LINES_WANTED",
    "AnswerForm",
    "CreditForm",
    "EstimateHeadForm",
    "InvoiceHeadForm",
    "LineForm",
    "LineSheet",
    "PaymentForm",
    "RefundForm",
    "ReleaseForm",
]
