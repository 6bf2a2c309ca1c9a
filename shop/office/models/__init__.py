"""Prices, estimates, the customer's yes, invoices and payments. An issued invoice is frozen by the database itself."""

from __future__ import annotations

from shop.office.models.estimates import Authorisation, Estimate, EstimateLine, FlatWork, OutOfState
from shop.office.models.invoices import Charge, EInvoice, Invoice, InvoiceJob, InvoiceLine, InvoiceTax
from shop.office.models.letters import LeftHere, Letter, RepairForm
from shop.office.models.lines import PERCENT, PricedLine
from shop.office.models.payments import Allocation, Payment, ReleaseUnpaid
from shop.office.models.rules import TAXED_KINDS, FlatPrice, LabourRate, LineKind, OfficeRules, TaxRule

__all__ = [
    "PERCENT",
    "TAXED_KINDS",
    "Allocation",
    "Authorisation",
    "Charge",
    "EInvoice",
    "Estimate",
    "EstimateLine",
    "FlatPrice",
    "FlatWork",
    "Invoice",
    "InvoiceJob",
    "InvoiceLine",
    "InvoiceTax",
    "LabourRate",
    "LeftHere",
    "Letter",
    "LineKind",
    "OfficeRules",
    "OutOfState",
    "Payment",
    "PricedLine",
    "ReleaseUnpaid",
    "RepairForm",
    "TaxRule",
]
