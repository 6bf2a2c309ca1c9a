"""Tags of the records: who wrote a line, and texts with what was asked for marked in them."""

from __future__ import annotations

import datetime as dt

from django import template

from shop.frame.models import Staff
from shop.records.searching.address import Address
from shop.records.searching.answering import BEST, Answer

register = template.Library()


@register.filter
def who(staff: Staff | None) -> str:
    """The name by which the shop knows somebody; nothing for nobody."""
    return "" if staff is None else staff.get_full_name() or staff.username


@register.filter
def span(start: dt.datetime, stop: dt.datetime) -> int:
    """Whole seconds from one moment to another."""
    return int((stop - start).total_seconds())


@register.simple_tag
def choose(address: Address, name: str, value: str) -> str:
    """The query string with one filter set."""
    return address.with_(**{name: value})


@register.simple_tag
def without(address: Address, name: str) -> str:
    """The query string without one filter."""
    return address.with_(**{name: None})


@register.simple_tag
def with_(address: Address, **changes: str) -> str:
    """The query string with some values changed."""
    return address.with_(**changes)


@register.inclusion_tag("parts/pager.html")
def search_pager(address: Address, answer: Answer) -> dict[str, str]:
    """Newer and older hits by key; better and further ones by page where the order is best first."""
    if answer.asking.order == BEST and answer.question.told:
        return {
            "newer": address.at(page=answer.newer) if answer.newer else "",
            "older": address.at(page=answer.older) if answer.older else "",
            "newer_words": "Better",
            "older_words": "Next page",
        }
    return {
        "newer": address.at(after=answer.newer) if answer.newer else "",
        "older": address.at(before=answer.older) if answer.older else "",
    }


@register.filter
def kilograms(grams: int) -> str:
    """Grams as kilograms with one decimal."""
    return f"{grams / 1000:,.1f}"
