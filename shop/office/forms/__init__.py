"""What may be typed in the office, and the sentence for what may not."""

from __future__ import annotations

from shop.office.forms.answers import AnswerForm
from shop.office.forms.lines import EstimateHeadForm, InvoiceHeadForm, LineSheet
from shop.office.forms.money import CreditForm, PaymentForm, RefundForm, ReleaseForm

__all__ = [
    "AnswerForm",
    "CreditForm",
    "EstimateHeadForm",
    "InvoiceHeadForm",
    "LineSheet",
    "PaymentForm",
    "RefundForm",
    "ReleaseForm",
]
