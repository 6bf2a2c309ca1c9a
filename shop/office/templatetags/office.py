"""Words of the office in templates."""

from __future__ import annotations

from django import template

register = template.Library()


@register.filter
def paper_words(paper: str) -> str:
    """The kind of a paper as a person calls it."""
    return str(paper).replace("_", " ")
