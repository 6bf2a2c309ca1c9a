"""Reading an issued paper back with another library than the one that wrote it."""

from __future__ import annotations

import io
import re

from pypdf import PdfReader

from shop.keeping.models import IssuedPaper
from shop.keeping.papers import stored_bytes


def text_of(paper: IssuedPaper | None) -> str:
    """All words of a stored paper, white space folded."""
    assert paper is not None
    return words(stored_bytes(paper))


def words(pdf: bytes) -> str:
    """All words of a PDF, white space folded."""
    pages = PdfReader(io.BytesIO(pdf)).pages
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))
