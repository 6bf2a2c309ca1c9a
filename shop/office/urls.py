"""The doors of the office."""

from __future__ import annotations

from django.urls import URLPattern, path

from shop.office.views import invoices, jobs, lists

app_name = "office"
urlpatterns: list[URLPattern] = [
    path("", lists.office, name="office"),
    path("jobs/<str:number>/", jobs.job, name="job"),
    path("jobs/<str:number>/estimate/", jobs.draft_estimate, name="draft_estimate"),
    path("jobs/<str:number>/estimate/lines/", jobs.set_estimate_lines, name="set_estimate_lines"),
    path("jobs/<str:number>/estimate/preview/", jobs.preview_estimate, name="preview_estimate"),
    path("jobs/<str:number>/estimate/put/", jobs.put_estimate, name="put_estimate"),
    path("jobs/<str:number>/answer/", jobs.record_answer, name="record_answer"),
    path("jobs/<str:number>/deposit/", jobs.take_deposit, name="take_deposit"),
    path("jobs/<str:number>/refund/", jobs.refund, name="refund"),
    path("jobs/<str:number>/release/", jobs.release_unpaid, name="release_unpaid"),
    path("jobs/<str:number>/invoice/", invoices.draft_invoice, name="draft_invoice"),
    path("invoices/<int:pk>/", invoices.invoice, name="invoice"),
    path("invoices/<int:pk>/lines/", invoices.set_lines, name="set_invoice_lines"),
    path("invoices/<int:pk>/preview/", invoices.preview, name="preview_invoice"),
    path("invoices/<int:pk>/issue/", invoices.issue, name="issue_invoice"),
    path("invoices/<int:pk>/discard/", invoices.discard, name="discard_draft"),
    path("invoices/<int:pk>/credit/", invoices.credit, name="credit"),
    path("invoices/<int:pk>/payment/", invoices.take_payment, name="take_payment"),
]
