"""Figures as the planner's pages write them."""

from __future__ import annotations

from django import template

register = template.Library()


@register.filter
def tenths(value: float) -> str:
    """A number with one decimal, none where it is whole: `7.5`, `8`."""
    return f"{value:.1f}".removesuffix(".0")


@register.filter
def share(value: float) -> str:
    """A share in whole per cent, without the sign."""
    return f"{value * 100:.0f}"
