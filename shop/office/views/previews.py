"""A paper before it is issued: as PDF marked DRAFT, or as a page to print where no PDF can be made."""

from __future__ import annotations

from django.http import HttpResponse

from shop.press.drawing import draw_draft, draw_page
from shop.press.issuing import PaperWanted
from shop.press.libraries import missing_libraries


def shown_as_paper(sheet: PaperWanted) -> HttpResponse:
    """Draw the preview; nothing is stored and no number is taken."""
    draw = draw_page if missing_libraries() else draw_draft
    drawn = draw(sheet.template, sheet.context, title=sheet.title, heading=sheet.heading, number=sheet.number)
    if isinstance(drawn, str):
        return HttpResponse(drawn)
    inline = {"Content-Disposition": 'inline; filename="draft.pdf"'}
    return HttpResponse(drawn, content_type="application/pdf", headers=inline)
