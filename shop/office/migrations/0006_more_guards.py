"""What is issued or given stays as it was, with everything that belongs to it: lines, taxes, jobs, estimates."""

from __future__ import annotations

from typing import Any

from django.db import migrations
from django.db.models import F, Sum

from shop.premises.triggers import AppendOnly, Frozen, FrozenWith, Thawed

ISSUED = "parent.issued_at IS NOT NULL"
INVOICE_COLUMNS = (
    "kind", "customer_id", "number", "year", "sequence", "currency", "corrects_id", "drafted_at", "by_id",
    "issued_at", "issue_date", "due_date", "net_minor", "tax_minor", "total_minor", "prepaid_minor", "lump_sum",
    "facts", "note", "paper_id",
)  # fmt: skip
ESTIMATE_COLUMNS = (
    "job_id", "version", "currency", "diagnosis_only", "lump_sum", "note", "days_needed", "written_at", "by_id",
    "given_at", "valid_until", "total_minor", "tax_minor", "paper_id",
)  # fmt: skip
ESTIMATE_LINE_COLUMNS = (
    "estimate_id", "position", "kind", "description", "quantity_thousandths", "unit", "unit_price_ten_thousandths",
    "amount_minor", "net_minor", "rate", "margin", "part_state", "under_warranty",
)  # fmt: skip


def carry_over(apps: Any, schema_editor: Any) -> None:
    """Lines written so far were priced without tax; invoices that are paid or credited are settled."""
    for name in ("EstimateLine", "InvoiceLine"):
        apps.get_model("office", name).objects.update(net_minor=F("amount_minor"))
    invoice = apps.get_model("office", "Invoice")
    issued = invoice.objects.filter(issued_at__isnull=False)
    issued.filter(kind="credit_note").update(settled_at=F("issued_at"))
    issued.filter(corrected_by__issued_at__isnull=False).update(settled_at=F("issued_at"))
    paid = issued.filter(kind="invoice").annotate(paid=Sum("allocations__amount_minor"))
    for row in paid.filter(paid__gte=F("total_minor")):
        invoice.objects.filter(pk=row.pk).update(settled_at=row.issued_at)
    issued.filter(total_minor__lte=0).update(settled_at=F("issued_at"))


class Migration(migrations.Migration):
    dependencies = [("office", "0005_law_and_letters")]

    operations = [
        Thawed("office_invoice"),
        migrations.RunPython(carry_over, migrations.RunPython.noop),
        Frozen(
            "office_invoice",
            when="OLD.issued_at IS NOT NULL",
            columns=(*INVOICE_COLUMNS, "settled_at"),
            except_columns=("settled_at",),
        ),
        FrozenWith("office_invoiceline", parent="office_invoice", through="invoice_id", when=ISSUED),
        FrozenWith("office_invoicetax", parent="office_invoice", through="invoice_id", when=ISSUED),
        FrozenWith("office_invoicejob", parent="office_invoice", through="invoice_id", when=ISSUED),
        Frozen(
            "office_estimate",
            when="OLD.state <> 'draft'",
            columns=(*ESTIMATE_COLUMNS, "state"),
            except_columns=("state",),
        ),
        FrozenWith(
            "office_estimateline",
            parent="office_estimate",
            through="estimate_id",
            when="parent.state <> 'draft'",
            columns=(*ESTIMATE_LINE_COLUMNS, "accepted"),
            except_columns=("accepted",),
        ),
        AppendOnly("office_einvoice"),
        AppendOnly("office_repairform"),
    ]
