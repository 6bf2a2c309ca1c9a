"""What time asks for: the night's check, the backup, letters that are due. The worker looks every few seconds.

A thing of the day is asked for once a day of the shop's calendar, at its hour or as soon after it as a worker runs, because a
shop's machine is off at night. Two workers ask for the same: the table takes each once.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from django.db.models import Max

from shop.frame import clock
from shop.frame.profile import is_open
from shop.keeping.models import Task
from shop.keeping.tasks.asking import ask

LATE = dt.timedelta(minutes=10)
"""What was missed while the machine was off waits so long after the shop was opened: people come first."""


def always() -> bool:
    """Nothing more is asked."""
    return True


@dataclass(frozen=True, slots=True)
class Timed:
    """A kind that the clock asks for: each day at an hour of the shop's, or whenever it is `wanted`."""

    kind: str
    daily: dt.time | None = None
    wanted: Callable[[], bool] = always
    every_days: int = 1
    """Days from one that went well to the next."""


_timed: list[Timed] = []


def by_the_clock(timed: Timed) -> None:
    """Have the clock ask for a kind; a room calls it in its `apps.py`, beside `hang_up`."""
    if timed not in _timed:
        _timed.append(timed)


def timed_kinds() -> list[str]:
    """The kinds that the clock asks for each day or rarer."""
    return [one.kind for one in _timed if one.daily is not None]


def clocks_own() -> list[tuple[Timed, dt.datetime | None]]:
    """What the clock asks for each day or rarer, with the moment at which it will next; None where that hangs on something."""
    now = clock.now()
    return [(one, _next(one, now)) for one in _timed if one.daily is not None]


def _next(timed: Timed, now: dt.datetime) -> dt.datetime | None:
    if timed.daily is None:
        return None
    day = clock.day_of(_last_turn(timed.daily, now)) + clock.A_DAY
    if timed.every_days > 1:
        done = Task.objects.filter(kind=timed.kind, state=Task.State.DONE).aggregate(last=Max("ended_at"))
        if done["last"] is None and not timed.wanted():
            return None
        if done["last"] is not None:
            day = max(day, clock.day_of(done["last"]) + timed.every_days * clock.A_DAY)
    return dt.datetime.combine(day, timed.daily, tzinfo=clock.zone())


def ask_what_is_due(*, at: dt.datetime | None = None) -> int:
    """Put on the table what time asks for now; how many were put there. Nothing before there is a shop."""
    if not is_open():
        return 0
    now = at or clock.now()
    return sum(_asked(one, now) for one in _timed)


def _asked(timed: Timed, now: dt.datetime) -> bool:
    if Task.objects.filter(same=timed.kind, state__in=Task.OPEN).exists():
        # yesterday's, which is still tried, or what somebody asked for just now: one of the same is open at a time
        return False
    if timed.daily is None:
        if not timed.wanted():
            return False
        ask(timed.kind, by=None, same=timed.kind, at=now)
        return True
    moment = _last_turn(timed.daily, now)
    slot = f"{timed.kind} {clock.day_of(moment).isoformat()}"
    if Task.objects.filter(slot=slot).exists() or not timed.wanted() or _done_lately(timed, now):
        return False
    late = now - moment > LATE
    ask(timed.kind, by=None, same=timed.kind, slot=slot, due_at=now + LATE if late else now, at=now)
    return True


def _done_lately(timed: Timed, now: dt.datetime) -> bool:
    since = now - timed.every_days * clock.A_DAY
    done = Task.objects.filter(kind=timed.kind, state=Task.State.DONE, ended_at__gt=since)
    return timed.every_days > 1 and done.exists()


def _last_turn(hour: dt.time, now: dt.datetime) -> dt.datetime:
    """The last moment at which the shop's clock showed that hour."""
    today = dt.datetime.combine(clock.day_of(now), hour, tzinfo=clock.zone())
    if today <= now:
        return today
    return dt.datetime.combine(clock.day_of(now) - clock.A_DAY, hour, tzinfo=clock.zone())
