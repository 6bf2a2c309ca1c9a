"""The planner's work beside the server: reckoning the dates whenever the book has gone on."""

from __future__ import annotations

from shop.keeping.tasks import Kind, Result, Work, hang_up
from shop.keeping.tasks.timing import Timed, by_the_clock
from shop.planner.reckoning import is_stale, reckon

FORECAST = "planner.forecast"


def reckon_dates(work: Work) -> Result:
    """Calculate the dates of all open jobs."""
    state = reckon()
    return Result(state.trouble or "The dates are calculated.")


def hang_up_all() -> None:
    """Have the worker reckon, at most every other minute, and at the first look of a day."""
    hang_up(Kind(FORECAST, "Calculate the dates", reckon_dates, quick=True, told=False))
    by_the_clock(Timed(FORECAST, wanted=is_stale))
