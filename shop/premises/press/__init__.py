"""The press: the one place where papers are made.

    from shop.premises.press import issue_paper
    paper = issue_paper(kind="invoice", number="2026-0012", title="Invoice 2026-0012", heading="Invoice",
                        template="papers/office/invoice.html", context={...}, by=staff)

A template extends `papers/base.html` (a sheet: the profile's size, or A4 or Letter by name) or `papers/label.html`
(a label in millimetres: `size=label(89, 36)`) and puts building blocks together: each of the dataclasses here is drawn by the
template of its name in `templates/papers/parts/`, which says at its top what it wants.
`draw_draft` makes a preview marked DRAFT; `draw_page` the same as a page for the browser to print where PDFs can't be made.
"""

from __future__ import annotations

from shop.premises.press.building import (
    Address,
    Fact,
    Line,
    LineGroup,
    LineTable,
    Notice,
    Signature,
    Total,
)
from shop.premises.press.drawing import Page, Paper, draw_draft, draw_page, render_pdf, warm_up, write_out
from shop.premises.press.issuing import (
    Altered,
    PaperWanted,
    issue_paper,
    issue_papers,
    keep_paper,
    stored_bytes,
)
from shop.premises.press.machine import ACCESSIBLE, ARCHIVED
from shop.premises.press.sheets import A4, LETTER, Sheet, label
from shop.premises.press.symbols import code128_svg, qr_svg

__all__ = [
    "A4",
    "ACCESSIBLE",
    "ARCHIVED",
    "LETTER",
    "Address",
    "Altered",
    "Fact",
    "Line",
    "LineGroup",
    "LineTable",
    "Notice",
    "Page",
    "Paper",
    "PaperWanted",
    "Sheet",
    "Signature",
    "Total",
    "code128_svg",
    "draw_draft",
    "draw_page",
    "issue_paper",
    "issue_papers",
    "keep_paper",
    "label",
    "qr_svg",
    "render_pdf",
    "stored_bytes",
    "warm_up",
    "write_out",
]
