"""One night's work, as every chore of the night is handed it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from shop.keeping.witness import Witness


@dataclass
class Night:
    """One night's work: what was found wrong, what was done."""

    at: dt.datetime
    witnesses: Sequence[Witness] = ()
    faults: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def note(self, count: int, one: str, many: str) -> None:
        """Note how many things were done, unless there were none."""
        if count:
            self.notes.append(one if count == 1 else many.format(count))


Chore = Callable[[Night], None]
