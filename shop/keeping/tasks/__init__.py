"""Long work: one table of tasks, and one process that does them (`manage.py work`), beside the server.

A room hangs up a kind of task in its `apps.py`, and an action asks for one inside its act:

    hang_up(Kind("search.build", "Build the search anew", build, of="jobs", resumes=True))

    ask("search.build", by=staff, same="search")

The worker claims a task by a row that names its holder until some moment, and does it in a process of its own with a memory
limit. While that process lives the worker holds the claim; whatever is killed, and when, the claim runs out and somebody takes
the task up again. So a kind either goes on from `work.place`, which `work.reached` saves in the same transaction as what was
done, or may be done again without harm. Who has lost the claim is told so by the next `reached`, and what it did in that
transaction is undone.

Looked at and not taken: *django-tasks* with its database backend leaves a task whose worker was killed running for good (its
issue 46), keeps no progress and has no clock; *django-q2* puts a task back when a fixed time is over, whether or not somebody
still works on it, so that one longer than that is done twice (its documentation, "Brokers"); *huey* loses what was being done
when its consumer is killed (its issues 559 and 844), and its SQLite file is not in the transaction of the book; *procrastinate*
needs PostgreSQL, *Celery*, *dramatiq* and *RQ* a broker. None shows how far a task is, keeps where it goes on, or stops one
that runs.
"""

from __future__ import annotations

from shop.keeping.tasks.asking import ask, note_told, stop, try_again
from shop.keeping.tasks.kinds import Kind, Lost, Result, Stopped, Work, hang_up

__all__ = [
    "Kind",
    "Lost",
    "Result",
    "Stopped",
    "Work",
    "ask",
    "hang_up",
    "note_told",
    "stop",
    "try_again",
]
