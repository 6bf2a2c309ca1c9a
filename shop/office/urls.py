"""The doors of the office."""

from __future__ import annotations

from django.urls import URLPattern, path

from shop.office.views import estimates, figures, invoices, jobs, letters, lists, reports, rules, work

app_name = "office"
urlpatterns: list[URLPattern] = [
    path("", lists.office, name="office"),
    path("jobs/<str:number>/", jobs.job, name="job"),
    path("jobs/<str:number>/estimate/", estimates.draft_estimate, name="draft_estimate"),
    path("jobs/<str:number>/estimate/next/", estimates.next_version, name="next_version"),
    path("jobs/<str:number>/estimate/discard/", estimates.discard_estimate, name="discard_estimate"),
    path("jobs/<str:number>/estimate/lines/", estimates.set_estimate_lines, name="set_estimate_lines"),
    path("jobs/<str:number>/estimate/preview/", estimates.preview_estimate, name="preview_estimate"),
    path("jobs/<str:number>/estimate/put/", estimates.put_estimate, name="put_estimate"),
    path("jobs/<str:number>/answer/", jobs.record_answer, name="record_answer"),
    path("jobs/<str:number>/deposit/", jobs.take_deposit, name="take_deposit"),
    path("jobs/<str:number>/refund/", jobs.refund, name="refund"),
    path("jobs/<str:number>/release/", jobs.release_unpaid, name="release_unpaid"),
    path("jobs/<str:number>/invoice/", invoices.draft_invoice, name="draft_invoice"),
    path("jobs/<str:number>/stints/<int:pk>/", work.mend, name="mend_stint"),
    path("jobs/<str:number>/flat/", work.choose_flat, name="choose_flat"),
    path("jobs/<str:number>/flat/<int:pk>/drop/", work.drop_flat, name="drop_flat"),
    path("jobs/<str:number>/out-of-state/", work.ship_out_of_state, name="ship_out_of_state"),
    path("jobs/<str:number>/left-here/", letters.left_here, name="left_here"),
    path("jobs/<str:number>/left-here/<str:kind>/", letters.make_left_notice, name="make_left_notice"),
    path("jobs/<str:number>/report/", reports.issue_report, name="issue_report"),
    path("jobs/<str:number>/report/preview/", reports.preview_report, name="preview_report"),
    path("jobs/<str:number>/repair-form/", reports.repair_form, name="repair_form"),
    path("figures/", figures.figures_page, name="figures"),
    path("figures.csv", figures.figures_csv, name="figures_csv"),
    path("law/", reports.law, name="law"),
    path("customers/<int:pk>/", letters.account, name="account"),
    path("customers/<int:pk>/statement/", letters.make_statement, name="make_statement"),
    path("customers/<int:pk>/tax/", letters.set_tax_standing, name="set_tax_standing"),
    path("customers/<int:pk>/email/<int:paper>/", letters.email_paper, name="email_paper"),
    path("letters/<int:pk>/sent/", letters.note_sent, name="note_sent"),
    path("invoices/<int:pk>/", invoices.invoice, name="invoice"),
    path("invoices/<int:pk>/lines/", invoices.set_lines, name="set_invoice_lines"),
    path("invoices/<int:pk>/preview/", invoices.preview, name="preview_invoice"),
    path("invoices/<int:pk>/issue/", invoices.issue, name="issue_invoice"),
    path("invoices/<int:pk>/discard/", invoices.discard, name="discard_draft"),
    path("invoices/<int:pk>/credit/", invoices.credit, name="credit"),
    path("invoices/<int:pk>/payment/", invoices.take_payment, name="take_payment"),
    path("invoices/<int:pk>/deposits/", invoices.use_deposits, name="use_deposits"),
    path("invoices/<int:pk>/remind/", letters.remind, name="remind"),
    path("rules/", rules.rules, name="rules"),
    path("rates/", rules.rates, name="rates"),
    path("flat-prices/", rules.flat_prices, name="flat_prices"),
    path("flat-prices/<int:pk>/", rules.change_flat_price, name="change_flat_price"),
    path("flat-prices/<int:pk>/retire/", rules.retire_flat_price, name="retire_flat_price"),
    path("taxes/", rules.taxes, name="taxes"),
    path("taxes/start/", rules.start_with, name="start_with"),
    path("taxes/end/", rules.end_rules, name="end_rules"),
]
