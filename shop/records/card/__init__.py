"""The job card: everything that the shop wrote about one stay of one unit, on one page."""

from __future__ import annotations

from shop.records.card.whole import JobCard

__all__ = ["JobCard"]
