"""A photograph with its marks: `{% load pictures %}{% marked picture "medium" "What it shows" %}`."""

from __future__ import annotations

from django import template

from shop.keeping import marks
from shop.keeping.models import Picture

register = template.Library()


@register.inclusion_tag("parts/marked.html")
def marked(picture: Picture, size: str, alt: str) -> dict[str, object]:
    """Draw a photograph in a size (full, medium, thumbnail) with what is drawn over it."""
    return {
        "picture": picture,
        "size": size,
        "alt": alt,
        "words": marks.words_on(picture.marks),
        "marks": marks.drawn(picture.marks, picture.width, picture.height) if picture.marks else [],
        "stroke": max(picture.width, picture.height) // 160 + 1,
    }
