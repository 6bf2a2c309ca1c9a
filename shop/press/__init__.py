"""The press: the one place where papers are made.

    from shop.press.issuing import issue_paper
    paper = issue_paper(kind="invoice", number="2026-0012", title="Invoice 2026-0012", heading="Invoice",
                        template="papers/office/invoice.html", context={...}, by=staff)

A template extends `papers/base.html` (a sheet: the profile's size, or A4 or Letter by name) or `papers/label.html`
(a label in millimeters: `size=label(89, 36)`) and puts building blocks together: each of the dataclasses of `building` is
drawn by the template of its name in `templates/papers/parts/`, which says at its top what it wants.
`draw_draft` makes a preview marked DRAFT; `draw_page` the same as a page for the browser to print where PDFs can't be made.
"""

from __future__ import annotations
