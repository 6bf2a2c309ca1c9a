"""How long a customer's word or a part takes, from those that came and those that are still owed.

Sources
    An owed part is a wait of which only the least is known; leaving it out makes waits look short. The share still
    waiting after each length is the product-limit estimate of E. L. Kaplan and P. Meier, "Nonparametric estimation from
    incomplete observations", Journal of the American Statistical Association 53 (1958), here with weights.
    Waiting on beyond all that was ever seen: as long again is as likely as not, J. R. Gott, "Implications of the
    Copernican principle for our future prospects", Nature 363 (1993).
    How much a supplier's own past weighs against the others': common practice, no source.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

OWN_STRENGTH = 4.0
"""All the shop's waits together weigh as much as so many of the one supplier's own."""
PRIOR_STRENGTH = 2.0
"""What is assumed before anything is known weighs as much as so many waits."""
LONGEST = 3650
"""Days beyond which nothing is told apart."""
NEVER_SHORTER_THAN = 0.02
"""Of the waits that outlast all seen: so small a share is let grow out of sight."""


@dataclass(frozen=True, slots=True)
class Wait:
    """One wait in whole days; `ended` False where it still lasts, so that only its least is known."""

    days: int
    ended: bool = True


@dataclass(frozen=True, slots=True)
class Waits:
    """How long a wait may take: rising days, the share that ended by each, the longest that was seen, ended or not, and
    how many waits of its own it rests on."""

    days: tuple[int, ...]
    ended_by: tuple[float, ...]
    longest: int = 0
    seen: int = 0

    def drawn(self, u: float, waited: int = 0) -> int:
        """The whole length of a wait that has lasted `waited` days already, for a chance `u` of 0 to 1."""
        before = self._ended_before(waited)
        reached = before + u * (1 - before)
        at = bisect_right(self.ended_by, reached)
        if at < len(self.days):
            return max(self.days[at], waited)
        return self._beyond(u, reached, waited)

    def _ended_before(self, waited: int) -> float:
        """The share that had ended before that day; a wait of `waited` days may end today."""
        at = bisect_right(self.days, waited - 1)
        return self.ended_by[at - 1] if at else 0.0

    def _beyond(self, u: float, reached: float, waited: int) -> int:
        """Longer than all that ended: from the longest or from now on, as long again is as likely as not."""
        ended = self.ended_by[-1] if self.ended_by else 0.0
        last = max(waited, self.longest, 1)
        passed = (reached - ended) / (1 - ended) if ended < 1 else u
        return min(int(last / max(1 - passed, NEVER_SHORTER_THAN)), LONGEST)


def waits_of(
    own: Sequence[Wait],
    others: Sequence[Wait] = (),
    prior: Sequence[int] = (),
    *,
    own_strength: float = OWN_STRENGTH,
    prior_strength: float = PRIOR_STRENGTH,
) -> Waits:
    """What to expect of one supplier or customer: its own waits, shrunk to those of the others, and those to a prior.

    Each own wait counts once; the others count together as `own_strength` waits, the prior as `prior_strength`, less
    where there are fewer. Waits of less than no days, as after a clock was set back, are left out.
    """
    own, others = _possible(own), _possible(others)
    weighted = [(one.days, one.ended, 1.0) for one in own]
    if others:
        each = min(1.0, own_strength / len(others))
        weighted += [(one.days, one.ended, each) for one in others]
    if prior:
        weighted += [(days, True, prior_strength / len(prior)) for days in prior]
    days, ended_by = _product_limit(weighted)
    return Waits(days, ended_by, max((one[0] for one in weighted), default=0), len(own))


def _possible(waits: Iterable[Wait]) -> list[Wait]:
    return [one for one in waits if one.days >= 0]


def _product_limit(weighted: list[tuple[int, bool, float]]) -> tuple[tuple[int, ...], tuple[float, ...]]:
    """Rising days and the share ended by each. A wait that still lasts is at risk on its last day, and leaves after it."""
    at_risk = sum(weight for _, _, weight in weighted)
    ended: dict[int, float] = {}
    left: dict[int, float] = {}
    for days, has_ended, weight in weighted:
        left[days] = left.get(days, 0.0) + weight
        if has_ended:
            ended[days] = ended.get(days, 0.0) + weight
    waiting, days_of, shares = 1.0, [], []
    for day in sorted(left):
        if gone := ended.get(day, 0.0):
            waiting *= max(0.0, 1 - gone / at_risk)
            days_of.append(day)
            shares.append(1 - waiting)
        at_risk -= left[day]
        if at_risk < 1e-9:
            break
    return tuple(days_of), tuple(shares)
