"""Customers named in the box: found in their own table, offered beside the jobs, never mixed into the history's words."""

from __future__ import annotations

from shop.counter.keys import name_key, phone_key
from shop.counter.models import Customer
from shop.counter.queries import known_customers
from shop.records.searching.question import Question, begins

SHOWN = 4
SHORTEST = 3


def customers_named(question: Question) -> list[Customer]:
    """Customers whose name begins with what was typed (an index answers that), or whom the question itself means."""
    key = name_key(question.text[:80])
    if len(key) < SHORTEST or question.filters.customer:
        return []
    found = list(known_customers().filter(begins("search_key", key)).order_by("search_key")[:SHOWN])
    digits = phone_key(question.text[:40])
    if not found and len(digits) >= 6:
        found = list(known_customers().filter(phone_digits__contains=digits)[:SHOWN])
    return found or list(known_customers().filter(pk__in=_meant(question)).order_by("search_key")[:SHOWN])


def _meant(question: Question) -> list[int]:
    """Customers that the question itself was read as asking for."""
    words = (term for word in question.told.words for way in word.ways for term in way.words)
    return [int(term[2:]) for term in words if term.startswith("c_")]
