"""Original or not: what the dates on parts, stamps and labels say of one unit and of its earlier repair.

A part that was made after the unit was built was fitted later; a part made before it may be original; a part much
older may be old stock. A code that leaves the decade open leaves the verdict open: it is never decided silently.

Sources
    The steps (drop what lies after today; original if made by the end of the build window and at most about three
    years before its beginning; younger than the unit is proof of an earlier repair, if the reading is right; older is
    old stock or a wrong reading): common practice, no source.
    The date on a part is the earliest day on which the unit can have been built (guitardaterproject.org pot codes,
    looked up), if the part is the first one.
    How far a printed date may be off is said by each candidate (``datecodes``): week rules differ between makers,
    and some makers date ahead.
    That intervals on a line which meet two by two have a day in common: E. Helly, 1923 (from memory). So contradictions
    need only be looked for between two traces at a time.
"""

from __future__ import annotations

from .contradictions import Contradiction, contradictions
from .evidence import Evidence, Mark, Window, WindowError
from .judgement import STOCK_YEARS, Judgement, Verdict, judge
from .story import EarlierWork, Story, narrowed, story

__all__ = [
    "STOCK_YEARS",
    "Contradiction",
    "EarlierWork",
    "Evidence",
    "Judgement",
    "Mark",
    "Story",
    "Verdict",
    "Window",
    "WindowError",
    "contradictions",
    "judge",
    "narrowed",
    "story",
]
