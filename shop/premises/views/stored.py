"""What the shop keeps, handed to whoever is signed in: papers, photographs, files."""

from __future__ import annotations

from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from shop.frame.doors import StaffRequest
from shop.keeping.handing_out import hand_out_file, hand_out_paper, hand_out_picture
from shop.keeping.models import IssuedPaper, Picture, StoredFile


@require_safe
def paper(request: StaffRequest, pk: int) -> HttpResponseBase:
    """A paper as it was issued; `?download` saves it under its title."""
    return hand_out_paper(request, get_object_or_404(IssuedPaper, pk=pk), download="download" in request.GET)


@require_safe
def picture(_request: StaffRequest, pk: int, size: str) -> HttpResponseBase:
    """A photograph in one of its sizes: full, medium, thumbnail."""
    return hand_out_picture(get_object_or_404(Picture, pk=pk), size)


@require_safe
def kept_file(_request: StaffRequest, pk: int) -> HttpResponseBase:
    """A service manual, a data sheet, a written message."""
    return hand_out_file(get_object_or_404(StoredFile, pk=pk))
