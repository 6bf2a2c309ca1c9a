"""What this room's database never lets happen."""

from __future__ import annotations

from django.db import migrations

from shop.frame.triggers import AppendOnly, Frozen, FrozenWith


class Migration(migrations.Migration):
    dependencies = [("office", "0001_initial")]

    operations = [
        AppendOnly('office_authorisation'),
        AppendOnly('office_payment'),
        AppendOnly('office_allocation'),
        AppendOnly('office_releaseunpaid'),
        Frozen('office_invoice', when='OLD.issued_at IS NOT NULL', except_columns=('settled_at',), columns=('kind', 'customer_id', 'number', 'year', 'sequence', 'currency', 'corrects_id', 'drafted_at', 'by_id', 'issued_at', 'issue_date', 'due_date', 'net_minor', 'tax_minor', 'total_minor', 'prepaid_minor', 'lump_sum', 'facts', 'note', 'paper_id', 'settled_at')),
        FrozenWith('office_invoiceline', when='parent.issued_at IS NOT NULL', parent='office_invoice', through='invoice_id'),
        FrozenWith('office_invoicetax', when='parent.issued_at IS NOT NULL', parent='office_invoice', through='invoice_id'),
        FrozenWith('office_invoicejob', when='parent.issued_at IS NOT NULL', parent='office_invoice', through='invoice_id'),
        Frozen('office_estimate', when="OLD.state <> 'draft'", except_columns=('state',), columns=('job_id', 'version', 'currency', 'diagnosis_only', 'lump_sum', 'note', 'days_needed', 'written_at', 'by_id', 'given_at', 'valid_until', 'total_minor', 'tax_minor', 'paper_id', 'state')),
        FrozenWith('office_estimateline', when="parent.state <> 'draft'", except_columns=('accepted',), columns=('estimate_id', 'position', 'kind', 'description', 'quantity_thousandths', 'unit', 'unit_price_ten_thousandths', 'amount_minor', 'net_minor', 'rate', 'margin', 'part_state', 'under_warranty', 'accepted'), parent='office_estimate', through='estimate_id'),
        AppendOnly('office_einvoice'),
        AppendOnly('office_repairform'),
    ]
