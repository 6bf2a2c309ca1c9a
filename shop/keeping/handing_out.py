"""How stored things are handed to a browser: papers exactly as issued, pictures and files as what they are and nothing else.

These make the answer; who may have it is for the view to decide. Files lie outside anything the web server serves.
"""

from __future__ import annotations

import logging

from django.db.models.fields.files import FieldFile
from django.http import (
    FileResponse,
    Http404,
    HttpRequest,
    HttpResponse,
    HttpResponseBase,
    HttpResponseNotModified,
)
from django.shortcuts import render
from django.utils.http import content_disposition_header, parse_etags

from shop.frame.refusal import Refusal
from shop.keeping.models import IssuedPaper, Picture, StoredFile
from shop.keeping.papers import Altered, stored_bytes

log = logging.getLogger(__name__)

A_YEAR = 365 * 24 * 3600
NOTHING_ELSE = "default-src 'none'; frame-ancestors 'none'; sandbox"
"""For pictures and texts: whatever is in them, the browser runs and loads nothing."""
A_PDF = "default-src 'none'; style-src 'unsafe-inline'; img-src data: blob:; object-src 'self'; frame-ancestors 'none'"
"""For PDFs: what browsers' own PDF pages are built of, and no script."""


def hand_out_paper(request: HttpRequest, paper: IssuedPaper, *, download: bool = False) -> HttpResponseBase:
    """Answer with a paper's bytes as they were issued; with 410 and a sentence when the file is no longer there."""
    if _has_it(request, paper.sha256) and paper.deleted_at is None:
        return HttpResponseNotModified()
    try:
        pdf = stored_bytes(paper)
    except Refusal as refusal:
        return _gone(request, refusal.sentence)
    except Altered as altered:
        log.error("paper %s: %s", paper.pk, altered)  # noqa: TRY400  the trace says nothing more
        return _gone(request, f"{altered} The nightly check names it; a backup may still hold it.")
    response = HttpResponse(pdf, content_type="application/pdf")
    name = content_disposition_header(as_attachment=download, filename=f"{file_name(paper.title)}.pdf")
    response["Content-Disposition"] = name or "inline"
    response["Content-Security-Policy"] = A_PDF
    # the browser asks each time, and is told that nothing changed: a paper is not left readable after signing out
    response["Cache-Control"] = "private, no-cache"
    response["ETag"] = f'"{paper.sha256}"'
    return _only_as_sent(response)


def hand_out_picture(picture: Picture, size: str) -> HttpResponseBase:
    """Answer with a photograph in `size`: full, medium or thumbnail. 404 for another size or a missing file."""
    sizes = {
        "full": picture.file,
        "medium": picture.medium or picture.file,
        "thumbnail": picture.thumbnail or picture.file,
    }
    if size not in sizes:
        raise Http404
    response = _opened(sizes[size], "image/jpeg")
    # a picture never changes under its address
    response["Cache-Control"] = f"private, max-age={A_YEAR}, immutable"
    response["Content-Security-Policy"] = NOTHING_ELSE
    return _only_as_sent(response)


def hand_out_file(kept: StoredFile) -> HttpResponseBase:
    """Answer with a kept file: a PDF is shown, a text is saved."""
    is_pdf = kept.media_type == "application/pdf"
    response = _opened(kept.file, kept.media_type if is_pdf else "text/plain; charset=utf-8")
    name = content_disposition_header(as_attachment=not is_pdf, filename=kept.name)
    response["Content-Disposition"] = name or "attachment"
    response["Cache-Control"] = "private, max-age=86400"
    response["Content-Security-Policy"] = A_PDF if is_pdf else NOTHING_ELSE
    return _only_as_sent(response)


def _opened(file: FieldFile, content_type: str) -> FileResponse:
    try:
        return FileResponse(file.open("rb"), content_type=content_type)
    except (OSError, ValueError):
        log.exception("a stored file is missing")
        raise Http404 from None


def _only_as_sent(response: HttpResponseBase) -> HttpResponseBase:
    response["X-Content-Type-Options"] = "nosniff"
    response["Cross-Origin-Resource-Policy"] = "same-origin"
    return response


def _has_it(request: HttpRequest, sha256: str) -> bool:
    return f'"{sha256}"' in parse_etags(request.headers.get("If-None-Match", ""))


def _gone(request: HttpRequest, sentence: str) -> HttpResponse:
    context = {"status": 410, "title": "No longer here", "sentence": sentence}
    return render(request, "premises/refusal.html", context, status=410)


def file_name(title: str) -> str:
    """A title as the name of a file on any system, without its ending."""
    return (
        "".join(sign if sign.isalnum() or sign in " -_.()" else "-" for sign in title).strip(" .") or "paper"
    )
