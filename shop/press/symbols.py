"""Codes that a camera or a reader reads off a paper, as SVG of true size in millimetres."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from django.utils.html import format_html
from django.utils.safestring import SafeString

from shop.handbook.barcodes import code128

QR_QUIET_MODULES = 4
"""White modules around a QR code: ISO/IEC 18004, from memory."""


def code128_svg(text: str, *, module_mm: float = 0.33, height_mm: float = 10) -> SafeString:
    """The text as Code 128 with its quiet zones, `height_mm` tall; raises BarcodeError when it can't be carried.

    The default module of 0.33 mm is what hand-held readers read without trouble (common practice, no source).
    """
    symbol = code128(text)
    width = symbol.modules_with_quiet
    height = round(height_mm / module_mm)
    return _svg("code128", f"Code 128: {text}", (width, height), module_mm, symbol.path(height))


def qr_svg(text: str, *, module_mm: float = 0.6, error: str = "q") -> SafeString:
    """The text as a QR code with its quiet zone; `error` is the least correction level (l, m, q or h)."""
    import segno  # noqa: PLC0415  40 ms, and only where a paper is made

    code = segno.make_qr(text, error=error, boost_error=False)
    modules = len(code.matrix) + 2 * QR_QUIET_MODULES
    return _svg("qr", f"QR code: {text}", (modules, modules), module_mm, _squares(code.matrix))


def _svg(css: str, words: str, modules: tuple[int, int], module_mm: float, path: str) -> SafeString:
    width, height = modules
    return format_html(
        '<svg xmlns="http://www.w3.org/2000/svg" class="{}" role="img" width="{}mm" height="{}mm" '
        'viewBox="0 0 {} {}" shape-rendering="crispEdges"><title>{}</title><path d="{}"/></svg>',
        css,
        f"{width * module_mm:.3f}",
        f"{height * module_mm:.3f}",
        width,
        height,
        words,
        path,
    )


def _squares(matrix: Iterable[Sequence[int]]) -> str:
    """Dark modules as one path: each unbroken stretch of a row is one rectangle."""
    parts = []
    for y, row in enumerate(matrix, start=QR_QUIET_MODULES):
        x = 0
        while x < len(row):
            if not row[x]:
                x += 1
                continue
            start = x
            while x < len(row) and row[x]:
                x += 1
            parts.append(f"M{start + QR_QUIET_MODULES} {y}h{x - start}v1h-{x - start}z")
    return "".join(parts)
