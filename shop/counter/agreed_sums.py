"""Until when the counter's own sums, the agreed limit and the bench fee, may be corrected by hand.

They stand on the claim check that the customer holds. Once the unit has been on the bench, or a room above has something
that rests on them, only the customer's answer changes them: the office records it.
"""

from __future__ import annotations

from collections.abc import Callable

from shop.counter.models import Job
from shop.counter.stages import Stage

SUMS_STILL_OPEN = frozenset({Stage.EXPECTED, Stage.BOOKED_IN})
Check = Callable[[Job], bool]
_checks: list[Check] = []


def rests_on_them(check: Check) -> None:
    """Have `check(job)` asked whether a room above holds something that rests on the sums; a room calls this in `apps.py`."""
    if check not in _checks:
        _checks.append(check)


def sums_still_open(job: Job) -> bool:
    """Whether a slip of the pen in them may still be put right without the customer."""
    if job.stage not in SUMS_STILL_OPEN or job.moves.filter(to_stage=Stage.ON_THE_BENCH).exists():
        return False
    return not any(check(job) for check in _checks)
