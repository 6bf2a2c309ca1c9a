"""What customers said, as far as lower rooms must know it: the rooms where it is written down are asked about some jobs.

from shop.counter.said import unread
unread.told_by(jobs_with_unread_words)
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable

Teller = Callable[[Collection[int]], Iterable[int]]


class Said:
    """Something that is so of some jobs. A room above says of which; it does so in its `apps.py`."""

    def __init__(self) -> None:
        self._tellers: list[Teller] = []

    def told_by(self, teller: Teller) -> None:
        """Have `teller(job ids)` say of which of these jobs it is so."""
        if teller not in self._tellers:
            self._tellers.append(teller)

    def among(self, jobs: Collection[int]) -> frozenset[int]:
        """Those of these jobs, by id, of which it is so."""
        return frozenset(pk for teller in self._tellers for pk in teller(jobs)) if jobs else frozenset()


unread = Said()
"""Their customer wrote something that nobody has read or answered."""
no_repair = Said()
"""Their customer's last word was that they are not to be repaired."""
