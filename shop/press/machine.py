"""The machine itself: HTML in, PDF out. Fonts and style sheets stay loaded from the first paper to the last.

Measured once on the development machine: loading WeasyPrint 0.4 s, a first invoice 0.2 s, each further one 0.07 s
when fonts, style sheets and a frozen heap are kept; a fresh font set for each paper costs 0.05 s more and memory that
is not given back. WeasyPrint holds the interpreter while it works, so papers are made one at a time.
"""

from __future__ import annotations

import contextlib
import gc
import io
import threading
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from django.conf import settings

from shop.frame.refusal import Refusal
from shop.press.libraries import remedy
from shop.press.sheets import Sheet

STYLE = settings.BASE_DIR / "static" / "css" / "paper.css"
ACCESSIBLE = "pdf/ua-1"
"""Tagged PDF with language and title, so that a screen reader can read a paper aloud."""
ARCHIVED = "pdf/a-3a"
"""Tagged PDF for archives that may carry a file, such as the data of an e-invoice."""


@dataclass
class Machine:
    """Keeps WeasyPrint warm. `print` may be called from any thread; one paper is made at a time."""

    _lock: threading.Lock = field(default_factory=threading.Lock)
    _sheets: dict[Sheet, Any] = field(default_factory=dict)
    _settled: bool = False

    def print(self, html: str, sheet: Sheet, *, variant: str = ACCESSIBLE) -> bytes:
        """Return the PDF of `html` on `sheet`. Refuses when the libraries are missing.

        Raises RuntimeError when the page asks for anything from outside.
        """
        with self._lock:
            weasyprint = self._library
            self._fetcher.denied.clear()
            pdf = b""
            with contextlib.suppress(self._forbidden):
                page = weasyprint.HTML(string=html, url_fetcher=self._fetcher)
                pdf = page.write_pdf(
                    stylesheets=[self._style, self._size(sheet)],
                    font_config=self._fonts,
                    pdf_variant=variant,
                )
            if denied := self._fetcher.denied:
                raise RuntimeError(f"A paper may not load {denied[0][:80]}")
            self._settle()
        return pdf

    def warm(self, sheet: Sheet) -> None:
        """Load the libraries, fonts and styles, once: a second that nobody should spend holding the book's lock."""
        if not self._settled:
            self.print('<html lang="en"><title>.</title><body class="paper"><p>.</p>', sheet)

    @cached_property
    def _library(self) -> Any:
        # It prints its complaint about missing libraries before it raises; ours is the better sentence.
        try:
            with contextlib.redirect_stdout(io.StringIO()):
                import weasyprint  # noqa: PLC0415  0.4 s, and only where a paper is made
        except OSError as error:
            raise Refusal(remedy()) from error
        return weasyprint

    @cached_property
    def _fetcher(self) -> Any:
        from shop.press.fetcher import OwnThingsOnly  # noqa: PLC0415

        return OwnThingsOnly()

    @cached_property
    def _forbidden(self) -> type[BaseException]:
        from shop.press.fetcher import Forbidden  # noqa: PLC0415

        return Forbidden

    @cached_property
    def _fonts(self) -> object:
        from weasyprint.text.fonts import FontConfiguration  # noqa: PLC0415

        return FontConfiguration()

    @cached_property
    def _style(self) -> object:
        return self._library.CSS(filename=STYLE, font_config=self._fonts, url_fetcher=self._fetcher)

    def _size(self, sheet: Sheet) -> object:
        if sheet not in self._sheets:
            self._sheets[sheet] = self._library.CSS(
                string=sheet.css, font_config=self._fonts, url_fetcher=self._fetcher
            )
        return self._sheets[sheet]

    def _settle(self) -> None:
        """After the first paper, tell the garbage collector that what is loaded now stays (a fifth off the slowest)."""
        if not self._settled:
            gc.collect()
            gc.freeze()
            self._settled = True


machine = Machine()
