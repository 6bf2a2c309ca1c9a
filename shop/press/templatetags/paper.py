"""Tags of papers: codes that readers read, and pictures that stand in the page itself."""

from __future__ import annotations

import base64
from collections.abc import Iterable

from django import template
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from shop.frame.english import english
from shop.keeping import marks
from shop.keeping.models import Picture
from shop.press.building import Fact
from shop.press.letterhead import the_logo
from shop.press.symbols import code128_svg, qr_svg

register = template.Library()


@register.filter
def in_english(words: str) -> str:
    """The program's own words in the English of the shop's papers: labor, labour."""
    return english(words)


@register.filter
def in_rows(facts: Iterable[Fact], columns: int | str = 2) -> list[list[Fact]]:
    """Deal facts out into rows of so many; a wide one has a row of its own."""
    rows: list[list[Fact]] = [[]]
    for fact in facts:
        if rows[-1] and (fact.wide or rows[-1][-1].wide or len(rows[-1]) == int(columns or 2)):
            rows.append([])
        rows[-1].append(fact)
    return rows


@register.simple_tag
def code128(text: str, module_mm: float = 0.33, height_mm: float = 10) -> SafeString:
    """Draw the text as Code 128, in true size."""
    return code128_svg(text, module_mm=module_mm, height_mm=height_mm)


@register.simple_tag
def qr_code(text: str, module_mm: float = 0.6, error: str = "q") -> SafeString:
    """Draw the text as a QR code, in true size."""
    return qr_svg(text, module_mm=module_mm, error=error)


@register.simple_tag
def logo() -> Picture | None:
    """Return the picture that stands at the head of the shop's papers, or None."""
    return the_logo()


@register.simple_tag
def picture_data(picture: Picture, size: str = "medium") -> str:
    """Return a photograph as an address that holds the picture itself: a paper may load nothing from outside.

    What was drawn over it is drawn over it here, too.
    """
    file = {"full": picture.file, "medium": picture.medium, "thumbnail": picture.thumbnail}[
        size
    ] or picture.file
    with file.open("rb") as opened:
        photograph = _address("image/jpeg", opened.read())
    if not picture.marks:
        return photograph
    drawing = render_to_string(
        "papers/parts/marked.svg",
        {
            "picture": picture,
            "photograph": photograph,
            "marks": marks.drawn(picture.marks, picture.width, picture.height),
            "stroke": max(picture.width, picture.height) // 160 + 1,
        },
    )
    return _address("image/svg+xml", drawing.encode())


def _address(kind: str, data: bytes) -> str:
    return f"data:{kind};base64,{base64.b64encode(data).decode('ascii')}"
