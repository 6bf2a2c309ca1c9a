"""What a paper may load while it is printed: our own fonts, and pictures that stand in the page itself. Nothing else.

Imported only where a paper is made: this module imports WeasyPrint.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit
from urllib.request import url2pathname

from django.conf import settings
from weasyprint.urls import FatalURLFetchingError, URLFetcher

FONTS = (settings.BASE_DIR / "static" / "fonts").resolve()
INLINE_PICTURE = re.compile(r"data:image/(png|jpeg|svg\+xml)[;,]", re.IGNORECASE)


class Forbidden(FatalURLFetchingError):  # type: ignore[misc]  # untyped library
    """A paper asked for something from outside. That is never left out silently: the paper is not made."""


class OwnThingsOnly(URLFetcher):  # type: ignore[misc]  # untyped library
    """Denies every address but a vendored font's and an inline picture's."""

    def __init__(self) -> None:
        super().__init__(allowed_protocols={"file", "data"}, allow_redirects=False, fail_on_errors=True)
        # WeasyPrint swallows even fatal errors inside a drawing, so the machine looks here afterwards
        self.denied: list[str] = []

    def fetch(self, url: str, headers: object = None) -> Any:
        """Fetch a font of ours or an inline picture; raises Forbidden for anything else."""
        if INLINE_PICTURE.match(url) or _is_own_font(url):
            return super().fetch(url, headers)
        self.denied.append(url)
        raise Forbidden(f"A paper may not load {url[:80]}")


def _is_own_font(url: str) -> bool:
    parts = urlsplit(url)
    if parts.scheme != "file" or parts.netloc:
        return False
    path = Path(url2pathname(parts.path)).resolve()
    return path.suffix == ".woff2" and path.parent == FONTS
