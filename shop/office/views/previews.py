"""A paper before it is issued: as PDF marked DRAFT, or as a page to print where no PDF can be made."""

from __future__ import annotations

from django.http import HttpResponse

from shop.office.papers import SheetWanted
from shop.premises.press import draw_draft, draw_page
from shop.premises.press.libraries import missing_libraries


def shown_as_paper(sheet: SheetWanted) -> HttpResponse:
    """Draw the preview; nothing is stored and no number is taken."""
    facts = {"title": sheet.title, "heading": sheet.heading, "number": sheet.number}
    if missing_libraries():
        return HttpResponse(draw_page(sheet.template, sheet.context, **facts))
    pdf = draw_draft(sheet.template, sheet.context, **facts)
    return HttpResponse(
        pdf, content_type="application/pdf", headers={"Content-Disposition": 'inline; filename="draft.pdf"'}
    )
